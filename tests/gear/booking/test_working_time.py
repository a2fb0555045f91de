"""Deadlines in working hours. Clock changes 2026 in Europe/Paris: 29 March 02:00 and 25 October 03:00 (Directive
2000/84/EC: last Sundays of March and October, 01:00 UTC)."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from gear.booking.working_time import WorkingCalendar, time_left
from gear.errors import Invalid

PARIS = ZoneInfo("Europe/Paris")
NINE_TO_SIX = ((time(9), time(18)),)
WEEKDAYS = WorkingCalendar("Europe/Paris", dict.fromkeys(range(5), NINE_TO_SIX))


def paris(day: int, hour: int, minute: int = 0, month: int = 5, year: int = 2026, fold: int = 0) -> datetime:
    return datetime(year, month, day, hour, minute, tzinfo=PARIS, fold=fold)


@pytest.mark.parametrize(
    ("asked", "hours", "answer"),
    [
        (paris(12, 10), 4, paris(12, 14)),
        (paris(12, 16, 30), 4, paris(13, 11, 30)),
        (paris(12, 6), 4, paris(12, 13)),
        (paris(12, 20), 4, paris(13, 13)),
        (paris(12, 14), 4, paris(12, 18)),
        (paris(15, 16), 4, paris(18, 11)),  # Friday afternoon to Monday
        (paris(16, 12), 4, paris(18, 13)),  # asked on a Saturday
        (paris(11, 9), 45, paris(15, 18)),  # a whole week
    ],
)
def test_four_working_hours_pass_only_while_the_studio_works(asked, hours, answer) -> None:
    assert WEEKDAYS.after(asked, timedelta(hours=hours)) == answer


def test_a_holiday_is_no_working_day() -> None:
    calendar = WorkingCalendar("Europe/Paris", WEEKDAYS.hours, frozenset({date(2026, 5, 14)}))
    assert calendar.after(paris(13, 16), timedelta(hours=4)) == paris(15, 11)


def test_a_break_at_noon_does_not_count() -> None:
    calendar = WorkingCalendar("Europe/Paris", {1: ((time(9), time(12)), (time(13), time(17)))})
    assert calendar.after(paris(12, 10), timedelta(hours=4)) == paris(12, 15)


def test_over_the_night_when_the_clocks_go_forward_working_hours_are_those_on_the_wall() -> None:
    asked = paris(27, 16, month=3)  # the Friday before
    answer = WEEKDAYS.after(asked, timedelta(hours=4))
    assert answer == paris(30, 11, month=3)
    assert answer - asked == timedelta(days=2, hours=18)  # an hour less on the clock of the stars


def test_over_the_night_when_the_clocks_go_back_too() -> None:
    asked = paris(23, 16, month=10)
    answer = WEEKDAYS.after(asked, timedelta(hours=4))
    assert answer == paris(26, 11, month=10)
    assert answer - asked == timedelta(days=2, hours=20)


def test_in_a_night_shift_the_hour_that_is_jumped_over_is_not_worked() -> None:
    nights = WorkingCalendar("Europe/Paris", {6: ((time(0), time(6)),)})
    assert nights.after(paris(29, 0, month=3), timedelta(hours=4)) == paris(29, 5, month=3)
    assert nights.between(paris(29, 0, month=3), paris(30, 0, month=3)) == timedelta(hours=5)


def test_in_a_night_shift_the_hour_that_comes_twice_is_worked_twice() -> None:
    nights = WorkingCalendar("Europe/Paris", {6: ((time(0), time(6)),)})
    assert nights.after(paris(25, 0, month=10), timedelta(hours=4)) == paris(25, 3, month=10)
    assert nights.between(paris(25, 0, month=10), paris(26, 0, month=10)) == timedelta(hours=7)


def test_the_answer_is_an_instant_in_utc() -> None:
    assert WEEKDAYS.after(paris(12, 10), timedelta(hours=4)).tzinfo is UTC


def test_hours_until_midnight_end_with_the_day() -> None:
    late = WorkingCalendar("Europe/Paris", {1: ((time(22), time.max),)})
    assert late.between(paris(12, 0), paris(14, 0)) == timedelta(hours=2)


def test_a_calendar_without_hours_sets_no_deadline() -> None:
    with pytest.raises(Invalid, match="nobody is at work"):
        WorkingCalendar("Europe/Paris", {}).after(paris(12, 10), timedelta(hours=4))


@pytest.mark.parametrize("hours", [0.5, 4, 9, 40, 100])
def test_as_much_working_time_lies_between_as_was_asked_for(hours: float) -> None:
    asked = paris(26, 11, 20, month=3)
    wanted = timedelta(hours=hours)
    assert WEEKDAYS.between(asked, WEEKDAYS.after(asked, wanted)) == wanted


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0.5, "less than a minute"),
        (45, "45 min"),
        (60, "1 h"),
        (200, "3 h 20 min"),
        (1440, "1 day"),
        (3060, "2 days 3 h"),
        (-1, "over"),
    ],
)
def test_the_time_that_is_left_is_said_in_words(minutes: float, words: str) -> None:
    now = paris(12, 10)
    assert time_left(now + timedelta(minutes=minutes), now) == words
