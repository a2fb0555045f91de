"""Times are said on the wall clock of the place."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from studio.web.when import length_words, moment_words, period_words

NOW = datetime(2026, 12, 1, 7, 30, tzinfo=UTC)


def _at(day: int, hour: int, month: int = 12, year: int = 2026) -> datetime:
    return datetime(year, month, day, hour, tzinfo=UTC)


@pytest.mark.parametrize(
    ("moment", "words"),
    [
        (_at(1, 8), "today 09:00"),
        (_at(2, 8), "tomorrow 09:00"),
        (_at(30, 8, month=11), "yesterday 09:00"),
        (_at(5, 8), "Sat 5 Dec, 09:00"),
        (_at(5, 8, year=2027), "Sun 5 Dec 2027, 09:00"),
        (_at(1, 23), "tomorrow 00:00"),
    ],
)
def test_a_moment_in_paris_in_winter(moment: datetime, words: str) -> None:
    assert moment_words(moment, "Europe/Paris", NOW) == words


def test_a_period_names_its_day_once() -> None:
    assert period_words(_at(5, 8), _at(5, 13), "Europe/Paris", NOW) == "Sat 5 Dec, 09:00 to 14:00"


def test_a_period_over_night_names_both_days() -> None:
    assert period_words(_at(5, 20), _at(6, 1), "Europe/Paris", NOW) == "Sat 5 Dec, 21:00 to Sun 6 Dec, 02:00"


def test_the_clock_of_the_place_counts_when_it_changes_to_winter_time() -> None:
    """On 25 October 2026 00:30 and 01:30 UTC are both 02:30 on the wall in Paris (EU Directive 2000/84/EC)."""
    first, second = datetime(2026, 10, 25, 0, 30, tzinfo=UTC), datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    assert {moment_words(m, "Europe/Paris", NOW) for m in (first, second)} == {"Sun 25 Oct, 02:30"}


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (timedelta(minutes=40), "40 min"),
        (timedelta(minutes=119), "119 min"),
        (timedelta(hours=5, minutes=50), "5 h"),
        (timedelta(days=1, hours=23), "47 h"),
        (timedelta(days=3, hours=4), "3 days"),
    ],
)
def test_a_length_is_said_in_one_measure(length: timedelta, words: str) -> None:
    assert length_words(length) == words
