"""What becomes of gear that stays on set when one of the two bookings goes, moves or ends (case 56): turnaround and
prep are back, as far as nobody else has the unit."""

from __future__ import annotations

import pytest
from django.db.backends.postgresql.psycopg_any import DateTimeTZRange

from gear.booking.buffers import grant_buffers
from gear.booking.clashes import UnitTaken
from gear.booking.models import UnitWindow
from gear.booking.open_end import leave_open
from gear.booking.parting import merge
from gear.booking.queries import free_units
from gear.booking.returns import return_units
from gear.booking.services import (
    cancel,
    close_booking,
    confirm,
    hold,
    move_booking,
    open_booking,
    promise_units,
    release_units,
)
from gear.booking.staying import stay_on_set
from gear.booking.tasks import move_up
from gear.errors import Refusal
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, at, between, blocked, booked, set_clock

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    """Two hours of turnaround, one hour of prep."""
    return a_unit(a_type(prep=60, turnaround=120), tag="K-03")


@pytest.fixture
def runa():
    return a_person()


def opened(start, end, by, title="A", **more):
    return open_booking(title, between(start, end), by, **{"state": "confirmed", **more})


def two_days(unit, by, second=(20, 24)):
    """Ten to twelve, and going on later."""
    first, later = opened(10, 12, by, "Day one"), opened(*second, by, "Day two")
    promise_units(first, [unit.pk], by)
    stay_on_set(first, later, [unit.pk], by)
    return first, later


GOING = {
    "cancel": lambda first, unit: cancel(first, None),
    "release": lambda first, unit: release_units(first, [unit.pk], None),
    "close": lambda first, unit: close_booking(first, None),
    "move": lambda first, unit: move_booking(first, between(40, 42), None),
}


@pytest.mark.parametrize("how", GOING)
def test_when_the_first_one_goes_the_later_one_has_its_prep_again(unit, runa, how) -> None:
    first, later = two_days(unit, runa)
    GOING[how](first, unit)
    assert blocked(later, unit) == (at(19), at(26))
    assert not first.allocations.filter(stays_for__isnull=False).exists()
    assert unit not in free_units(between(17, 17.5).interval)


def test_when_it_came_back_early_right_before_the_later_one_it_has_its_turnaround(
    unit, runa, monkeypatch
) -> None:
    first, later = two_days(unit, runa, second=(12, 14))
    set_clock(monkeypatch, at(10.5))
    close_booking(first, None)
    assert blocked(first, unit) == (at(9), at(12))
    assert blocked(later, unit) == (at(12), at(16))


def test_the_prep_is_as_long_as_the_early_return_leaves_time_for(unit, runa, monkeypatch) -> None:
    first, later = two_days(unit, runa, second=(13.5, 15))
    set_clock(monkeypatch, at(11))
    close_booking(first, None)
    assert blocked(first, unit) == (at(9), at(13))
    assert blocked(later, unit) == (at(13), at(17))


@pytest.mark.parametrize("ended", ["first", "later"])
def test_when_a_hold_ends_the_sweep_ends_what_stayed(unit, runa, monkeypatch, ended) -> None:
    first, later = two_days(unit, runa, second=(12, 14))
    hold(first if ended == "first" else later, None, at(-48))
    set_clock(monkeypatch, at(-47))
    move_up()
    stands, since_until = (later, (at(11), at(16))) if ended == "first" else (first, (at(9), at(14)))
    assert blocked(stands, unit) == since_until
    assert unit not in free_units(
        between(14.5, 15).interval if ended == "first" else between(12, 13).interval
    )
    assert unit not in free_units(between(11.5, 12).interval)


def test_between_two_holds_that_end_together_it_has_its_prep_and_its_turnaround(
    unit, runa, monkeypatch
) -> None:
    ends = {"state": "hold", "hold_until": at(-30)}
    first, middle, last = opened(10, 12, runa, **ends), opened(20, 24, runa), opened(30, 32, runa, **ends)
    promise_units(first, [unit.pk], runa)
    stay_on_set(first, middle, [unit.pk], runa)
    stay_on_set(middle, last, [unit.pk], runa)
    assert blocked(middle, unit) == (at(20), at(30))
    set_clock(monkeypatch, at(-29))
    move_up()
    assert blocked(middle, unit) == (at(19), at(26))


def test_an_ended_hold_that_somebody_takes_gives_the_later_one_its_prep(unit, runa, monkeypatch) -> None:
    first, later = two_days(unit, runa)
    hold(first, None, at(-48))
    set_clock(monkeypatch, at(-47))
    booked(10, 11, unit, title="Quicker")
    assert blocked(later, unit)[0] == at(19)


def test_an_ended_hold_in_the_gap_does_not_keep_the_later_one_from_moving(unit, runa, monkeypatch) -> None:
    first, later = two_days(unit, runa, second=(15, 16))
    booked(22, 23, unit, state="hold", hold_until=at(-48))
    set_clock(monkeypatch, at(-47))
    move_booking(later, between(30, 32), None)
    assert (blocked(first, unit)[1], blocked(later, unit)[0]) == (at(30), at(30))


def test_an_ended_hold_does_not_cut_a_turnaround_that_is_back(unit, runa, monkeypatch) -> None:
    first, later = two_days(unit, runa, second=(12, 12.5))
    grant_buffers(later, unit.pk, runa, prep=None, turnaround=0, why="looked over on set")
    ended = opened(13, 14, runa, state="hold", hold_until=at(-48))
    grant_buffers(ended, unit.pk, runa, prep=0, turnaround=None, why="looked over on set")
    set_clock(monkeypatch, at(-47))
    cancel(later, None)
    assert blocked(first, unit) == (at(9), at(14))


