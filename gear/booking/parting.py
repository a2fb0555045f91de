"""Making two bookings of one, and one of two, without a moment in which a unit is free for others.

One transaction each: nobody else sees the middle, and the ranges that block only change hands. Where a booking is cut
in time its units go straight on: there is neither turnaround nor prep between the two parts, because nothing is handed
back. A part that is moved, or held anew after it had ended, has both again.
"""

from __future__ import annotations

from collections.abc import Collection
from copy import copy
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from gear.booking.blocking import derive_anew, end_at
from gear.booking.challenges import open_challenges
from gear.booking.claims import NO_UNIT_TWICE, insert, retire_lapsed
from gear.booking.clashes import refuse_taken
from gear.booking.companions import companions
from gear.booking.given import as_given
from gear.booking.interval import Interval, refuse_beyond_horizon
from gear.booking.locks import locked, locked_by_id, locked_units, refuse_stale, unit_ids
from gear.booking.models import Allocation, Booking
from gear.booking.promotion import promote
from gear.booking.rules import now, refuse_ended, refuse_lapsed, refuse_out, stands, use_of
from gear.booking.staying_ends import stay_partners
from gear.booking.transactions import broken_constraint, in_one_transaction
from gear.booking.wall_time import say, wall_of
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid

__all__ = ["merge", "split_at", "split_off"]

_GRANTED = ("prep_given", "turnaround_given", "given_why", "given_by", "given_role")


@in_one_transaction
def split_at(
    booking: Booking, at: datetime, by: Any, *, title: str = "", version: int | None = None
) -> Booking:
    """Cut a booking in two at an instant; returns the later part, which has the same units and stands as firmly. Raises
    `Invalid` for a time outside it, `Conflict` for what has left the store or has to decide first, `StaleEdit`."""
    booking = _to_part(booking, version)
    at = at.replace(second=0, microsecond=0)
    if not booking.starts_at < at < booking.ends_at:
        raise Invalid(
            f"“{booking.title}” can only be split between {say(booking.starts_at, booking.zone)} and "
            f"{say(booking.ends_at, booking.zone)}.",
            (FieldProblem("at", "a time within it"),),
        )
    units = locked_units(unit_ids(booking))
    promises = list(booking.allocations.select_related("unit"))
    refuse_out(booking, promises)
    later = _beside(booking, title)
    later.starts_at, later.starts_wall = at, wall_of(at, booking.zone)
    later.save()
    booking.ends_at, booking.ends_wall, booking.review_at = at, wall_of(at, booking.zone), None
    _saved(booking)
    going_on = [promise for promise in promises if promise.use.upper > at]
    for promise in going_on:
        rest = Interval(at, promise.blocked.upper)
        use, promise.pk = Interval(at, promise.use.upper), None
        promise.booking, promise.use, promise.blocked = later, use.as_range, rest.as_range
    end_at(booking.pk, [promise.unit_id for promise in going_on], at)
    Allocation.objects.bulk_create(going_on)
    booking.allocations.update(stays_for=None)
    for companion in companions():
        companion.split(booking, later)
    announce("unit", [unit.pk for unit in units])
    return later


@in_one_transaction
def split_off(
    booking: Booking,
    wanted: Collection[int],
    by: Any,
    *,
    title: str = "",
    version: int | None = None,
) -> Booking:
    """Give some units a booking of their own for the same time, as firm as this one; counted things and kits stay where
    they are. Raises `Gone`, `Invalid`, `Conflict`, `StaleEdit`."""
    booking = _to_part(booking, version)
    units = locked_units(unit_ids(booking))
    promises = list(booking.allocations.filter(unit__in=wanted).select_related("unit"))
    if not promises or len(promises) < len(set(wanted)):
        raise Gone(f"Not all of these units are on “{booking.title}” any more. Look again, then choose.")
    if len(promises) == len(units):
        raise Invalid(
            "These are all its units. Leave at least one, or give the whole booking another name.",
            (FieldProblem("units", "some of its units"),),
        )
    refuse_out(booking, promises)
    other = _beside(booking, title)
    other.save()
    booking.allocations.filter(unit__in=wanted).update(booking=other)
    Allocation.objects.filter(stays_for=booking, unit__in=wanted).update(stays_for=other)
    _saved(booking)
    announce("unit", [unit.pk for unit in units])
    return other


