"""What the times of an imported line mean. Changes of the clocks in 2026: Directive 2000/84/EC, articles 2 and 3;
Cairo: IANA time zone database. A time that does not exist: RFC 5545, 3.3.5."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from gear.booking.imported import imported_period
from gear.errors import Invalid

PARIS = "Europe/Paris"


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)


def test_until_31_march_ends_on_1_april_at_midnight_of_the_place() -> None:
    """Case 7."""
    read = imported_period("2027-03-01", "2027-03-31", PARIS)
    assert read.period.ends_wall == "2027-04-01T00:00"
    assert read.period.interval.ends_at == utc(2027, 3, 31, 22)
    assert read.period.starts_wall == "2027-03-01T00:00"
    assert read.warnings == ()


def test_one_day_from_and_until_itself_is_a_whole_day() -> None:
    read = imported_period("2026-03-29", "2026-03-29", PARIS)
    assert read.period.interval.ends_at - read.period.interval.starts_at == utc(2026, 1, 1, 23) - utc(
        2026, 1, 1
    )


def test_a_time_that_the_clocks_jump_over_is_read_as_an_hour_later_and_warned_about() -> None:
    """Case 14: 02:30 on 29 March 2026 is 03:30+02:00."""
    read = imported_period("2026-03-29 02:30", "2026-03-29 12:00", PARIS)
    assert read.period.interval.starts_at == utc(2026, 3, 29, 1, 30)
    assert read.period.starts_wall == "2026-03-29T03:30"
    (warning,) = read.warnings
    assert "2026-03-29 02:30 does not exist" in warning
    assert "2026-03-29 03:30" in warning


def test_of_a_time_that_happens_twice_the_first_is_meant_and_warned_about() -> None:
    """Case 15: 02:30 on 25 October 2026 is 00:30 UTC at first."""
    read = imported_period("2026-10-25 02:30", "2026-10-25 12:00", PARIS)
    assert read.period.interval.starts_at == utc(2026, 10, 25, 0, 30)
    assert "The first is meant" in read.warnings[0]
    with_offset = imported_period("2026-10-25T02:30+01:00", "2026-10-25 12:00", PARIS)
    assert (with_offset.period.interval.starts_at, with_offset.warnings) == (utc(2026, 10, 25, 1, 30), ())


def test_a_day_without_midnight_begins_at_its_first_instant() -> None:
    """Case 21: on 24 April 2026 the clocks of Cairo go from 00:00 to 01:00."""
    read = imported_period("2026-04-24", "2026-04-24", "Africa/Cairo")
    assert read.period.starts_wall == "2026-04-24T01:00"
    assert read.period.interval.starts_at == utc(2026, 4, 23, 22)


@pytest.mark.parametrize("asked", ["", "soon", "2026-02-30", "0001-01-01", "infinity", "2026-13-01 10:00"])
def test_what_is_no_time_is_refused_with_its_field(asked: str) -> None:
    with pytest.raises(Invalid) as refused:
        imported_period(asked, "2026-03-29", PARIS)
    assert refused.value.problems[0].where == "starts"


def test_an_end_before_the_start_is_refused() -> None:
    with pytest.raises(Invalid, match="after the start"):
        imported_period("2026-03-30", "2026-03-29", PARIS)
