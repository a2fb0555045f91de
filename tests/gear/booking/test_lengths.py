"""Days on the wall and hours that pass. The changes of 2026 in Europe/Paris: Directive 2000/84/EC, articles 2 and 3."""

from __future__ import annotations

import pytest

from gear.booking.interval import period
from gear.booking.lengths import length_of
from gear.booking.wall_time import OPEN_END

PARIS = "Europe/Paris"


@pytest.mark.parametrize(
    ("starts", "ends", "days", "hours", "words"),
    [
        ("2026-03-28T12:00", "2026-03-29T12:00", 1, 23, "1 day, 23 h"),  # case 11
        ("2026-10-24T12:00", "2026-10-25T12:00", 1, 25, "1 day, 25 h"),  # case 12
        ("2026-06-01T12:00", "2026-06-02T12:00", 1, 24, "1 day, 24 h"),
        ("2026-06-01T12:00", "2026-06-02T12:01", 2, 24, "2 days, 24 h 1 min"),
        ("2026-06-01T09:00", "2026-06-01T13:30", 1, 4, "4 h 30 min"),
        ("2026-06-01T09:00", "2026-06-04T09:00", 3, 72, "3 days, 72 h"),
    ],
)
def test_a_day_of_hire_is_one_day_however_many_hours_the_clocks_make_of_it(
    starts, ends, days, hours, words
) -> None:
    use = period(starts, ends, PARIS).interval
    length = length_of(use.starts_at, use.ends_at, PARIS)
    assert (length.days, length.hours, length.words) == (days, hours, words)


def test_overnight_into_the_second_of_two_lasts_its_elapsed_time() -> None:
    """Case 16: from 01:30 to the second 02:15."""
    use = period("2026-10-25T01:30", "2026-10-25T02:15", PARIS, ends_second=True).interval
    assert length_of(use.starts_at, use.ends_at, PARIS).words == "1 h 45 min"


def test_without_a_return_date_there_is_no_length() -> None:
    use = period("2026-06-01T09:00", "2026-06-01T13:30", PARIS).interval
    assert length_of(use.starts_at, OPEN_END, PARIS) is None