@in_one_transaction
def merge(first: Booking, second: Booking, by: Any, *, versions: dict[int, int] | None = None) -> Booking:
    """Make one booking of two that meet or overlap; returns the earlier one, which then lasts over both and has the
    units, counted things and kits of both. The other is cancelled, with its plan.

    What only one of them had must be free for the whole time. Raises `UnitTaken`, `StockShort`, `Conflict`,
    `StaleEdit`.
    """
    if first.pk == second.pk:
        raise Invalid("That is the same booking.", (FieldProblem("with", "another booking"),))
    both = [locked_by_id(pk, (versions or {}).get(pk)) for pk in sorted((first.pk, second.pk))]
    kept, gone = sorted(both, key=lambda one: (one.starts_at, one.pk))
    _refuse_unlike(kept, gone)
    for companion in companions():
        companion.lock([kept.pk, gone.pk])
    units = locked_units({*unit_ids(kept), *unit_ids(gone)})
    promises = list(Allocation.objects.filter(booking__in=both).select_related("unit"))
    refuse_out(kept, promises)
    _refuse_asked(kept, gone)
    at = now()
    apart = kept.ends_at <= gone.starts_at
    kept.hold_until = min(kept.hold_until, gone.hold_until) if kept.hold_until and gone.hold_until else None
    if gone.ends_at > kept.ends_at:
        kept.ends_at, kept.ends_wall, kept.review_at = gone.ends_at, gone.ends_wall, gone.review_at
    refuse_beyond_horizon(use_of(kept), at)
    use, ours = use_of(kept), [kept.pk, gone.pk]
    promote(units, at)
    standing = {promise.unit_id for promise in promises if stands(promise, at)}
    had = {promise.unit_id for promise in promises if promise.booking_id == kept.pk}
    stand = [copy(unit) for unit in units if unit.pk in standing]
    mine = as_given(kept, [unit for unit in stand if unit.pk in had])
    mine += as_given(gone, [unit for unit in stand if unit.pk not in had])
    Allocation.objects.filter(stays_for=kept, booking=gone).update(stays_for=None)
    Allocation.objects.filter(stays_for=gone).exclude(booking=kept).update(stays_for=kept)
    Allocation.objects.filter(booking=kept, stays_for=gone).update(stays_for=None)
    retire_lapsed(mine, use, at, but=ours)
    refuse_taken(mine, use, kept.zone, ignoring=[*ours, *stay_partners(ours)])
    line = {p.unit_id: p.waits_since for p in promises if p.waits_since is not None}
    try:
        with transaction.atomic():
            gone.allocations.update(active=False, waits_since=None)
            _saved(kept)
            insert(kept, [unit for unit in units if unit.pk not in had], by, active=False)
            _take_over(kept, gone, had)
            derive_anew([kept.pk])
            kept.allocations.filter(unit__in=standing).update(active=True, waits_since=None)
            for unit_id, since in line.items():
                kept.allocations.filter(unit=unit_id, active=False).update(waits_since=since)
    except IntegrityError as error:
        if broken_constraint(error) != NO_UNIT_TWICE:
            raise
        raise Conflict(
            "Somebody else asked for one of these units in this moment. Try again.", code="unit-taken"
        ) from None
    for companion in reversed(companions()):
        companion.merged(kept, gone, apart)
    for companion in companions():
        companion.let_go(gone)
    gone.state, gone.hold_until = Booking.State.CANCELLED, None
    _saved(gone)
    announce("unit", [unit.pk for unit in units])
    promote(units, at)
    return kept


def _take_over(kept: Booking, gone: Booking, had: Collection[int]) -> None:
    """What was agreed of the units of the one that goes holds for the whole: for whom they stay on set, and minutes
    that were granted of what only it had."""
    for promise in gone.allocations.all():
        mine = kept.allocations.filter(unit=promise.unit_id)
        if promise.stays_for_id is not None:
            mine.update(stays_for=promise.stays_for_id)
        if promise.unit_id not in had:
            mine.update(**{name: getattr(promise, name) for name in _GRANTED})
    gone.allocations.update(stays_for=None)


def _to_part(booking: Booking, version: int | None) -> Booking:
    booking = locked(booking)
    refuse_ended(booking)
    refuse_lapsed(booking)
    refuse_stale(booking, version)
    for companion in companions():
        companion.lock([booking.pk])
    _refuse_asked(booking)
    return booking


def _beside(booking: Booking, title: str) -> Booking:
    title = title.strip()
    if len(title) > 120:
        raise Invalid("A title has at most 120 characters.", (FieldProblem("title", "1 to 120 characters"),))
    return Booking(
        title=title or f"{booking.title[:116]} (2)",
        state=booking.state,
        hold_until=booking.hold_until,
        starts_at=booking.starts_at,
        ends_at=booking.ends_at,
        zone=booking.zone,
        starts_wall=booking.starts_wall,
        ends_wall=booking.ends_wall,
        review_at=booking.review_at,
        travel_minutes=booking.travel_minutes,
        asked_by=booking.asked_by,
    )


def _refuse_unlike(kept: Booking, gone: Booking) -> None:
    for booking in (kept, gone):
        refuse_ended(booking)
        refuse_lapsed(booking)
    if kept.asked_by_id != gone.asked_by_id:
        raise Conflict(
            f"“{kept.title}” and “{gone.title}” belong to different people. Give them one owner first.",
            code="unlike",
        )
    if kept.state != gone.state:
        raise Conflict(
            f"“{kept.title}” is {kept.get_state_display().lower()}, “{gone.title}” is "
            f"{gone.get_state_display().lower()}. Make both equally firm first.",
            code="unlike",
        )
    if kept.zone != gone.zone:
        raise Conflict(
            f"“{kept.title}” is reckoned in {kept.zone}, “{gone.title}” in {gone.zone}; they cannot be one.",
            code="unlike",
        )
    if kept.ends_at < gone.starts_at:
        raise Conflict(
            f"There is time between them: “{kept.title}” ends {say(kept.ends_at, kept.zone)}, “{gone.title}” begins "
            f"{say(gone.starts_at, gone.zone)}. Make one longer, so that they meet.",
            code="apart",
        )


def _refuse_asked(*bookings: Booking) -> None:
    asked = open_challenges([booking.pk for booking in bookings]).first()
    if asked:
        raise Conflict(
            f"“{asked.first.title}” has until {say(asked.deadline, asked.first.zone)} to decide about "
            f"{asked.unit.tag}, which “{asked.later.title}” waits for. That must be answered, or given up, first.",
            code="challenged",
        )


def _saved(booking: Booking) -> None:
    booking.version += 1
    booking.save()
