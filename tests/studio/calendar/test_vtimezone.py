"""What a calendar program is told of a zone, read back by another library.

RFC 5545, 3.6.5: the onset of an observance is the local time by the offset *before* the change (TZOFFSETFROM).
"""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil import tz

from studio.calendar.vtimezone import changes, vtimezone

FIRST, LAST = datetime(2026, 1, 1, tzinfo=UTC), datetime(2031, 12, 31, tzinfo=UTC)

ZONES = [
    "Europe/Paris",
    "Europe/Lisbon",
    "America/New_York",
    "Australia/Lord_Howe",
    "Africa/Cairo",
    "Africa/Casablanca",
    "Asia/Kolkata",
    "America/St_Johns",
    "UTC",
]


def test_summer_time_begins_at_the_hour_that_the_clock_showed_before() -> None:
    text = vtimezone("Europe/Paris", FIRST, datetime(2026, 12, 1, tzinfo=UTC)).to_ical().decode()
    daylight = text[text.index("BEGIN:DAYLIGHT") : text.index("END:DAYLIGHT")]
    assert "DTSTART:20260329T020000\r\n" in daylight
    assert "TZOFFSETFROM:+0100\r\n" in daylight
    assert "TZOFFSETTO:+0200\r\n" in daylight


def test_the_changes_of_paris_are_those_of_the_directive() -> None:
    """Directive 2000/84/EC: the last Sundays of March and October at 01:00 UTC."""
    found = list(changes(ZoneInfo("Europe/Paris"), FIRST, datetime(2027, 12, 1, tzinfo=UTC)))
    assert found == [
        datetime(2026, 3, 29, 1, tzinfo=UTC),
        datetime(2026, 10, 25, 1, tzinfo=UTC),
        datetime(2027, 3, 28, 1, tzinfo=UTC),
        datetime(2027, 10, 31, 1, tzinfo=UTC),
    ]


@pytest.mark.parametrize("zone", ZONES)
def test_a_reader_that_knows_only_this_text_finds_every_offset(zone: str) -> None:
    text = vtimezone(zone, FIRST, LAST).to_ical().decode()
    read = tz.tzical(io.StringIO(f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n{text}END:VCALENDAR\r\n")).get(zone)
    place, wrong = ZoneInfo(zone), []
    edges = [at + timedelta(hours=h) for at in changes(place, FIRST, LAST) for h in (-30, -3, 3, 30)]
    for at in [*edges, *(FIRST + timedelta(days=13 * n) for n in range(1, 160))]:
        there = at.astimezone(place)
        if there.replace(tzinfo=read).utcoffset() != there.utcoffset():
            wrong.append(there)
    assert wrong == []
