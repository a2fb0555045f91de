"""A booking of many units costs no more statements than one of two."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from gear.booking import services
from gear.booking.blocking import derive_anew
from gear.booking.clashes import UnitTaken
from gear.booking.interval import Period, period
from gear.booking.models import Booking
from gear.booking.returns import return_units
from gear.booking.rules import now
from gear.inventory.models import Unit
from tests.builders import a_unit
from tests.gear.booking.times import a_type, between, booked

pytestmark = pytest.mark.django_db

Act = Callable[[Booking, list[int]], object]


def units(count: int) -> list[Unit]:
    """Units of two types in turn, every third with a turnaround of its own."""
    types = [a_type(prep=30, turnaround=60), a_type(turnaround=120)]
    return [a_unit(types[n % 2], turnaround_minutes=45 if n % 3 == 0 else None) for n in range(count)]


def begun(booking: Booking) -> Booking:
    """The same booking, as if it had begun an hour ago."""
    shift = now() - timedelta(hours=1) - booking.starts_at
    Booking.objects.filter(pk=booking.pk).update(
        starts_at=booking.starts_at + shift, ends_at=booking.ends_at + shift
    )
    derive_anew([booking.pk])
    booking.refresh_from_db()
    return booking


def cancelled(booking: Booking) -> Booking:
    """The same booking, cancelled."""
    return services.cancel(booking, None)


def as_it_is(booking: Booking) -> Booking:
    """The same booking."""
    return booking


ACTS: dict[str, tuple[Callable[[Booking], Booking], Act]] = {
    "promise": (as_it_is, lambda booking, more: services.promise_units(booking, more, None)),
    "release": (as_it_is, lambda booking, _: services.release_units(booking, _of(booking), None)),
    "exchange": (as_it_is, lambda booking, more: services.exchange_units(booking, _of(booking), more, None)),
    "confirm": (as_it_is, lambda booking, _: services.confirm(booking, None)),
    "cancel": (as_it_is, lambda booking, _: services.cancel(booking, None)),
    "take up again": (cancelled, lambda booking, _: services.uncancel(booking, None)),
    "move": (as_it_is, lambda booking, _: services.move_booking(booking, between(14, 18), None)),
    "close": (begun, lambda booking, _: services.close_booking(booking, None)),
    "come back": (begun, lambda booking, _: return_units(booking, _of(booking), now())),
}


def _of(booking: Booking) -> list[int]:
    return sorted(booking.allocations.values_list("unit_id", flat=True))


def statements(act: str, count: int) -> int:
    """How many statements an act takes on a booking of so many units that may get as many more."""
    before, do = ACTS[act]
    booking = before(booked(10, 12, *units(count), state="hold"))
    more = [unit.pk for unit in units(count)]
    with CaptureQueriesContext(connection) as seen:
        do(booking, more)
    return len(seen)


@pytest.mark.parametrize("act", ACTS)
def test_many_units_cost_no_more_statements_than_two(act: str) -> None:
    assert statements(act, 9) == statements(act, 2)


def test_many_units_of_ended_holds_are_taken_with_no_more_statements_than_two() -> None:
    def taken(count: int) -> int:
        wanted = units(count)
        for unit in wanted:
            held = booked(10, 12, unit, state="hold")
            Booking.objects.filter(pk=held.pk).update(hold_until=now() - timedelta(minutes=1))
        booking = booked(10, 12)
        with CaptureQueriesContext(connection) as seen:
            services.promise_units(booking, [unit.pk for unit in wanted], None)
        return len(seen)

    assert taken(9) == taken(2)


def test_a_refusal_of_many_names_each_with_no_more_statements_than_of_two() -> None:
    def refused(count: int) -> int:
        wanted = units(count)
        booked(10, 12, *wanted, title="Earlier")
        booking = booked(11, 13)
        with CaptureQueriesContext(connection) as seen, pytest.raises(UnitTaken) as refusal:
            services.promise_units(booking, [unit.pk for unit in wanted], None)
        assert [unit.pk for unit in refusal.value.units] == [unit.pk for unit in wanted]
        return len(seen)

    assert refused(9) == refused(2)


def test_each_of_many_is_refused_by_its_own_prep_and_turnaround() -> None:
    slow, quick = a_unit(a_type(turnaround=120)), a_unit(a_type(turnaround=30))
    booked(8, 10, slow, quick)
    with pytest.raises(UnitTaken) as refusal:
        booked(11, 13, slow, quick)
    assert refusal.value.units == (slow,)


def test_each_of_many_that_stands_again_blocks_by_its_own_prep_and_turnaround() -> None:
    slow, quick = a_unit(a_type(turnaround=120)), a_unit(a_type(prep=15))
    booking = cancelled(booked(8, 10, slow, quick))
    services.uncancel(booking, None)
    blocked: dict[int, Any] = dict(booking.allocations.values_list("unit_id", "blocked"))
    assert blocked[slow.pk].upper == booking.ends_at + timedelta(minutes=120)
    assert blocked[quick.pk].lower == booking.starts_at - timedelta(minutes=15)
    assert booking.allocations.filter(active=True).count() == 2


def test_what_came_back_earlier_than_the_rest_is_not_taken_back_by_closing() -> None:
    quick, slow = a_unit(a_type()), a_unit(a_type())
    booking = begun(booked(8, 20, quick, slow))
    return_units(booking, [quick.pk], now() - timedelta(minutes=30))
    other = services.open_booking("Next", _soon(), None, state="confirmed")
    services.promise_units(other, [quick.pk], None)
    services.close_booking(booking, None)
    assert booking.allocations.get(unit=quick).use.upper < now() - timedelta(minutes=29)
    assert other.allocations.get().active


def test_a_changed_turnaround_does_not_lengthen_what_comes_back_early() -> None:
    unit = a_unit(a_type(turnaround=60))
    booking = begun(booked(8, 20, unit))
    Unit.objects.filter(pk=unit.pk).update(turnaround_minutes=2000)
    at = now()
    return_units(booking, [unit.pk], at)
    assert booking.allocations.get().blocked.upper == at + timedelta(minutes=60)


def _soon() -> Period:
    start = now() - timedelta(minutes=15)
    return period(start, start + timedelta(hours=2), "UTC")
