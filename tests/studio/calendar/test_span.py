"""Days as the wall clock has them: which a view shows, how long they are, where an instant lies among them.

Europe/Paris in 2026: clocks go forward on 29 March and back on 25 October (IANA tz database).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest

from gear.booking.wall_time import start_of_day
from studio.calendar.span import span_of

PARIS = "Europe/Paris"


def test_a_week_runs_from_monday_to_sunday() -> None:
    week = span_of("week", date(2026, 12, 3), PARIS)
    assert [day.date.day for day in week.days] == [30, 1, 2, 3, 4, 5, 6]
    assert (week.before, week.after) == (date(2026, 11, 23), date(2026, 12, 7))


def test_a_month_is_the_whole_month() -> None:
    month = span_of("month", date(2028, 2, 10), PARIS)
    assert (month.days[0].date, month.days[-1].date) == (date(2028, 2, 1), date(2028, 2, 29))


def test_a_quarter_is_three_months_from_the_one_it_was_asked_for() -> None:
    quarter = span_of("quarter", date(2026, 11, 25), PARIS)
    assert quarter.words == "November 2026 to January 2027"
    assert len(quarter.days) == 30 + 31 + 31
    assert (quarter.before, quarter.after) == (date(2026, 8, 1), date(2027, 2, 1))


def test_the_end_of_a_span_is_not_part_of_it() -> None:
    day = span_of("day", date(2026, 12, 1), PARIS)
    assert day.holds(day.starts_at)
    assert not day.holds(day.ends_at)


def test_on_the_day_the_clocks_go_forward_noon_is_11_of_23_hours_on() -> None:
    day = span_of("day", date(2026, 3, 29), PARIS)
    assert day.days[0].hours == 23
    assert day.percent(datetime(2026, 3, 29, 10, tzinfo=UTC)) == pytest.approx(100 * 11 / 23, abs=1e-4)


def test_on_the_day_the_clocks_go_back_noon_is_13_of_25_hours_on() -> None:
    day = span_of("day", date(2026, 10, 25), PARIS)
    assert day.days[0].hours == 25
    assert day.percent(datetime(2026, 10, 25, 11, tzinfo=UTC)) == pytest.approx(52.0, abs=1e-4)


def test_a_short_day_is_a_narrower_column() -> None:
    sunday = span_of("week", date(2026, 3, 29), PARIS).days[-1]
    assert sunday.from_percent == pytest.approx(100 * 144 / 167, abs=1e-4)
    assert sunday.width_percent == pytest.approx(100 * 23 / 167, abs=1e-4)


def test_a_long_day_is_a_wider_column_and_says_so() -> None:
    week = span_of("week", date(2026, 10, 25), PARIS)
    assert week.days[-1].width_percent == pytest.approx(100 * 25 / 169, abs=1e-4)
    assert week.columns[-1].note == "25\u00a0h"


def test_an_hour_that_happens_twice_stands_twice() -> None:
    hours = [column.label for column in span_of("day", date(2026, 10, 25), PARIS).columns]
    assert hours[:5] == ["00", "01", "02", "02", "03"]
    assert len(hours) == 25


def test_an_hour_that_is_jumped_over_does_not_stand() -> None:
    hours = [column.label for column in span_of("day", date(2026, 3, 29), PARIS).columns]
    assert hours[:3] == ["00", "01", "03"]
    assert len(hours) == 23


def test_where_the_clocks_move_by_half_an_hour_that_half_hour_is_half_a_column() -> None:
    """Lord Howe Island, 4 October 2026: 02:00 becomes 02:30."""
    columns = span_of("day", date(2026, 10, 4), "Australia/Lord_Howe").columns
    widths = {column.label: column.width_percent for column in columns}
    assert widths["01"] == pytest.approx(100 * 1 / 23.5, abs=1e-3)
    assert widths["02:30"] == pytest.approx(100 * 0.5 / 23.5, abs=1e-3)


def test_a_day_without_midnight_starts_at_its_first_valid_instant() -> None:
    """Cairo, 24 April 2026: the clocks go from 00:00 to 01:00."""
    start = start_of_day(date(2026, 4, 24), ZoneInfo("Africa/Cairo"))
    assert start == datetime(2026, 4, 23, 22, tzinfo=UTC)
    assert start.astimezone(ZoneInfo("Africa/Cairo")).hour == 1


def test_a_day_that_a_zone_left_out_has_no_column() -> None:
    """Samoa went over the date line: 30 December 2011 did not happen."""
    week = span_of("week", date(2011, 12, 28), "Pacific/Apia")
    assert [day.date.day for day in week.days] == [26, 27, 28, 29, 31, 1]
    assert week.ends_at - week.starts_at == timedelta(days=6)


def test_in_every_zone_every_day_begins_where_the_date_on_the_wall_changes() -> None:
    wrong = []
    for name in sorted(available_timezones()):
        place = ZoneInfo(name)
        for number in range(366):
            day = date(2026, 1, 1) + timedelta(days=number)
            start = start_of_day(day, place)
            before = start - timedelta(seconds=1)
            if start.astimezone(place).date() != day or before.astimezone(place).date() >= day:
                wrong.append((name, day))
    assert wrong == []


@pytest.mark.parametrize("view", ["day", "week", "month", "quarter"])
@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 10, 25), date(2026, 7, 1)])
def test_columns_stand_side_by_side_and_fill_the_width(view: str, day: date) -> None:
    columns = span_of(view, day, PARIS).columns  # type: ignore[arg-type]
    ends = [column.from_percent + column.width_percent for column in columns]
    starts = [column.from_percent for column in columns]
    assert starts[0] == 0
    assert ends[:-1] == pytest.approx(starts[1:], abs=1e-3)
    assert ends[-1] == pytest.approx(100, abs=1e-3)
