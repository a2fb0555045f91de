"""Facts about wall clocks. The changes of 2026 in Europe/Paris (29 March 02:00 to 03:00, 25 October 03:00 to 02:00):
Directive 2000/84/EC, articles 2 and 3; the other zones: IANA time zone database."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gear.booking.interval import blocked_interval, period
from gear.booking.wall_time import NoSuchTime, moment, say, say_period, start_of_day, wall_of
from gear.errors import Invalid

PARIS = "Europe/Paris"


def test_nine_in_the_morning_in_paris_in_june_is_seven_in_utc() -> None:
    assert moment("2026-06-01T09:00", PARIS).instant == datetime(2026, 6, 1, 7, tzinfo=UTC)


def test_a_day_over_the_change_in_spring_has_23_hours() -> None:
    day = period("2026-03-28T12:00", "2026-03-29T12:00", PARIS).interval
    assert day.ends_at - day.starts_at == timedelta(hours=23)


def test_a_day_over_the_change_in_autumn_has_25_hours() -> None:
    day = period("2026-10-24T12:00", "2026-10-25T12:00", PARIS).interval
    assert day.ends_at - day.starts_at == timedelta(hours=25)


def test_a_time_that_the_clocks_jump_over_is_refused_and_an_hour_later_offered() -> None:
    with pytest.raises(NoSuchTime) as refused:
        moment("2026-03-29T02:30", PARIS, where="starts")
    assert refused.value.offered == "2026-03-29T03:30"
    assert refused.value.ways_out == ("2026-03-29T03:30",)
    assert [problem.where for problem in refused.value.problems] == ["starts"]


def test_where_midnight_does_not_exist_the_day_begins_at_one() -> None:
    with pytest.raises(NoSuchTime) as refused:
        moment("2026-04-24T00:00", "Africa/Cairo")
    assert refused.value.offered == "2026-04-24T01:00"


def test_of_a_time_that_happens_twice_the_first_is_meant() -> None:
    first = moment("2026-10-25T02:30", PARIS)
    assert first.instant == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert first.twice


def test_of_a_time_that_happens_twice_the_second_can_be_asked_for() -> None:
    second = moment("2026-10-25T02:30", PARIS, second=True)
    assert second.instant == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)


def test_asking_for_the_second_changes_nothing_where_there_is_one() -> None:
    assert moment("2026-06-01T09:00", PARIS, second=True) == moment("2026-06-01T09:00", PARIS)


def test_a_night_into_the_repeated_hour_lasts_its_elapsed_time() -> None:
    night = period("2026-10-25T01:30", "2026-10-25T02:15", PARIS, ends_second=True).interval
    assert night.ends_at - night.starts_at == timedelta(hours=1, minutes=45)


def test_turnaround_over_a_change_is_counted_in_elapsed_hours() -> None:
    use = period("2026-03-28T22:00", "2026-03-29T01:30", PARIS).interval
    blocked = blocked_interval(use, timedelta(0), timedelta(hours=2))
    assert wall_of(blocked.ends_at, PARIS) == "2026-03-29T04:30"


def test_an_instant_with_its_offset_is_shown_on_the_wall_of_the_place() -> None:
    found = moment("2026-06-01T09:00:31+01:00", PARIS)
    assert (found.wall, found.instant) == ("2026-06-01T10:00", datetime(2026, 6, 1, 8, tzinfo=UTC))


@pytest.mark.parametrize("name", ["Mars/Base", "../../etc/passwd", "", "Europe"])
def test_an_unknown_zone_gets_a_sentence(name: str) -> None:
    with pytest.raises(Invalid, match="no time zone"):
        moment("2026-06-01T09:00", name)


@given(
    st.integers(0, 366 * 24 * 60), st.sampled_from([PARIS, "Australia/Lord_Howe", "America/Santiago", "UTC"])
)
def test_the_wall_time_of_an_instant_leads_back_to_it(minutes: int, zone: str) -> None:
    instant = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    wall = wall_of(instant, zone)
    assert instant in {moment(wall, zone).instant, moment(wall, zone, second=True).instant}


def test_one_day_is_said_once() -> None:
    use = period("2026-05-12T09:00", "2026-05-12T14:30", PARIS).interval
    assert say_period(use.starts_at, use.ends_at, PARIS) == "Tue 12 May 2026, 09:00 to 14:30"


def test_an_instant_is_said_in_the_zone_that_is_asked_for() -> None:
    assert say(datetime(2026, 5, 12, 22, 30, tzinfo=UTC), PARIS) == "Wed 13 May 2026, 00:30"


def test_in_every_zone_the_quarters_of_an_hour_of_each_local_day_add_up_to_its_length() -> None:
    """The zones are those of the IANA database; a day on which the offset changes is counted quarter by quarter."""
    first, quarter = date(2027, 1, 1), timedelta(minutes=15)
    days = [first + timedelta(days=number) for number in range(366)]
    changes = 0
    for name in sorted(available_timezones()):
        place = ZoneInfo(name)
        starts = [start_of_day(day, place) for day in days]
        for day, begin, end in zip(days, starts, starts[1:], strict=False):
            around = (begin - quarter, begin, end)
            if len({at.astimezone(place).utcoffset() for at in around}) == 1:
                assert end - begin == timedelta(days=1), (name, day)
                continue
            changes += 1
            quarters = (begin + quarter * n for n in range(-8, 28 * 4))
            there = sum(1 for at in quarters if at.astimezone(place).date() == day)
            assert end - begin == quarter * there, (name, day)
    assert changes > 200
