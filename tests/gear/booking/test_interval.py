"""Facts about half-open time. Allen's thirteen relations: J. F. Allen, "Maintaining Knowledge about Temporal
Intervals", Communications of the ACM 26 (1983)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gear.booking.interval import Interval, blocked_interval, period, refuse_beyond_horizon
from gear.errors import Invalid

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)

ALLEN = {
    "before": (6, 8),
    "meets": (8, 10),
    "overlaps": (9, 11),
    "starts": (10, 11),
    "during": (11, 12),
    "finishes": (13, 14),
    "equals": (10, 14),
    "finished by": (9, 14),
    "contains": (9, 15),
    "started by": (10, 15),
    "overlapped by": (13, 15),
    "met by": (14, 16),
    "after": (15, 16),
}


def hours(start: float, end: float) -> Interval:
    midnight = NOON.replace(hour=0)
    return Interval(midnight + timedelta(hours=start), midnight + timedelta(hours=end))


@pytest.mark.parametrize("relation", ALLEN)
def test_only_before_meets_met_by_and_after_leave_a_unit_to_both(relation: str) -> None:
    apart = relation in {"before", "meets", "met by", "after"}
    assert hours(10, 14).overlaps(hours(*ALLEN[relation])) is not apart


def test_a_time_of_no_length_is_refused() -> None:
    with pytest.raises(Invalid, match="after the start"):
        hours(10, 10)


def test_an_end_before_the_start_is_refused_and_names_the_field() -> None:
    with pytest.raises(Invalid) as refused:
        hours(12, 10)
    assert [problem.where for problem in refused.value.problems] == ["ends"]


def test_prep_and_turnaround_are_blocked_around_the_use() -> None:
    blocked = blocked_interval(hours(10, 12), timedelta(minutes=30), timedelta(hours=2))
    assert blocked == hours(9.5, 14)


@given(st.integers(0, 10_000), st.integers(0, 10_000), st.integers(1, 10_000))
def test_what_is_blocked_always_holds_what_is_used(prep: int, turnaround: int, length: int) -> None:
    use = Interval(NOON, NOON + timedelta(minutes=length))
    blocked = blocked_interval(use, timedelta(minutes=prep), timedelta(minutes=turnaround))
    assert blocked.starts_at <= use.starts_at < use.ends_at <= blocked.ends_at
    assert (blocked.ends_at - blocked.starts_at) == timedelta(minutes=prep + length + turnaround)


def test_seconds_are_cut_before_anything_is_compared() -> None:
    cut = period("2026-06-01T11:59:59", "2026-06-01T14:00:59", "UTC")
    assert cut.interval == hours(11 + 59 / 60, 14)
    assert (cut.starts_wall, cut.ends_wall) == ("2026-06-01T11:59", "2026-06-01T14:00")


def test_a_period_that_lasts_only_seconds_has_no_length() -> None:
    with pytest.raises(Invalid, match="after the start"):
        period("2026-06-01T12:00:05", "2026-06-01T12:00:50", "UTC")


@pytest.mark.parametrize("years", [-6, 6])
def test_more_than_five_years_away_is_refused(years: int) -> None:
    far = NOON.replace(year=NOON.year + years)
    with pytest.raises(Invalid, match="five years"):
        refuse_beyond_horizon(Interval(far, far + timedelta(hours=1)), NOON)


def test_a_hire_that_ends_beyond_the_horizon_names_its_end() -> None:
    with pytest.raises(Invalid) as refused:
        refuse_beyond_horizon(Interval(NOON, NOON.replace(year=2040)), NOON)
    assert [problem.where for problem in refused.value.problems] == ["ends"]


def test_four_years_away_can_be_asked_for() -> None:
    far = NOON.replace(year=NOON.year + 4)
    refuse_beyond_horizon(Interval(far, far + timedelta(hours=1)), NOON)


@pytest.mark.parametrize(
    "asked", ["infinity", "-infinity", "", "tomorrow", "2026-06-01", "9999999-01-01T00:00"]
)
def test_what_is_no_time_is_refused_with_an_example(asked: str) -> None:
    with pytest.raises(Invalid, match="is not a time"):
        period(asked, "2026-06-01T14:00", "UTC")


@pytest.mark.parametrize("asked", ["0001-01-01T00:00", "9999-12-31T23:59"])
def test_the_first_and_the_last_year_of_the_calendar_are_refused(asked: str) -> None:
    with pytest.raises(Invalid, match="is not one a studio can book"):
        period(asked, "2026-06-01T14:00", "Europe/Paris")
