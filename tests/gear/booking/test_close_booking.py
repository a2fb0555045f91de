"""A booking is closed: its gear is back, and nothing of it blocks longer than it was promised."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gear.booking import services
from gear.booking.models import Booking
from gear.booking.returns import return_units
from gear.errors import Conflict
from tests.builders import a_unit
from tests.gear.booking.times import a_type, at, booked

pytestmark = pytest.mark.django_db


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch):
    """``clock(11)``: it is that hour of the day."""
    return lambda hour: monkeypatch.setattr("django.utils.timezone.now", lambda: at(hour))


def test_an_early_close_frees_from_now_plus_turnaround(clock) -> None:
    unit = a_unit(a_type(turnaround=60))
    booking = booked(10, 16, unit)
    clock(12)
    services.close_booking(booking, None)
    booked(13, 14, unit)


def test_a_turnaround_that_was_lengthened_does_not_reach_into_the_next_promise(clock) -> None:
    kind = a_type(turnaround=60)
    unit = a_unit(kind)
    first = booked(10, 12, unit)
    booked(13, 15, unit)
    kind.turnaround_minutes = 240
    kind.save()
    clock(11.5)
    services.close_booking(first, None)
    assert first.allocations.get().blocked.upper == at(12.5)


def test_a_preparation_that_was_lengthened_does_not_reach_into_the_promise_before(clock) -> None:
    kind = a_type(prep=0)
    unit = a_unit(kind)
    booked(8, 10, unit)
    second = booked(10, 14, unit)
    kind.prep_minutes = 120
    kind.save()
    clock(12)
    return_units(second, [unit.pk], at(12))
    assert second.allocations.get().blocked.lower == at(10)


def test_a_unit_that_came_back_earlier_stays_with_who_has_it_now(clock) -> None:
    unit = a_unit(a_type())
    first = booked(10, 16, unit)
    clock(11)
    return_units(first, [unit.pk], at(11))
    booked(12, 14, unit)
    clock(13)
    services.close_booking(first, None)
    assert first.allocations.get().use.upper == at(11)


def test_before_it_began_nothing_of_it_blocks(clock) -> None:
    unit = a_unit(a_type())
    booking = booked(10, 12, unit)
    clock(9)
    services.close_booking(booking, None)
    booked(10, 12, unit)


def test_what_is_cancelled_is_not_closed() -> None:
    booking = booked(10, 12, a_unit(a_type()))
    services.cancel(booking, None)
    with pytest.raises(Conflict, match="is cancelled"):
        services.close_booking(booking, None)
    assert Booking.objects.get(pk=booking.pk).state == Booking.State.CANCELLED


def test_closing_twice_changes_nothing() -> None:
    booking = booked(10, 12, a_unit(a_type()))
    closed = services.close_booking(booking, None)
    again = services.close_booking(booking, None)
    assert (again.version, again.updated_at - closed.updated_at) == (closed.version, timedelta(0))