def test_what_stays_for_another_one_than_before_gives_that_its_prep(unit, runa) -> None:
    first, later = two_days(unit, runa, second=(30, 32))
    sooner = opened(14, 16, runa)
    stay_on_set(first, sooner, [unit.pk], runa)
    assert (blocked(first, unit)[1], blocked(sooner, unit)) == (at(14), (at(14), at(18)))
    assert blocked(later, unit) == (at(29), at(34))


def test_minutes_granted_to_the_later_one_count_when_it_is_said_that_it_stays(unit, runa) -> None:
    first, later = opened(10, 12, runa), opened(20, 22, runa)
    promise_units(first, [unit.pk], runa)
    grant_buffers(later, unit.pk, runa, prep=None, turnaround=0, why="looked over on set")
    grant_buffers(booked(23, 24), unit.pk, runa, prep=0, turnaround=None, why="looked over on set")
    stay_on_set(first, later, [unit.pk], runa)
    assert blocked(later, unit) == (at(20), at(22))


def test_a_first_one_that_stays_may_shift_though_its_turnaround_would_not_fit(unit, runa) -> None:
    first, later = two_days(unit, runa, second=(12, 12.5))
    grant_buffers(later, unit.pk, runa, prep=None, turnaround=0, why="looked over on set")
    grant_buffers(booked(13, 14), unit.pk, runa, prep=0, turnaround=None, why="looked over on set")
    move_booking(first, between(10, 11.75), None)
    assert blocked(first, unit) == (at(9), at(12))
    grant_buffers(first, unit.pk, runa, prep=30, turnaround=None, why="looked over on set")
    assert blocked(first, unit) == (at(9.5), at(12))


def test_two_that_share_a_stay_are_in_each_others_way_for_any_other_unit(unit, runa) -> None:
    first, later = two_days(unit, runa, second=(14, 16))
    other = a_unit(a_type(), tag="L-01")
    for booking in (first, later):
        promise_units(booking, [other.pk], runa)
    with pytest.raises(UnitTaken):
        grant_buffers(first, other.pk, runa, prep=None, turnaround=180, why="to be washed")
    assert first.allocations.get(unit=other).turnaround_given is None


def test_what_stays_does_not_go_on_past_the_day_its_owner_wants_it_back(runa) -> None:
    unit = a_unit(a_type(turnaround=60))
    UnitWindow.objects.create(
        unit=unit, during=DateTimeTZRange(at(0), at(40), "[)"), owner="Halden Works", goes_back_at=at(42)
    )
    _, later = two_days(unit, runa)
    UnitWindow.objects.filter(unit=unit).update(during=DateTimeTZRange(at(11), at(40), "[)"))
    with pytest.raises(Refusal):
        move_booking(later, between(21, 24), runa)


def test_what_is_lent_to_us_can_be_closed_though_its_owner_took_it_back(unit, runa, monkeypatch) -> None:
    UnitWindow.objects.create(
        unit=unit, during=DateTimeTZRange(at(0), at(40), "[)"), owner="Halden Works", goes_back_at=at(42)
    )
    booking = booked(10, 20, unit)
    UnitWindow.objects.filter(unit=unit).update(during=DateTimeTZRange(at(0), at(11), "[)"))
    set_clock(monkeypatch, at(12))
    close_booking(booking, None)
    assert blocked(booking, unit) == (at(9), at(14))


def test_without_a_return_date_it_stays_all_the_same(unit, runa) -> None:
    first, later = two_days(unit, runa)
    leave_open(later, at(48), runa)
    assert (blocked(first, unit)[1], blocked(later, unit)[0]) == (at(20), at(20))
    with pytest.raises(UnitTaken):
        booked(400, 402, unit)


def test_confirmed_afterwards_it_stays_all_the_same(unit, runa) -> None:
    first, later = opened(10, 12, runa, state="hold"), opened(20, 24, runa, state="hold")
    promise_units(first, [unit.pk], runa)
    stay_on_set(first, later, [unit.pk], runa)
    confirm(later, runa)
    confirm(first, runa)
    assert (blocked(first, unit)[1], blocked(later, unit)[0]) == (at(20), at(20))


def test_what_stays_on_set_stays_when_two_bookings_become_one(unit, runa) -> None:
    first, later = two_days(unit, runa, second=(12, 14))
    morning = opened(8, 10, runa)
    whole = merge(morning, first, runa)
    assert (whole.pk, blocked(whole, unit), blocked(later, unit)[0]) == (morning.pk, (at(7), at(12)), at(12))
    assert whole.allocations.get(unit=unit).stays_for == later


def test_granted_minutes_stay_when_two_bookings_become_one(unit, runa) -> None:
    morning, first = opened(8, 10, runa), opened(10, 12, runa)
    promise_units(first, [unit.pk], runa)
    grant_buffers(first, unit.pk, runa, prep=None, turnaround=0, why="looked over on set")
    whole = merge(morning, first, runa)
    assert blocked(whole, unit) == (at(7), at(12))
    assert whole.allocations.get(unit=unit).given_why == "looked over on set"


def test_what_is_back_before_it_was_used_stays_for_nobody(unit, runa, monkeypatch) -> None:
    first, later = two_days(unit, runa)
    third = opened(30, 32, runa)
    stay_on_set(later, third, [unit.pk], runa)
    set_clock(monkeypatch, at(15))
    return_units(later, [unit.pk], at(15))
    assert blocked(third, unit)[0] == at(29)
    assert first.allocations.get().stays_for is None
