"""Other minutes around a use than the unit has: granted for one promise, with a reason, by somebody who may."""

from __future__ import annotations

from typing import Any

from django.db import IntegrityError, transaction

from gear.booking.blocking import stand_again, wait_again
from gear.booking.claims import NO_UNIT_TWICE, insert, lost_race, retire_lapsed
from gear.booking.clashes import refuse_taken
from gear.booking.given import as_given
from gear.booking.locks import locked, locked_units
from gear.booking.models import Allocation, Booking
from gear.booking.promotion import promote
from gear.booking.rules import now, refuse_ended, refuse_idle, refuse_unfit, use_of
from gear.booking.staying_ends import stay_partners, stay_units
from gear.booking.transactions import broken_constraint, in_one_transaction
from gear.booking.windows import refuse_longer_than_lent
from gear.changes import announce
from gear.errors import FieldProblem, Gone, Invalid

__all__ = ["give_usual_buffers", "grant_buffers"]

MOST_MINUTES = 60 * 24 * 30


@in_one_transaction
def grant_buffers(
    booking: Booking,
    unit_id: int,
    by: Any,
    *,
    prep: int | None,
    turnaround: int | None,
    why: str,
    role: str = "",
) -> Allocation:
    """Promise a unit with other minutes before and after its use than it has; None is what the unit has.

    A promise that is there takes them on. ``why`` is printed on the packing list and stays in the history. Raises
    `Invalid`, `UnitTaken`, `Conflict`, `Gone`.
    """
    why = why.strip()
    _refuse_strange(prep, turnaround, why)
    booking = locked(booking)
    refuse_ended(booking)
    refuse_idle(booking)
    (unit,) = locked_units([unit_id]) or (None,)
    if unit is None:
        raise Gone(f"There is no unit with the number {unit_id}. Choose one from the list.")
    at = now()
    promote([unit], at)
    promise = booking.allocations.filter(unit=unit).first()
    if promise is None or not promise.active:
        refuse_unfit([unit])
    if promise is None:
        insert(booking, [unit], by, active=False)
    values = {
        "prep_given": prep,
        "turnaround_given": turnaround,
        "given_why": why,
        "given_by": by,
        "given_role": role,
    }
    booking.allocations.filter(unit=unit).update(**values)
    return _with_these(booking, unit_id, at)


@in_one_transaction
def give_usual_buffers(booking: Booking, unit_id: int, by: Any) -> Allocation:
    """Take granted minutes back: the promise blocks what the unit has again, if nobody is in the way. Raises
    `UnitTaken`, `Conflict`, `Gone`."""
    booking = locked(booking)
    refuse_ended(booking)
    refuse_idle(booking)
    locked_units([unit_id])
    given = {
        "prep_given": None,
        "turnaround_given": None,
        "given_why": "",
        "given_by": None,
        "given_role": "",
    }
    if not booking.allocations.filter(unit=unit_id).update(**given):
        raise Gone(f"That unit is not on “{booking.title}” any more.")
    waiting = booking.allocations.filter(unit=unit_id, waits_since__isnull=False).first()
    if waiting is not None:
        wait_again(booking.pk, [unit_id], waiting.waits_since)
        return booking.allocations.select_related("unit__gear_type").get(unit=unit_id)
    return _with_these(booking, unit_id, now())


def _with_these(booking: Booking, unit_id: int, at: Any) -> Allocation:
    units = as_given(booking, locked_units([unit_id]))
    use, ours = use_of(booking), [booking.pk, *stay_partners([booking.pk])]
    retire_lapsed(units, use, at, but=ours)
    if unit_id not in stay_units(booking.pk):
        refuse_taken(units, use, booking.zone, ignoring=ours)
    try:
        with transaction.atomic():
            stand_again(booking.pk, [unit_id])
    except IntegrityError as error:
        refuse_longer_than_lent(error)
        if broken_constraint(error) != NO_UNIT_TWICE:
            raise
        raise lost_race(units, booking) from None
    announce("unit", [unit_id])
    promote(units, at)
    return booking.allocations.select_related("unit__gear_type").get(unit=unit_id)


def _refuse_strange(prep: int | None, turnaround: int | None, why: str) -> None:
    if prep is None and turnaround is None:
        raise Invalid(
            "Say how many minutes before or after its use.",
            (FieldProblem("prep_minutes", "minutes, or"), FieldProblem("turnaround_minutes", "minutes")),
        )
    for name, minutes in (("prep_minutes", prep), ("turnaround_minutes", turnaround)):
        if minutes is not None and not 0 <= minutes <= MOST_MINUTES:
            raise Invalid(
                f"{minutes} minutes cannot be. Give 0 to {MOST_MINUTES}.",
                (FieldProblem(name, f"a whole number from 0 to {MOST_MINUTES}"),),
            )
    if not why or len(why) > 200:
        raise Invalid(
            "Say why in 1 to 200 characters; it is printed on the packing list.",
            (FieldProblem("why", "1 to 200 characters"),),
        )
