"""Prep and turnaround other than the unit's. Case 59: granted for one promise with a reason. Case 56: waived because
the gear stays on set for the same people. Case 57: what a changed setting would do to what is promised already."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gear.booking.buffers import give_usual_buffers, grant_buffers
from gear.booking.clashes import UnitTaken
from gear.booking.models import Allocation
from gear.booking.parting import split_off
from gear.booking.queries import free_units
from gear.booking.returns import return_units
from gear.booking.services import (
    Move,
    cancel,
    confirm,
    hold,
    move_booking,
    move_bookings,
    open_booking,
    promise_units,
    release_units,
)
from gear.booking.staying import stay_on_set
from gear.booking.today import would_clash
from gear.errors import Conflict, Gone, Invalid
from gear.inventory.services import report_fault
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, at, between, blocked, booked, set_clock

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    """Two hours of turnaround, half an hour of prep."""
    return a_unit(a_type(prep=30, turnaround=120), tag="K-03")


@pytest.fixture
def runa():
    return a_person()


def grant(booking, unit, by=None, prep=None, turnaround=None, why="a second crew checks it on set"):
    return grant_buffers(
        booking, unit.pk, by, prep=prep, turnaround=turnaround, why=why, role="Studio manager"
    )


def test_granted_turnaround_lets_the_next_have_it_sooner(unit, runa) -> None:
    first = booked(10, 12, unit)
    with pytest.raises(UnitTaken, match="K-03"):
        booked(13, 15, unit)
    promise = grant(first, unit, runa, turnaround=30)
    assert blocked(first, unit) == (at(9.5), at(12.5))
    assert (promise.given_by, promise.given_role, promise.given_why) == (
        runa,
        "Studio manager",
        "a second crew checks it on set",
    )
    booked(13, 15, unit)


def test_granted_prep_promises_a_unit_that_the_usual_prep_would_not(unit) -> None:
    booked(10, 12, unit, title="Before")
    later = open_booking("Later", between(14, 15), None)
    with pytest.raises(UnitTaken):
        promise_units(later, [unit.pk], None)
    grant(later, unit, prep=0)
    assert blocked(later, unit) == (at(14), at(17))


def test_granted_minutes_that_are_not_enough_are_refused_with_who_has_it(unit) -> None:
    booked(10, 12, unit, title="Before")
    later = open_booking("Later", between(13, 15), None)
    with pytest.raises(UnitTaken, match="“Before”") as refused:
        grant(later, unit, prep=0)
    assert "free from" in refused.value.sentence
    assert not later.allocations.exists()


def test_longer_than_usual_can_be_granted_and_may_be_in_the_way(unit) -> None:
    first = booked(10, 12, unit)
    booked(15, 16, unit, title="Next")
    with pytest.raises(UnitTaken, match="“Next”"):
        grant(first, unit, turnaround=300)
    assert blocked(first, unit) == (at(9.5), at(14))
    grant(first, unit, turnaround=140)
    assert blocked(first, unit) == (at(9.5), at(14 + 1 / 3))


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"turnaround": 30, "why": "  "}, "why"),
        ({"turnaround": 30, "why": "x" * 201}, "why"),
        ({"turnaround": -1}, "turnaround_minutes"),
        ({"prep": 60 * 24 * 30 + 1}, "prep_minutes"),
        ({}, "prep_minutes"),
    ],
)
def test_without_a_reason_or_with_minutes_that_cannot_be_nothing_is_granted(unit, asked, field) -> None:
    booking = booked(10, 12, unit)
    with pytest.raises(Invalid) as refused:
        grant(booking, unit, **asked)
    assert refused.value.problems[0].where == field
    assert booking.allocations.get().turnaround_given is None


def test_the_table_itself_asks_for_the_reason(unit) -> None:
    from django.db import IntegrityError, transaction

    booking = booked(10, 12, unit)
    with pytest.raises(IntegrityError, match="booking_other_minutes_have_a_reason"), transaction.atomic():
        booking.allocations.update(turnaround_given=5)


def test_granted_minutes_stay_with_a_promise_that_is_moved_and_can_be_taken_back(unit) -> None:
    first, later = booked(10, 12, unit), open_booking("Later", between(13.5, 15), None)
    grant(first, unit, turnaround=30)
    promise_units(later, [unit.pk], None)
    move_booking(first, between(10, 12.5), None)
    assert blocked(first, unit) == (at(9.5), at(13))
    with pytest.raises(UnitTaken):
        give_usual_buffers(first, unit.pk, None)
    assert first.allocations.get().turnaround_given == 30
    release_units(later, [unit.pk], None)
    give_usual_buffers(first, unit.pk, None)
    assert blocked(first, unit) == (at(9.5), at(14.5))
    assert first.allocations.get().given_why == ""


def test_an_ended_hold_that_is_confirmed_keeps_its_granted_minutes(unit, monkeypatch) -> None:
    held = booked(10, 12, unit, state="hold", hold_until=at(-48))
    grant(held, unit, turnaround=0)
    set_clock(monkeypatch, at(-47))
    booked(12.5, 14, unit, title="Next")
    confirm(held, None)
    assert blocked(held, unit) == (at(9.5), at(12))


def test_an_enquiry_blocks_nobody_and_is_granted_nothing(unit) -> None:
    with pytest.raises(Conflict, match="hold first"):
        grant(booked(10, 12, unit, state="enquiry"), unit, turnaround=0)


def test_what_is_not_there_is_given_nothing_back(unit) -> None:
    with pytest.raises(Gone):
        give_usual_buffers(booked(10, 12), unit.pk, None)


@pytest.mark.parametrize("how", ["grant", "renew", "move"])
def test_an_ended_hold_is_no_obstacle_to_longer_minutes(unit, monkeypatch, how) -> None:
    """Its row stands within what was granted, and outside of what the unit usually needs."""
    first = booked(10, 12, unit, state="hold", hold_until=at(-48))
    if how != "grant":
        grant(first, unit, turnaround=300)
    if how == "move":
        confirm(first, None)
    start = 17.5 if how == "renew" else 20
    ended = booked(start, start + 1, unit, state="hold", hold_until=at(-48), title="Ended")
    set_clock(monkeypatch, at(-47))
    if how == "grant":
        confirm(first, None)
        grant(first, unit, turnaround=600)
        assert blocked(first, unit)[1] == at(22)
    elif how == "renew":
        move_booking(first, between(10, 12.5), None)
        confirm(first, None)
        assert blocked(first, unit)[1] == at(17.5)
    else:
        move_booking(first, between(10, 15), None)
        assert blocked(first, unit)[1] == at(20)
    assert ended.state == "hold"


def test_to_an_enquiry_that_notes_a_unit_nothing_is_given_back(unit) -> None:
    noted = booked(10, 12, unit, state="enquiry")
    with pytest.raises(Conflict):
        give_usual_buffers(noted, unit.pk, None)
    assert not noted.allocations.get().active


def test_an_ended_hold_is_given_nothing_back_before_it_is_renewed(unit, monkeypatch) -> None:
    held = booked(10, 12, unit, state="hold", hold_until=at(-48))
    grant(held, unit, turnaround=30)
    set_clock(monkeypatch, at(-47))
    booked(11, 13, unit, title="Quicker")
    with pytest.raises(Conflict, match="Renew"):
        give_usual_buffers(held, unit.pk, None)


def test_who_waits_in_line_is_granted_no_unit_that_broke(unit) -> None:
    booked(10, 12, unit, title="First")
    waits = open_booking("Second", between(13, 15), None)
    promise_units(waits, [unit.pk], None, behind=True)
    report_fault(unit.tag, "does not fire", None)
    with pytest.raises(Conflict, match="quarantine"):
        grant(waits, unit, prep=0, turnaround=0)
    assert not waits.allocations.get().active


def test_who_stands_in_line_gets_it_before_minutes_are_granted_to_somebody_else(unit, monkeypatch) -> None:
    booked(10, 12, unit, state="hold", hold_until=at(-48))
    waits = open_booking("Second", between(11, 13), None, hold_until=at(-1))
    promise_units(waits, [unit.pk], None, behind=True)
    newcomer = open_booking("Newcomer", between(12, 14), None, state="confirmed")
    set_clock(monkeypatch, at(-47))
    with pytest.raises(UnitTaken, match="“Second”"):
        grant(newcomer, unit, prep=0)


def test_who_waits_keeps_its_place_when_its_minutes_are_taken_back(unit) -> None:
    first = booked(10, 12, unit)
    waits = open_booking("Second", between(11, 13), None)
    promise_units(waits, [unit.pk], None, behind=True)
    waits.allocations.update(turnaround_given=0, given_why="a second crew")
    since = waits.allocations.get().waits_since
    promise = give_usual_buffers(waits, unit.pk, None)
    assert (promise.active, promise.waits_since, promise.turnaround_given) == (False, since, None)
    assert blocked(waits, unit) == (at(10.5), at(15))
    assert first.allocations.get().active


# Case 56.


def two_days(unit, by, gap=0.0, *, same=True):
    first = booked(10, 12, unit, title="Day one")
    later = open_booking(
        "Day two", between(12 + gap, 16 + gap), by if same else a_person(), state="confirmed"
    )
    type(first).objects.filter(pk=first.pk).update(asked_by=by)
    first.refresh_from_db()
    return first, later


def test_gear_that_stays_on_set_needs_no_turnaround_when_the_same_people_go_on(unit, runa) -> None:
    first, later = two_days(unit, runa)
    with pytest.raises(UnitTaken):
        promise_units(later, [unit.pk], None)
    stay_on_set(first, later, [unit.pk], runa)
    assert blocked(first, unit) == (at(9.5), at(12))
    assert blocked(later, unit) == (at(12), at(18))
    assert first.allocations.get().stays_for == later


def test_it_is_blocked_for_the_night_in_between(unit, runa) -> None:
    first, later = two_days(unit, runa, gap=20)
    stay_on_set(first, later, [unit.pk], runa)
    assert blocked(first, unit) == (at(9.5), at(32))
    with pytest.raises(UnitTaken):
        booked(20, 22, unit)


def test_for_other_people_it_comes_back_in_between(unit, runa) -> None:
    first, later = two_days(unit, runa, same=False)
    with pytest.raises(Conflict, match="not of the same people"):
        stay_on_set(first, later, [unit.pk], runa)


def test_somebody_in_between_or_right_afterwards_refuses_it(unit, runa) -> None:
    first, later = two_days(unit, runa, gap=20)
    between_them = booked(20, 22, unit, title="In between")
    with pytest.raises(UnitTaken, match="“In between”"):
        stay_on_set(first, later, [unit.pk], runa)
    cancel(between_them, None)
    booked(37, 38, unit, title="Afterwards")
    with pytest.raises(UnitTaken, match="“Afterwards”"):
        stay_on_set(first, later, [unit.pk], runa)
    assert first.allocations.get().stays_for is None
    assert not later.allocations.exists()


@pytest.mark.parametrize("act", ["cancel", "release"])
def test_when_the_later_one_goes_the_turnaround_is_back(unit, runa, act) -> None:
    first, later = two_days(unit, runa)
    stay_on_set(first, later, [unit.pk], runa)
    cancel(later, None) if act == "cancel" else release_units(later, [unit.pk], None)
    assert blocked(first, unit) == (at(9.5), at(14))
    with pytest.raises(UnitTaken):
        booked(13, 15, unit)
    assert unit not in free_units(between(13, 15).interval)


def test_when_the_later_one_lapses_nobody_slips_into_the_turnaround(unit, runa, monkeypatch) -> None:
    first, later = two_days(unit, runa)
    hold(later, None, at(-48))
    stay_on_set(first, later, [unit.pk], runa)
    set_clock(monkeypatch, at(-47))
    with pytest.raises(UnitTaken, match="“Day one”"):
        booked(13, 15, unit)


def test_whoever_came_right_after_the_later_one_keeps_it(unit, runa) -> None:
    first, later = two_days(unit, runa)
    stay_on_set(first, later, [unit.pk], runa)
    move_booking(later, between(12, 12.5), runa)
    soon = open_booking("Soon", between(13, 14), None)
    grant(later, unit, turnaround=0)
    grant(soon, unit, prep=0)
    cancel(later, None)
    assert blocked(first, unit) == (at(9.5), at(13))


def test_both_shift_in_one_step_and_stay_together(unit, runa) -> None:
    first, later = two_days(unit, runa)
    stay_on_set(first, later, [unit.pk], runa)
    move_bookings([Move(first.pk, between(11, 13)), Move(later.pk, between(13, 17))], runa)
    assert blocked(first, unit) == (at(10.5), at(13))
    assert blocked(later, unit) == (at(13), at(19))


def test_the_later_one_moved_by_itself_leaves_it_on_set_for_longer(unit, runa) -> None:
    first, later = two_days(unit, runa)
    stay_on_set(first, later, [unit.pk], runa)
    move_booking(later, between(15, 19), runa)
    assert (blocked(first, unit)[1], blocked(later, unit)[0]) == (at(15), at(15))
    with pytest.raises(Conflict):
        move_booking(later, between(11, 14), runa)
    assert blocked(later, unit)[0] == at(15)


def test_what_came_back_early_after_all_has_its_turnaround(unit, runa, monkeypatch) -> None:
    first, later = two_days(unit, runa, gap=20)
    stay_on_set(first, later, [unit.pk], runa)
    set_clock(monkeypatch, at(11))
    return_units(first, [unit.pk], at(11))
    assert blocked(first, unit) == (at(9.5), at(13))
    assert first.allocations.get().stays_for is None


def test_a_unit_that_is_split_off_the_later_one_goes_on_staying(unit, runa) -> None:
    other = a_unit(a_type())
    first, later = two_days(unit, runa)
    promise_units(later, [other.pk], None)
    stay_on_set(first, later, [unit.pk], runa)
    part = split_off(later, [unit.pk], runa)
    assert first.allocations.get().stays_for == part


def test_only_what_it_has_can_stay_and_only_for_what_follows(unit, runa) -> None:
    first, later = two_days(unit, runa)
    with pytest.raises(Conflict, match="does not have"):
        stay_on_set(first, later, [a_unit(a_type()).pk], runa)
    with pytest.raises(Invalid, match="begins before"):
        stay_on_set(later, first, [unit.pk], runa)


# Case 57.


def test_a_longer_turnaround_lists_what_would_clash_and_changes_nothing(unit) -> None:
    kind = unit.gear_type
    first, next_one = booked(10, 12, unit, title="First"), booked(15, 16, unit, title="Next")
    booked(30, 31, unit, title="Far off")
    assert would_clash([unit.pk]) == []
    kind.turnaround_minutes = 240
    kind.save()
    (found,) = would_clash([unit.pk])
    assert (found.before.booking, found.after.booking, found.short_minutes) == (first, next_one, 90)
    assert blocked(first, unit) == (at(9.5), at(14))


def test_what_was_agreed_is_not_listed(unit, runa) -> None:
    first, later = two_days(unit, runa)
    stay_on_set(first, later, [unit.pk], runa)
    after = open_booking("After", between(17, 18), None)
    grant(later, unit, turnaround=30)
    grant(after, unit, prep=30)
    unit.gear_type.turnaround_minutes = 240
    unit.gear_type.save()
    assert would_clash([unit.pk]) == []
    assert Allocation.objects.filter(active=True).count() == 3


def test_ended_holds_and_what_is_over_are_not_listed(unit, monkeypatch) -> None:
    booked(10, 12, unit, state="hold", hold_until=at(-48))
    booked(15, 16, unit)
    unit.gear_type.turnaround_minutes = 240
    unit.gear_type.save()
    assert len(would_clash([unit.pk])) == 1
    assert would_clash([unit.pk], at(-47)) == []
    set_clock(monkeypatch, at(15) + timedelta(days=3))
    assert would_clash([unit.pk]) == []
