"""What must be true after every step."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from gear.kits.models import KitPromise
from gear.shortages.models import Shortage
from gear.stock.models import StockPromise
from tests.gear.machine import records
from tests.gear.machine.world import hour_of

if TYPE_CHECKING:
    from tests.gear.machine.machine import Machine

__all__ = ["ALWAYS"]


def no_unit_is_promised_twice(machine: Machine) -> None:
    assert records.overlapping() == []


def bookings_stand_as_the_twin_says(machine: Machine) -> None:
    for real in machine.bookings:
        ours = machine.twin.bookings[real.pk]
        assert (real.state, hour_of(real.starts_at), hour_of(real.ends_at)) == (
            ours.state,
            ours.start,
            ours.end,
        )
        assert (real.hold_until and hour_of(real.hold_until)) == ours.hold_until
        assert (real.review_at and hour_of(real.review_at)) == ours.review
    assert len(machine.bookings) == len(machine.twin.bookings)


def promises_are_those_of_the_twin(machine: Machine) -> None:
    real = {
        (p.booking_id, p.unit_id): (
            *(p.active, _hours(p.use), _hours(p.blocked)),
            *(_granted(p.prep_given), _granted(p.turnaround_given), p.stays_for_id, p.fixed),
        )
        for p in machine.promises
    }
    ours = {
        (booking.number, unit): (
            *(promise.active, promise.use, promise.blocked),
            *(promise.prep, promise.turnaround, promise.stays_for, promise.fixed),
        )
        for booking in machine.twin.bookings.values()
        for unit, promise in booking.promises.items()
    }
    assert real == ours, [
        (key, real.get(key), ours.get(key)) for key in real | ours if real.get(key) != ours.get(key)
    ]


def whoever_stays_on_set_blocks_until_the_next_begins(machine: Machine) -> None:
    standing = {(p.booking_id, p.unit_id): p for p in machine.promises if p.active}
    for first in machine.promises:
        if first.stays_for is not None:
            later = standing[first.stays_for_id, first.unit_id]
            assert first.active
            assert first.blocked.upper == first.stays_for.starts_at == later.blocked.lower


def granted_minutes_are_what_is_blocked(machine: Machine) -> None:
    """Of what lies ahead; what is over by then is left as it was when something does not stay after all."""
    for one in machine.promises:
        way = timedelta(minutes=one.booking.travel_minutes)
        if not one.active or machine.twin.bookings[one.booking_id].promises[one.unit_id].cut:
            continue
        is_over = hour_of(one.blocked.upper) <= machine.twin.now
        if one.turnaround_given is not None and one.stays_for is None and not is_over:
            assert one.blocked.upper == one.use.upper + way + timedelta(minutes=one.turnaround_given)
        comes_back = not any(
            p.stays_for_id == one.booking_id and p.unit_id == one.unit_id for p in machine.promises
        )
        if one.prep_given is not None and comes_back and hour_of(one.use.lower) > machine.twin.now:
            assert one.blocked.lower == one.use.lower - way - timedelta(minutes=one.prep_given)


def lines_are_those_of_the_twin(machine: Machine) -> None:
    real = {
        (p.booking_id, p.item_id, p.source): (int(p.quantity), p.active, _hours(p.use), _hours(p.blocked))
        for p in StockPromise.objects.all()
    }
    ours = {
        (booking.number, *key): (line.quantity, line.active, line.use, line.blocked)
        for booking in machine.twin.bookings.values()
        for key, line in booking.lines.items()
    }
    assert real == ours


def nothing_blocks_for_what_is_cancelled_or_only_asked(machine: Machine) -> None:
    idle = ["cancelled", "enquiry"]
    assert not any(p.active and p.booking.state in idle for p in machine.promises)
    assert not StockPromise.objects.filter(active=True, booking__state__in=idle).exists()


def kits_have_all_their_parts_or_are_not_there(machine: Machine) -> None:
    for promise in KitPromise.objects.prefetch_related("taken"):
        booking = machine.twin.bookings[promise.booking_id]
        taken = list(promise.taken.all())
        assert len(taken) == len(machine.world.places[booking.kits[promise.pk].name])
        for one in taken:
            if one.unit_id:
                assert one.unit_id in booking.promises
            else:
                assert booking.lines[one.item_id, promise.source].quantity == one.quantity


def more_is_promised_than_there_is_only_beside_an_open_shortage(machine: Machine) -> None:
    short: dict[tuple[int, int], int] = {
        (s.item_id, s.booking_id): int(s.quantity)
        for s in Shortage.objects.filter(closed_at=None, item__isnull=False)
    }
    for item, thing in machine.twin.items.items():
        for hour in range(machine.twin.now, machine.twin.last_change):
            excess = machine.twin.taken(item, hour) - thing.there(hour)
            if excess > 0:
                assert sum(count for (pk, _), count in short.items() if pk == item) >= excess, (
                    thing.name,
                    hour,
                )


def who_waits_for_a_unit_that_cannot_come_is_short_of_it(machine: Machine) -> None:
    open_ones = set(
        Shortage.objects.filter(closed_at=None, unit__isnull=False).values_list("booking_id", "unit_id")
    )
    for booking, unit, promise in machine.twin.live():
        thing = machine.twin.units[unit]
        if promise.use[0] > machine.twin.now and not (
            thing.condition == "ready" and thing.is_here(promise.blocked)
        ):
            assert (booking.number, unit) in open_ones, (booking.number, thing)
    for number, unit in open_ones:
        promise = machine.twin.bookings[number].promises.get(unit)
        assert promise, "short of what it does not ask for"


def versions_only_grow_and_every_change_has_one(machine: Machine) -> None:
    for real in machine.bookings:
        says = (real.state, real.hold_until, real.starts_at, real.ends_at)
        version, said = machine.versions.get(real.pk, (0, ()))
        assert real.version > version or (real.version == version and says == said)
        machine.versions[real.pk] = (real.version, says)


def history_tells_every_change(machine: Machine) -> None:
    assert records.broken_history(machine.events_before) == []


def the_outbox_holds_what_was_announced(machine: Machine) -> None:
    assert records.announced() == {topic: ids for topic, ids in machine.told.items() if ids}
    machine.told = {}
    machine.before = records.everything()


def _hours(during: Any) -> tuple[int, int]:
    return hour_of(during.lower), hour_of(during.upper)


def _granted(minutes: int | None) -> int | None:
    return None if minutes is None else minutes // 60


ALWAYS = (
    no_unit_is_promised_twice,
    bookings_stand_as_the_twin_says,
    promises_are_those_of_the_twin,
    whoever_stays_on_set_blocks_until_the_next_begins,
    granted_minutes_are_what_is_blocked,
    lines_are_those_of_the_twin,
    nothing_blocks_for_what_is_cancelled_or_only_asked,
    kits_have_all_their_parts_or_are_not_there,
    more_is_promised_than_there_is_only_beside_an_open_shortage,
    who_waits_for_a_unit_that_cannot_come_is_short_of_it,
    versions_only_grow_and_every_change_has_one,
    history_tells_every_change,
    the_outbox_holds_what_was_announced,
)
