from __future__ import annotations

import pytest

from gear.booking import services
from gear.booking.clashes import UnitTaken
from gear.booking.services import Move
from gear.errors import Conflict
from tests.builders import a_unit
from tests.gear.booking.times import a_type, at, between, booked

pytestmark = pytest.mark.django_db


def test_a_moved_booking_blocks_its_new_time_with_prep_and_turnaround() -> None:
    unit = a_unit(a_type(prep=30, turnaround=60))
    booking = booked(10, 12, unit)
    services.move_booking(booking, between(14, 17), None)
    promise = booking.allocations.get()
    assert (promise.blocked.lower, promise.blocked.upper) == (at(13.5), at(18))


def test_a_later_return_into_the_next_booking_is_refused_and_offers_the_latest_end_and_a_swap() -> None:
    kind = a_type(turnaround=60)
    unit = a_unit(kind)
    a_unit(kind, tag="K-05")
    booking = booked(10, 12, unit)
    booked(20, 22, unit, title="Next")
    with pytest.raises(UnitTaken) as refused:
        services.move_booking(booking, between(10, 21), None)
    assert refused.value.ways_out[0].startswith("Take K-05")
    assert refused.value.ways_out[1].endswith("19:00.")


def test_a_refused_move_leaves_both_bookings_as_they_were() -> None:
    unit = a_unit(a_type())
    booking, other = booked(10, 12, unit), booked(20, 22, unit)
    with pytest.raises(UnitTaken):
        services.move_booking(booking, between(10, 21), None)
    booking.refresh_from_db()
    assert (booking.starts_at, booking.ends_at) == (at(10), at(12))
    assert other.allocations.get().use.lower == at(20)


def test_a_move_that_fails_for_one_unit_moves_none() -> None:
    free, busy = a_unit(a_type()), a_unit(a_type())
    booking = booked(10, 12, free, busy)
    booked(14, 16, busy)
    with pytest.raises(UnitTaken):
        services.move_booking(booking, between(14, 16), None)
    assert {promise.use.lower for promise in booking.allocations.all()} == {at(10)}


def test_a_chain_of_back_to_back_bookings_shifts_by_an_hour_in_one_step() -> None:
    unit = a_unit(a_type())
    chain = [booked(hour, hour + 2, unit) for hour in (10, 12, 14)]
    services.move_bookings(
        [Move(b.pk, between(h + 1, h + 3)) for b, h in zip(chain, (10, 12, 14), strict=True)], None
    )
    assert [b.allocations.get().use.lower for b in chain] == [at(11), at(13), at(15)]


def test_two_bookings_of_one_unit_can_change_places() -> None:
    unit = a_unit(a_type())
    first, second = booked(10, 12, unit), booked(12, 14, unit)
    services.move_bookings([Move(first.pk, between(12, 14)), Move(second.pk, between(10, 12))], None)
    assert (first.allocations.get().use.lower, second.allocations.get().use.lower) == (at(12), at(10))


def test_bookings_that_would_meet_in_one_unit_are_not_moved() -> None:
    unit = a_unit(a_type())
    first, second = booked(10, 12, unit), booked(12, 14, unit)
    with pytest.raises(Conflict):
        services.move_bookings([Move(first.pk, between(16, 18)), Move(second.pk, between(17, 19))], None)
    assert first.allocations.get().use.lower == at(10)


def test_existing_bookings_keep_the_turnaround_they_were_made_with() -> None:
    kind = a_type(turnaround=120)
    booking = booked(10, 12, a_unit(kind))
    kind.turnaround_minutes = 240
    kind.save()
    assert booking.allocations.get().blocked.upper == at(14)


def test_a_cancelled_booking_is_not_moved() -> None:
    booking = booked(10, 12, a_unit())
    services.cancel(booking, None)
    with pytest.raises(Conflict, match="cancelled"):
        services.move_booking(booking, between(14, 16), None)
