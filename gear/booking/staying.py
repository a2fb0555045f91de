"""Gear that stays on set from one booking to the next of the same people: nobody hands it back in between, so there is
neither turnaround nor prep nor way between the two, and it is blocked for the time between them.

Said outright, unit by unit. What is due to be inspected is due all the same: the door of the second asks for it.
"""

from __future__ import annotations

from collections.abc import Collection
from copy import copy
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from gear.booking.blocking import stand_together
from gear.booking.claims import NO_UNIT_TWICE, insert, retire_lapsed
from gear.booking.clashes import InTheWay, UnitTaken
from gear.booking.given import as_given
from gear.booking.interval import Interval
from gear.booking.locks import locked_by_id, locked_units
from gear.booking.models import Allocation, Booking
from gear.booking.promotion import promote
from gear.booking.queries import live
from gear.booking.rules import blocked_for, now, refuse_ended, refuse_idle, refuse_unfit, stands, use_of
from gear.booking.staying_ends import onward, prepare_again
from gear.booking.transactions import broken_constraint, in_one_transaction
from gear.booking.wall_time import say
from gear.booking.windows import refuse_longer_than_lent, refuse_outside
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Invalid
from gear.inventory.models import Unit

__all__ = ["stay_on_set"]


@in_one_transaction
def stay_on_set(first: Booking, later: Booking, unit_ids: Collection[int], by: Any) -> list[Allocation]:
    """Let these units of ``first`` stay on set for ``later``, which is of the same people, and promise them to it.

    Raises `Invalid` for what does not follow, `Conflict` for other people or what is not there, `UnitTaken` when
    somebody has them in between or afterwards.
    """
    if first.pk == later.pk:
        raise Invalid("That is the same booking.", (FieldProblem("for", "another booking"),))
    locked = {pk: locked_by_id(pk, None) for pk in sorted((first.pk, later.pk))}
    first, later = locked[first.pk], locked[later.pk]
    _refuse_unlike(first, later)
    units, at = locked_units(unit_ids), now()
    promises = {promise.unit_id: promise for promise in first.allocations.all()}
    _refuse_absent(first, units, promises, at)
    refuse_unfit(units)
    promote(units, at)
    mine = as_given(later, [copy(unit) for unit in units])
    there = Interval(first.ends_at, later.ends_at, use_of(later).travel)
    retire_lapsed(mine, there, at, but=[first.pk, later.pk])
    _refuse_between(mine, first, later, at)
    others = [pair for pair in onward(first.pk, [unit.pk for unit in units]) if pair[0] != later.pk]
    noted = set(later.allocations.filter(unit__in=units).values_list("unit_id", flat=True))
    try:
        with transaction.atomic():
            insert(later, [unit for unit in units if unit.pk not in noted], by, active=False)
            first.allocations.filter(unit__in=units).update(stays_for=later)
            stand_together([first.pk, later.pk], [unit.pk for unit in units])
            prepare_again(others, at)
    except IntegrityError as error:
        refuse_longer_than_lent(error)
        if broken_constraint(error) != NO_UNIT_TWICE:
            raise
        raise Conflict(
            "Somebody else asked for one of these units in this moment. Try again.", code="unit-taken"
        ) from None
    announce("unit", [unit.pk for unit in units])
    return list(later.allocations.filter(unit__in=units).select_related("unit__gear_type"))


def _refuse_unlike(first: Booking, later: Booking) -> None:
    for booking in (first, later):
        refuse_ended(booking)
        refuse_idle(booking)
    if first.asked_by_id is None or first.asked_by_id != later.asked_by_id:
        raise Conflict(
            f"“{first.title}” and “{later.title}” are not of the same people, so the gear comes back in between and "
            f"has its turnaround.",
            code="unlike",
        )
    if later.starts_at < first.ends_at:
        raise Invalid(
            f"“{later.title}” begins before “{first.title}” ends ({say(first.ends_at, first.zone)}), so it does not "
            f"go on from it.",
            (FieldProblem("for", "a booking that begins when this one is over"),),
        )


def _refuse_absent(first: Booking, units: list[Unit], promises: dict[int, Allocation], at: datetime) -> None:
    absent = [
        unit.tag
        for unit in units
        if unit.pk not in promises
        or not stands(promises[unit.pk], at)
        or promises[unit.pk].returned_at is not None
    ]
    if absent or not units:
        raise Conflict(
            f"“{first.title}” does not have {', '.join(absent) or 'any of these'}, so nothing of it can stay.",
            code="not-there",
        )


def _refuse_between(units: list[Unit], first: Booking, later: Booking, at: datetime) -> None:
    use = use_of(later)
    refuse_outside(units, use, later.zone)
    found = []
    begins = {unit_id: pk for pk, unit_id in onward(later.pk, [unit.pk for unit in units])}
    third = Booking.objects.in_bulk(begins.values())
    for unit in units:
        goes_on = third[begins[unit.pk]].starts_at if unit.pk in begins else None
        needed = Interval(first.ends_at, goes_on or blocked_for(unit, use).ends_at)
        others = Allocation.objects.filter(live(at), unit=unit, blocked__overlap=needed.as_range)
        others = others.exclude(booking__in=[first.pk, later.pk]).select_related("booking__asked_by")
        if others:
            found.append(InTheWay(unit, tuple(others.order_by("blocked"))))
    if found:
        raise UnitTaken(tuple(found), (), Interval(first.ends_at, use.ends_at, use.travel), later.zone)
