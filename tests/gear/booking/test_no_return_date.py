"""Out with no return date (case 6): it blocks everything after, somebody has to look at it again, and closing it frees
from the real return. Every loan has an end or a day on which it is looked at: Spectrum, loans out."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from gear.booking.clashes import UnitTaken
from gear.booking.models import Booking
from gear.booking.open_end import leave_open
from gear.booking.parting import merge, split_at
from gear.booking.queries import free_units
from gear.booking.returns import return_units
from gear.booking.services import close_booking, move_booking, open_booking
from gear.booking.wall_time import OPEN_END, say, say_period
from gear.errors import Conflict, Invalid
from gear.shortages.models import Shortage
from gear.shortages.services import move_for
from tests.builders import a_unit
from tests.gear.booking.times import a_type, at, between, booked, set_clock

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return a_unit(a_type(turnaround=120), tag="K-03")


def test_without_a_return_date_everything_after_is_blocked_and_the_refusal_says_when_it_is_looked_at(
    unit,
) -> None:
    lent = leave_open(booked(10, 12, unit, title="Lent out"), at(240), None)
    assert lent.allocations.get().blocked.upper > OPEN_END
    for start in (12, 24 * 365, 24 * 1000):
        with pytest.raises(UnitTaken, match="nobody has said when it comes back") as refused:
            booked(start, start + 2, unit)
        assert say(at(240), "UTC") in refused.value.sentence
        assert "no return date" in refused.value.sentence
        assert not any(way.startswith("Start from") for way in refused.value.ways_out)
    assert unit not in free_units(between(2000, 2001).interval)
    booked(6, 8, unit)


@pytest.mark.parametrize("review", [lambda: at(-24 * 40), lambda: at(0) + timedelta(days=400)])
def test_somebody_has_to_look_at_it_again_within_a_year(unit, review) -> None:
    booking = booked(10, 12, unit)
    with pytest.raises(Invalid) as refused:
        leave_open(booking, review(), None)
    assert refused.value.problems[0].where == "review"
    booking.refresh_from_db()
    assert booking.ends_at == at(12)


def test_the_table_itself_keeps_none_without_a_moment_to_look_again() -> None:
    booking = open_booking("A", between(10, 12), None)
    with (
        pytest.raises(IntegrityError, match="booking_without_an_end_is_looked_at_again"),
        transaction.atomic(),
    ):
        Booking.objects.filter(pk=booking.pk).update(ends_at=OPEN_END)


def test_what_comes_after_already_refuses_it(unit) -> None:
    booking = booked(10, 12, unit, title="Lent out")
    booked(300, 302, unit, title="Much later")
    with pytest.raises(UnitTaken, match="“Much later”"):
        leave_open(booking, at(240), None)


def test_closing_it_frees_from_the_real_return_plus_turnaround(unit, monkeypatch) -> None:
    lent = leave_open(booked(10, 12, unit, title="Lent out"), at(240), None)
    set_clock(monkeypatch, at(100))
    closed = close_booking(lent, None)
    assert (closed.ends_at, closed.state, closed.allocations.get().blocked.upper) == (
        at(100),
        "closed",
        at(102),
    )
    booked(102, 103, unit)


def test_a_scan_of_what_came_back_frees_it_too(unit, monkeypatch) -> None:
    lent = leave_open(booked(10, 12, unit, title="Lent out"), at(240), None)
    set_clock(monkeypatch, at(100))
    return_units(lent, [unit.pk], at(100))
    booked(102, 103, unit)


def test_an_end_that_is_given_later_is_an_end(unit) -> None:
    lent = leave_open(booked(10, 12, unit), at(240), None)
    moved = move_booking(lent, between(10, 50), None)
    assert (moved.ends_at, moved.review_at) == (at(50), None)
    booked(52, 53, unit)


def test_it_is_looked_at_another_time_when_somebody_says_so(unit) -> None:
    lent = leave_open(booked(10, 12, unit), at(240), None)
    assert leave_open(lent, at(480), None).review_at == at(480)


def test_counted_things_stay_out_as_well() -> None:
    from gear.stock.queries import availability
    from gear.stock.services import Wanted, promise_stock
    from tests.gear.stock.counted import an_item

    item = an_item(10)
    booking = booked(10, 12)
    promise_stock(booking, [Wanted(item.pk, 6)], None)
    leave_open(booking, at(240), None)
    assert availability(item, between(5000, 5001).interval).free == 4


def test_split_the_later_part_has_no_return_date_and_merged_the_whole(unit) -> None:
    lent = leave_open(booked(10, 12, unit), at(240), None)
    later = split_at(lent, at(11), None)
    lent.refresh_from_db()
    assert (lent.ends_at, lent.review_at, later.ends_at, later.review_at) == (at(11), None, OPEN_END, at(240))
    whole = merge(lent, later, None)
    assert (whole.ends_at, whole.review_at) == (OPEN_END, at(240))


def test_without_an_end_nothing_moves_as_a_whole_for_a_shortage(unit) -> None:
    lent = leave_open(booked(10, 12, unit), at(240), None)
    short = Shortage.objects.create(booking=lent, unit=unit, cause="damage")
    with pytest.raises(Conflict, match="no return date"):
        move_for(short, at(20), None)


def test_it_is_said_without_an_end() -> None:
    assert say_period(at(10), OPEN_END, "UTC").endswith("10:00, no return date")
