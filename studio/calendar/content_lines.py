"""How are words and times written in a line of a calendar file? RFC 5545, 3.1 (lines), 3.3.5 (times), 3.3.11 (text)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime

from icalendar.parser import Contentline

__all__ = ["folded", "in_utc", "printable", "text", "when"]

MOST_OCTETS = 74
"""Of a line that stays whole; one octet less than may be, as the library folds."""

_ESCAPED = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}
_UNPRINTABLE = dict.fromkeys((*range(0x09), 0x0B, 0x0C, *range(0x0E, 0x20), 0x7F))
_TEXT = str.maketrans(_ESCAPED)


def text(words: str) -> str:
    """A text value, escaped."""
    return printable(words).translate(_TEXT)


def printable(words: str) -> str:
    """Without what no text value may hold; line breaks are one kind."""
    return words.replace("\r\n", "\n").replace("\r", "\n").translate(_UNPRINTABLE)


def when(at: datetime | date, zone: str) -> str:
    """What stands after the name of a property that begins with this date, or with this time on the clock of its zone.

    A local time means the first of two (3.3.5), so that the second one is said in UTC.
    """
    if not isinstance(at, datetime):
        return f";VALUE=DATE:{at:%Y%m%d}"
    if at.fold or zone == "UTC":
        return f":{in_utc(at)}"
    return f";TZID={zone}:{at:%Y%m%dT%H%M%S}"


def in_utc(at: datetime) -> str:
    """An instant: ``20270504T070000Z``."""
    return f"{at.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def folded(lines: Iterable[str]) -> Iterator[str]:
    """The lines with their ends, none of more than 75 octets."""
    for line in lines:
        short = len(line) <= MOST_OCTETS and (line.isascii() or len(line.encode()) <= MOST_OCTETS)
        yield line if short else Contentline(line).to_ical().decode()
        yield "\r\n"
