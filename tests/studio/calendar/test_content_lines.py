"""Lines, times and text of a calendar file: RFC 5545, 3.1, 3.3.5 and 3.3.11."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from icalendar.parser import Contentline

from studio.calendar.content_lines import folded, printable, text, when

PARIS = ZoneInfo("Europe/Paris")


@pytest.mark.parametrize("letter", ["a", "ä", "€", "🧤"])
def test_a_line_is_folded_as_the_library_folds_it_and_none_is_longer_than_75_octets(letter: str) -> None:
    for count in range(10, 170):
        line = "X:" + letter * count
        written = "".join(folded([line]))
        assert written == Contentline(line).to_ical().decode() + "\r\n"
        assert max(len(part) for part in written.encode().split(b"\r\n")) <= 75


def test_text_is_escaped_once_and_loses_what_cannot_be_printed() -> None:
    assert text("a;b,c\\d\r\ne\rf\ng\x00\x07\x7f\t:") == "a\\;b\\,c\\\\d\\ne\\nf\\ng\t:"
    assert text("\\N") == "\\\\N"
    assert printable("a\r\nb\x0bc") == "a\nbc"


@pytest.mark.parametrize(
    ("at", "zone", "said"),
    [
        (date(2027, 5, 1), "Europe/Paris", ";VALUE=DATE:20270501"),
        (datetime(2027, 5, 1, 9, tzinfo=PARIS), "Europe/Paris", ";TZID=Europe/Paris:20270501T090000"),
        (datetime(2027, 10, 31, 2, 30, tzinfo=PARIS), "Europe/Paris", ";TZID=Europe/Paris:20271031T023000"),
        (datetime(2027, 10, 31, 2, 30, tzinfo=PARIS, fold=1), "Europe/Paris", ":20271031T013000Z"),
        (datetime(2027, 5, 1, 9, tzinfo=UTC), "UTC", ":20270501T090000Z"),
    ],
)
def test_a_time_is_said_on_the_clock_of_its_zone(at: datetime | date, zone: str, said: str) -> None:
    assert when(at, zone) == said
