"""A 2nd hold on a unit: accepted, in its place, and in nobody's way."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from gear.booking import services
from gear.booking.clashes import UnitTaken
from gear.booking.line import in_line, ordinal, worst_ranks
from gear.booking.models import Allocation, Booking
from gear.booking.queries import free_units
from gear.booking.rules import now
from gear.errors import Conflict
from tests.builders import a_unit
from tests.gear.booking.times import a_type, at, between, booked, set_clock

pytestmark = pytest.mark.django_db


def waiting(start: float, end: float, *units, title: str = "Later", **more) -> Booking:
    """A hold that stands in line for these units where they are taken."""
    booking = services.open_booking(title, between(start, end), None, state="hold", **more)
    services.promise_units(booking, [unit.pk for unit in units], None, behind=True)
    return booking


def place_of(booking: Booking, unit):
    """Where it stands in line for the unit; None when it does not wait."""
    promise = booking.allocations.select_related("booking").get(unit=unit)
    return in_line([promise]).get(promise.pk)


def test_a_second_hold_is_accepted_with_its_rank() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit, state="hold", title="First")
    place = place_of(waiting(11, 13, unit), unit)
    assert (place.rank, place.words) == (2, "2nd hold")
    assert place.behind.startswith("behind “First” (hold until ")


def test_a_second_hold_keeps_nobody_away() -> None:
    unit = a_unit(a_type())
    first = booked(10, 12, unit, state="hold")
    later = waiting(10, 16, unit)
    assert unit in free_units(between(13, 15).interval)
    booked(13, 15, unit)
    assert services.confirm(first, None).state == "confirmed"
    assert not later.allocations.get().active


def test_a_third_hold_stands_behind_the_second() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit, state="hold", title="First")
    waiting(10, 12, unit, title="Second")
    place = place_of(waiting(11, 13, unit), unit)
    assert place.rank == 3
    assert [one.booking.title for one in place.ahead] == ["First", "Second"]


def test_two_before_one_after_the_other_make_it_a_second_hold() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    booked(12, 14, unit)
    assert place_of(waiting(10, 14, unit), unit).rank == 2


def test_the_rank_is_one_for_each_unit_and_the_booking_shows_the_worst() -> None:
    free, taken, wanted = a_unit(a_type()), a_unit(a_type()), a_unit(a_type())
    booked(10, 12, taken, wanted)
    waiting(10, 12, wanted)
    later = waiting(10, 12, free, taken, wanted)
    assert later.allocations.get(unit=free).active
    assert (place_of(later, taken).rank, place_of(later, wanted).rank) == (2, 3)
    assert worst_ranks([later.pk]) == {later.pk: 3}


def test_a_refusal_offers_to_hold_behind_and_names_the_rank() -> None:
    unit = a_unit(a_type(), tag="K-03")
    booked(10, 12, unit)
    with pytest.raises(UnitTaken) as refused:
        booked(10, 12, unit, state="hold")
    assert refused.value.may_wait
    assert any("Hold behind: K-03 on 2nd hold." in way for way in refused.value.ways_out)


def test_a_refusal_to_what_is_to_be_confirmed_offers_no_waiting() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    with pytest.raises(UnitTaken) as refused:
        booked(10, 12, unit)
    assert not refused.value.may_wait
    assert not any("Hold behind" in way for way in refused.value.ways_out)


def test_what_is_confirmed_does_not_wait() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    firm = booked(10, 12, a_unit())
    with pytest.raises(Conflict, match="only a hold waits"):
        services.promise_units(firm, [unit.pk], None, behind=True)


def test_what_waits_is_not_confirmed_until_it_has_its_unit() -> None:
    unit = a_unit(a_type())
    first = booked(10, 12, unit, title="First")
    later = waiting(10, 12, unit)
    with pytest.raises(UnitTaken, match="First") as refused:
        services.confirm(later, None)
    assert not refused.value.may_wait
    later.refresh_from_db()
    assert later.state == "hold"
    services.cancel(first, None)
    assert services.confirm(later, None).allocations.get().active


def test_asking_again_keeps_the_place() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    second, third = waiting(10, 12, unit), waiting(10, 12, unit)
    services.promise_units(second, [unit.pk], None)
    assert (place_of(second, unit).rank, place_of(third, unit).rank) == (2, 3)


def test_renewing_a_hold_keeps_its_place() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    second, third = waiting(10, 12, unit), waiting(10, 12, unit)
    services.hold(second, None, at(5))
    assert (place_of(second, unit).rank, place_of(third, unit).rank) == (2, 3)


def test_a_hold_that_ended_and_is_renewed_comes_last(monkeypatch: pytest.MonkeyPatch) -> None:
    unit, start = a_unit(a_type()), now()
    booked(10, 12, unit)
    second = waiting(10, 12, unit, hold_until=start + timedelta(hours=1))
    third = waiting(10, 12, unit)
    set_clock(monkeypatch, start + timedelta(hours=2))
    assert place_of(third, unit).rank == 2
    services.hold(second, None)
    assert (place_of(third, unit).rank, place_of(second, unit).rank) == (2, 3)


def test_a_shorter_time_keeps_the_place_and_another_comes_last() -> None:
    unit = a_unit(a_type())
    booked(10, 16, unit)
    second, third = waiting(10, 14, unit), waiting(10, 14, unit)
    services.move_booking(second, between(11, 13), None)
    assert place_of(second, unit).rank == 2
    services.move_booking(second, between(12, 15), None)
    assert (place_of(third, unit).rank, place_of(second, unit).rank) == (2, 3)


def test_an_enquiry_becomes_a_hold_behind_what_is_taken() -> None:
    unit = a_unit(a_type())
    asked = booked(10, 12, unit, state="enquiry")
    booked(10, 12, unit)
    with pytest.raises(UnitTaken):
        services.hold(asked, None)
    services.hold(asked, None, behind=True)
    assert place_of(asked, unit).rank == 2


def test_a_cancelled_booking_waits_for_nothing_and_can_be_taken_up_behind() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    later = waiting(10, 12, unit)
    services.cancel(later, None)
    assert later.allocations.get().waits_since is None
    with pytest.raises(UnitTaken):
        services.uncancel(later, None)
    services.uncancel(later, None, behind=True)
    assert place_of(later, unit).rank == 2


def test_the_database_knows_that_who_waits_does_not_block() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    later = waiting(13, 14, unit)
    with pytest.raises(IntegrityError, match="booking_who_waits_does_not_block"), transaction.atomic():
        Allocation.objects.filter(booking=later).update(active=True, waits_since=now())


@pytest.mark.parametrize(
    ("number", "word"), [(1, "1st"), (2, "2nd"), (3, "3rd"), (4, "4th"), (11, "11th"), (22, "22nd")]
)
def test_ranks_are_said_as_people_say_them(number: int, word: str) -> None:
    assert ordinal(number) == word
