"""Which instants a series means on its days. The rules of a single time: RFC 5545, 3.3.5; the changes of the clocks are
those of the IANA database."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gear.booking.interval import period
from gear.booking.series_rule import Rule, days
from gear.booking.series_times import Times
from gear.booking.wall_time import NoSuchTime

PARIS = "Europe/Paris"
SPRING, AUTUMN = date(2027, 3, 28), date(2027, 10, 31)
ZONES = sorted(available_timezones() - {"localtime", "Factory"})


def times(starts: str, ends: str, zone: str = PARIS, **more: object) -> Times:
    asked = period(starts, ends, zone)
    return Times.of(asked, date.fromisoformat(starts[:10]), **more)


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)


def test_weekly_at_nine_stays_nine_over_both_changes_of_the_clocks() -> None:
    series = times("2027-03-23T09:00", "2027-03-23T13:00")
    first = date(2027, 3, 23)
    found = [series.on(day) for day in days(Rule("week", count=36), first)]
    assert {one.starts_wall[11:] for one in found} == {"09:00"}
    assert {one.ends_wall[11:] for one in found} == {"13:00"}
    assert [found[0].interval.starts_at.hour, found[1].interval.starts_at.hour] == [8, 7]
    assert found[-1].interval.starts_at == utc(2027, 11, 23, 8)


def test_a_day_of_hire_over_the_spring_change_is_23_hours_and_over_the_autumn_one_25() -> None:
    series = times("2027-03-20T12:00", "2027-03-21T12:00")
    spring, autumn = series.on(date(2027, 3, 27)), series.on(date(2027, 10, 30))
    assert spring.interval.ends_at - spring.interval.starts_at == timedelta(hours=23)
    assert autumn.interval.ends_at - autumn.interval.starts_at == timedelta(hours=25)


def test_a_time_that_does_not_exist_is_refused_with_the_next_one() -> None:
    series = times("2027-03-21T02:30", "2027-03-21T06:00")
    with pytest.raises(NoSuchTime) as refused:
        series.on(SPRING)
    assert refused.value.offered == "2027-03-28T03:30"


def test_a_time_that_does_not_exist_becomes_the_offered_one_when_that_was_chosen() -> None:
    series = times("2027-03-21T02:30", "2027-03-21T06:00", take_next=True)
    taken = series.on(SPRING)
    assert (taken.starts_wall, taken.interval.starts_at) == ("2027-03-28T03:30", utc(2027, 3, 28, 1, 30))


def test_of_a_time_that_happens_twice_the_first_is_meant() -> None:
    series = times("2027-10-24T02:30", "2027-10-24T06:00")
    assert series.on(AUTUMN).interval.starts_at == utc(2027, 10, 31, 0, 30)
    assert series.repeats(AUTUMN) == ("2027-10-31T02:30",)
    assert series.repeats(date(2027, 11, 7)) == ()


def test_a_series_that_begins_on_the_second_of_two_means_the_second() -> None:
    asked = period("2027-10-31T02:30", "2027-10-31T06:00", PARIS, starts_second=True)
    series = Times.of(asked, AUTUMN)
    assert series.on(AUTUMN).interval == asked.interval


def test_over_midnight_the_end_is_on_the_next_day() -> None:
    series = times("2027-05-04T22:00", "2027-05-05T02:00")
    assert series.on(date(2027, 5, 11)).ends_wall == "2027-05-12T02:00"


def test_whole_days_begin_at_the_first_instant_where_midnight_does_not_exist() -> None:
    # Cairo, 24 April 2026: the clocks go from 00:00 to 01:00.
    series = times("2026-04-17T00:00", "2026-04-18T00:00", "Africa/Cairo")
    jumped = series.on(date(2026, 4, 24))
    assert series.whole_days
    assert jumped.interval.starts_at == utc(2026, 4, 23, 22)
    assert jumped.interval.ends_at - jumped.interval.starts_at == timedelta(hours=23)


def test_whole_days_that_begin_where_midnight_does_not_exist_are_whole_days_afterwards() -> None:
    series = times("2026-04-24T01:00", "2026-04-25T00:00", "Africa/Cairo")
    assert series.on(date(2026, 5, 1)).starts_wall == "2026-05-01T00:00"


@given(st.sampled_from(ZONES), st.dates(date(2026, 1, 1), date(2029, 12, 31)), st.integers(1, 3))
def test_whole_days_in_any_zone_meet_without_gap_or_overlap(zone: str, day: date, length: int) -> None:
    series = Times(zone, 0, "00:00", length, "00:00")
    here, after = series.on(day), series.on(day + timedelta(days=length))
    assert here.interval.ends_at == after.interval.starts_at
    elapsed = here.interval.ends_at - here.interval.starts_at
    offset = here.interval.ends_at.astimezone(ZoneInfo(zone)).utcoffset()
    before = here.interval.starts_at.astimezone(ZoneInfo(zone)).utcoffset()
    walls = datetime.fromisoformat(here.ends_wall) - datetime.fromisoformat(here.starts_wall)
    assert elapsed == walls - (offset - before)
