"""Any units of a type: those that are free; and where none is free for the whole time, one that becomes free because
somebody else's promise goes to another unit of the same type.

Nobody loses anything by that: whoever is exchanged has a unit of the same type for the same time, its jobs follow, and
it is told. A unit that is packed, that must be this very one, or whose use has begun stays where it is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef

from gear.booking.blocking import stand_again
from gear.booking.claims import claim, retire_lapsed
from gear.booking.clashes import UnitTaken, in_the_way, instead_of
from gear.booking.interval import Interval, blocked_interval
from gear.booking.locks import locked_by_id, locked_units
from gear.booking.models import Allocation, Booking, UnitWindow
from gear.booking.notices import Exchanged, tell
from gear.booking.promotion import promote
from gear.booking.queries import live
from gear.booking.rules import now, refuse_ended, refuse_idle, use_of
from gear.booking.seats import CHANGES, Row, Seat, make_room
from gear.booking.swapping import followers
from gear.booking.transactions import in_one_transaction
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.models import Condition, Unit

__all__ = ["Changed", "PinnedInTheWay", "lock_in_play", "promise_any"]

MOST = 50
_MOST_IN_PLAY = 60
_AROUND = timedelta(days=40)


class PinnedInTheWay(Conflict):
    """It could be done if a unit changed that must stay with who has it."""

    code = "needs-pinned"


@dataclass(frozen=True)
class Changed:
    """A booking that another unit goes with now."""

    booking: Booking
    old: Unit
    new: Unit


def lock_in_play(booking: Booking, type_id: int) -> list[int]:
    """Lock whatever may be exchanged for this booking, and itself, with what goes with it; before any unit. Returns the
    bookings by id."""
    prep, turnaround = _most_around(type_id)
    mine = blocked_interval(use_of(booking), prep, turnaround)
    around, ids = mine, {booking.pk}
    of_type = Allocation.objects.filter(live(), unit__gear_type=type_id, unit__condition=Condition.READY)
    for _ in range(CHANGES):
        met = of_type.filter(blocked__overlap=around.as_range).order_by("blocked")[:_MOST_IN_PLAY]
        found = list(met.values_list("booking_id", "blocked"))
        ids |= {pk for pk, _ in found}
        wider = Interval(
            min([mine.starts_at, *(blocked.lower - prep for _, blocked in found)]),
            max([mine.ends_at, *(blocked.upper + turnaround for _, blocked in found)]),
        )
        if wider == around:
            break
        around = wider
    in_order = sorted(ids)
    for one in Booking.objects.filter(pk__in=in_order).order_by("pk"):
        for follower in followers():
            follower.lock(one)
    for pk in in_order:
        locked_by_id(pk, None)
    return in_order


def _most_around(type_id: int) -> tuple[timedelta, timedelta]:
    """The longest prep and turnaround of the units of a type."""
    units = list(Unit.objects.filter(gear_type=type_id).select_related("gear_type"))
    return (
        timedelta(minutes=max((unit.prep for unit in units), default=0)),
        timedelta(minutes=max((unit.turnaround for unit in units), default=0)),
    )


@in_one_transaction
def promise_any(
    booking: Booking, type_id: int, count: int, by: Any
) -> tuple[list[Allocation], list[Changed]]:
    """Promise so many more units of a type, whichever; returns them, and who was exchanged for it.

    All or none. Raises `UnitTaken`, `PinnedInTheWay`, `Invalid`, `Conflict`.
    """
    if isinstance(count, bool) or not 1 <= count <= MOST:
        raise Invalid(
            f"Ask for 1 to {MOST} units.", (FieldProblem("count", f"a whole number from 1 to {MOST}"),)
        )
    in_play = set(lock_in_play(booking, type_id))
    booking = locked_by_id(booking.pk, None)
    refuse_ended(booking)
    refuse_idle(booking)
    at = now()
    of_type = Unit.objects.filter(gear_type=type_id, condition=Condition.READY).values_list("pk", flat=True)
    units = locked_units(of_type)
    if not units:
        raise Gone("There is no unit of this type that is ready for use. Choose another type.")
    promote(units, at)
    chosen, moves = _seated(booking, units, count, in_play, at)
    changed = _exchange(moves, booking, at)
    claim(booking, chosen, by)
    announce("unit", [unit.pk for unit in units])
    promote(units, at)
    promises = booking.allocations.filter(unit__in=chosen).select_related("unit__gear_type")
    return list(promises), changed


def _seated(
    booking: Booking, units: list[Unit], count: int, in_play: set[int], at: datetime
) -> tuple[list[Unit], list[tuple[Allocation, Unit, Unit]]]:
    """Which units it gets, and whose promise goes from which unit to which for it."""
    use = use_of(booking)
    by_id = {unit.pk: unit for unit in units}
    rows = _rows(units)
    promises = {promise.pk: promise for promise in _around(units, use, at)}
    taken: dict[int, tuple[Seat, ...]] = defaultdict(tuple)
    for promise in promises.values():
        taken[promise.unit_id] += (_seat(promise, in_play, booking, at),)
    seats = dict(taken)
    chosen: list[Unit] = []
    for number in range(count):
        wish = Seat(-1 - number, use.starts_at - use.travel, use.ends_at + use.travel, stays=True)
        found = make_room(rows, seats, wish)
        if found is None:
            _refuse(booking, units, rows, seats, wish, promises)
        seats = dict(found.taken)
        chosen.append(by_id[found.row])
    moves = [
        (promises[seat.key], by_id[promises[seat.key].unit_id], by_id[row])
        for row, sitting in seats.items()
        for seat in sitting
        if seat.key in promises and promises[seat.key].unit_id != row
    ]
    return chosen, sorted(moves, key=lambda move: move[0].pk)


def _rows(units: list[Unit]) -> list[Row]:
    """Those that turn around soonest first; a borrowed one only while it is here."""
    here = {window.unit_id: window.during for window in UnitWindow.objects.filter(unit__in=units)}
    return [
        Row(
            unit.pk,
            timedelta(minutes=unit.prep),
            timedelta(minutes=unit.turnaround),
            (here[unit.pk].lower, here[unit.pk].upper) if unit.pk in here else None,
        )
        for unit in sorted(units, key=lambda one: (one.turnaround, one.tag))
        if unit.pk not in here or not here[unit.pk].isempty
    ]


def _around(units: list[Unit], use: Interval, at: datetime) -> Sequence[Allocation]:
    near = Interval(use.starts_at - _AROUND, use.ends_at + _AROUND)
    found = Allocation.objects.filter(live(at), unit__in=units, blocked__overlap=near.as_range)
    before = Allocation.objects.filter(active=True, stays_for=OuterRef("booking"), unit=OuterRef("unit"))
    return list(found.select_related("booking").annotate(comes_straight=Exists(before)).order_by("pk"))


def _seat(promise: Allocation, in_play: set[int], booking: Booking, at: datetime) -> Seat:
    way = timedelta(minutes=promise.booking.travel_minutes)
    stays = (
        promise.booking_id not in in_play
        or promise.booking_id == booking.pk
        or promise.pinned
        or promise.fixed
        or promise.use.lower <= at
        or promise.returned_at is not None
        or promise.lapses_at is not None
        or promise.prep_given is not None
        or promise.turnaround_given is not None
        or promise.stays_for_id is not None
        or promise.comes_straight
    )
    blocks = (promise.unit_id, promise.blocked.lower, promise.blocked.upper)
    return Seat(promise.pk, promise.use.lower - way, promise.use.upper + way, stays, blocks)


def _exchange(moves: list[tuple[Allocation, Unit, Unit]], booking: Booking, at: datetime) -> list[Changed]:
    """Let all go first, then let each stand on its new unit: nobody else sees the middle."""
    Allocation.objects.filter(pk__in=[promise.pk for promise, _, _ in moves]).update(active=False)
    for promise, _, new in moves:
        retire_lapsed([new], use_of(promise.booking), at, but=[promise.booking_id])
    try:
        with transaction.atomic():
            for promise, _, new in moves:
                promise.booking.allocations.filter(unit=new, active=False, waits_since=None).exclude(
                    pk__in=[one.pk for one, _, _ in moves]
                ).delete()
                Allocation.objects.filter(pk=promise.pk).update(unit=new)
            for promise, _, new in moves:
                stand_again(promise.booking_id, [new.pk])
    except IntegrityError:
        raise Conflict(
            "Too much of this type is promised closely to one another to exchange units by itself. Choose a unit from "
            "the list.",
            code="unit-taken",
        ) from None
    for promise, old, new in moves:
        for follower in followers():
            follower.swapped(promise.booking, old, new)
        tell(Exchanged(promise.booking_id, booking.pk, old.tag, new.tag))
    return [Changed(promise.booking, old, new) for promise, old, new in moves]


def _refuse(
    booking: Booking,
    units: list[Unit],
    rows: list[Row],
    seats: dict[int, tuple[Seat, ...]],
    wish: Seat,
    promises: dict[int, Allocation],
) -> None:
    use = use_of(booking)
    in_spite = make_room(rows, seats, wish, ignoring_stays=True)
    stuck = [
        promises[key]
        for key in (in_spite.changes if in_spite else {})
        if key in promises
        and promises[key].booking_id != booking.pk
        and (promises[key].pinned or promises[key].fixed)
    ]
    if in_spite and stuck:
        tags = {unit.pk: unit.tag for unit in units}
        said = ", ".join(
            f"{tags[one.unit_id]} with “{one.booking.title}” ({'packed' if one.pinned else 'this very unit'})"
            for one in stuck
        )
        raise PinnedInTheWay(
            f"No {units[0].gear_type} is free for the whole time. It needs a pinned unit moved: {said}.",
            ways_out=("Ask whoever has it whether another unit of the type will do.", "Choose another type."),
        )
    found = in_the_way(units, use, [booking.pk])
    may_wait = booking.state != Booking.State.CONFIRMED
    mine = set(booking.allocations.values_list("unit_id", flat=True))
    found = tuple(one for one in found if one.unit.pk not in mine)
    if not found:
        raise Conflict(
            f"“{booking.title}” has every {units[0].gear_type} that is ready for use. Choose another type.",
            code="none-left",
        )
    raise UnitTaken(found, instead_of(units, use, [booking.pk]), use, booking.zone, may_wait)
