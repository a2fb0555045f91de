from __future__ import annotations

from datetime import timedelta

import pytest

from gear.booking import rules, services
from gear.booking.clashes import UnitTaken
from gear.booking.models import Booking
from gear.booking.queries import free_units
from gear.errors import Conflict, Invalid, StaleEdit
from gear.inventory.models import Unit
from tests.builders import a_unit
from tests.gear.booking.times import a_type, between, booked, set_clock

pytestmark = pytest.mark.django_db


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch):
    """Move the clock that ends holds: ``clock(hours=2)`` is two hours from now."""
    real = rules.now()
    return lambda **by: set_clock(monkeypatch, real + timedelta(**by))


def test_a_hold_blocks_until_it_ends() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit, state="hold")
    with pytest.raises(UnitTaken, match="on hold"):
        booked(10, 12, unit)


def test_a_hold_ends_in_a_week_unless_told_otherwise() -> None:
    booking = booked(10, 12, state="hold")
    assert booking.hold_until is not None
    assert abs(booking.hold_until - rules.now() - timedelta(days=7)) < timedelta(minutes=1)


def test_a_hold_cannot_end_in_the_past() -> None:
    with pytest.raises(Invalid, match="must end in the future"):
        booked(10, 12, state="hold", hold_until=rules.now() - timedelta(seconds=1))


def test_an_ended_hold_blocks_nobody_by_the_clock_alone(clock) -> None:
    unit = a_unit(a_type())
    held = booked(10, 12, unit, state="hold")
    clock(days=7, seconds=1)
    assert unit in free_units(between(10, 12).interval)
    booked(10, 12, unit)
    assert not held.allocations.get().active


def test_a_hold_confirms_a_second_before_its_end(clock) -> None:
    held = booked(10, 12, a_unit(a_type()), state="hold")
    clock(days=7, seconds=-1)
    assert services.confirm(held, None).state == Booking.State.CONFIRMED


def test_at_its_end_a_hold_is_a_fresh_check_that_may_succeed(clock) -> None:
    held = booked(10, 12, a_unit(a_type()), state="hold")
    clock(days=7, seconds=1)
    confirmed = services.confirm(held, None)
    assert confirmed.allocations.get().active


def test_at_its_end_a_hold_is_a_fresh_check_that_may_fail(clock) -> None:
    unit = a_unit(a_type())
    held = booked(10, 12, unit, state="hold")
    clock(days=7, seconds=1)
    booked(11, 13, unit, title="Quicker")
    with pytest.raises(UnitTaken, match="Quicker"):
        services.confirm(held, None)
    held.refresh_from_db()
    assert held.state == Booking.State.HOLD


def test_an_ended_hold_takes_no_more_units_until_it_is_renewed(clock) -> None:
    held = booked(10, 12, a_unit(a_type()), state="hold")
    clock(days=7, seconds=1)
    with pytest.raises(Conflict, match="The hold of “A” ended"):
        services.promise_units(held, [a_unit().pk], None)
    services.hold(held, None)
    services.promise_units(held, [a_unit().pk], None)


def test_an_enquiry_that_becomes_a_hold_claims_its_units() -> None:
    unit = a_unit(a_type())
    asked = booked(10, 12, unit, state="enquiry")
    services.hold(asked, None)
    with pytest.raises(UnitTaken):
        booked(10, 12, unit)


def test_cancelling_frees_the_unit_with_its_turnaround() -> None:
    unit = a_unit(a_type(turnaround=120))
    booking = booked(10, 12, unit)
    services.cancel(booking, None)
    booked(12, 14, unit)


def test_cancelling_again_gives_the_same_answer() -> None:
    booking = booked(10, 12, a_unit())
    first = services.cancel(booking, None)
    again = services.cancel(booking, None)
    assert (again.state, again.version) == (Booking.State.CANCELLED, first.version)


def test_taking_a_cancelled_booking_up_again_promises_its_units_again() -> None:
    booking = booked(10, 12, a_unit(a_type()))
    services.cancel(booking, None)
    assert services.uncancel(booking, None).state == Booking.State.HOLD
    assert booking.allocations.get().active


def test_taking_a_cancelled_booking_up_again_may_fail() -> None:
    unit = a_unit(a_type())
    booking = booked(10, 12, unit)
    services.cancel(booking, None)
    booked(11, 13, unit, title="Meanwhile")
    with pytest.raises(UnitTaken, match="Meanwhile"):
        services.uncancel(booking, None)
    booking.refresh_from_db()
    assert booking.state == Booking.State.CANCELLED


def test_the_second_of_two_editors_is_told_and_overwrites_nothing() -> None:
    booking = booked(10, 12, a_unit())
    services.move_booking(booking, between(14, 16), None, version=booking.version)
    with pytest.raises(StaleEdit, match="changed by somebody else"):
        services.move_booking(booking, between(18, 20), None, version=booking.version)


def test_a_closed_booking_frees_its_units_from_the_real_return_plus_turnaround(clock) -> None:
    unit = a_unit(a_type(turnaround=60))
    booking = booked(10, 20, unit)
    clock(hours=(booking.starts_at - rules.now()).total_seconds() / 3600 + 2)
    services.close_booking(booking, None)
    promise = booking.allocations.get()
    assert promise.use.upper - promise.use.lower < timedelta(hours=2, minutes=1)
    assert promise.blocked.upper - promise.use.upper == timedelta(hours=1)


def test_an_old_page_does_not_cancel_what_was_changed_since() -> None:
    booking = booked(10, 12, a_unit())
    services.move_booking(booking, between(14, 16), None)
    with pytest.raises(StaleEdit):
        services.cancel(booking, None, version=booking.version)


def test_at_its_end_a_hold_is_a_fresh_check_of_the_units_condition_too(clock) -> None:
    unit = a_unit(a_type())
    held = booked(10, 12, unit, state="hold")
    clock(days=7, seconds=1)
    Unit.objects.filter(pk=unit.pk).update(condition="repair")
    with pytest.raises(Conflict, match="in repair"):
        services.confirm(held, None)
