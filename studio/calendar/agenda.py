"""What does the drawing say, day by day in words?

The same promises as a list: under every local day that a promise touches, once a booking and time, with the rows it
takes. On a phone it stands in place of the drawing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from studio.calendar.layout import Promise
from studio.calendar.span import Day, Span

__all__ = ["AgendaDay", "Entry", "Taken", "agenda"]


@dataclass(frozen=True)
class Taken:
    """Rows of one promise that are blocked for the same time; ``blocked`` is empty when that is the use."""

    blocked: str
    rows: tuple[str, ...]


@dataclass(frozen=True)
class Entry:
    """A promise on one day: its use in words as far as it touches that day, and the rows it takes."""

    promise: Promise
    use: str
    taken: tuple[Taken, ...]


@dataclass(frozen=True)
class AgendaDay:
    """A day with what happens on it, in the order of time."""

    day: Day
    entries: tuple[Entry, ...]


def agenda(rows: Iterable[tuple[str, Iterable[Promise]]], span: Span) -> tuple[AgendaDay, ...]:
    """The days of the span on which something happens; ``rows`` are names with their promises."""
    together: dict[tuple[object, ...], dict[tuple[datetime, datetime], tuple[Promise, list[str]]]] = {}
    for name, promises in rows:
        for one in promises:
            said = f"{one.count} × {name}" if one.count > 1 else name
            alike = together.setdefault((one.booking_id, one.use_from, one.use_to, one.state, one.rank), {})
            alike.setdefault((one.blocked_from, one.blocked_to), (one, []))[1].append(
                f"{said} ({one.role})" if one.role else said
            )
    ordered = sorted(
        (sorted(alike.values(), key=lambda pair: pair[0].blocked_from) for alike in together.values()),
        key=lambda alike: (alike[0][0].use_from, alike[0][0].booking_id),
    )
    found = []
    for day in span.days:
        entries = tuple(entry for alike in ordered if (entry := _entry(alike, day, span.zone)))
        if entries:
            found.append(AgendaDay(day, entries))
    return tuple(found)


def _entry(alike: list[tuple[Promise, list[str]]], day: Day, zone: str) -> Entry | None:
    here = [
        (one, names)
        for one, names in alike
        if one.blocked_from < day.ends_at and day.starts_at < one.blocked_to
    ]
    if not here:
        return None
    one = here[0][0]
    return Entry(
        one,
        _words(one.use_from, one.use_to, day, one.zone, zone),
        tuple(
            Taken(
                _words(each.blocked_from, each.blocked_to, day, each.zone, zone) if each.has_buffers else "",
                tuple(names),
            )
            for each, names in here
        ),
    )


def _words(starts_at: datetime, ends_at: datetime, day: Day, zone: str, reader: str) -> str:
    """``09:00 to 14:00``, ``from 22:00``, ``until 03:00``, ``all day``; another day is named when it is another."""
    if starts_at >= day.ends_at:
        return f"from {_clock(starts_at, zone, day, reader)}"
    if ends_at <= day.starts_at:
        return f"until {_clock(ends_at, zone, day, reader)}"
    begins, ends = starts_at >= day.starts_at, ends_at <= day.ends_at
    if starts_at <= day.starts_at and ends_at >= day.ends_at:
        return "all day"
    if begins and ends:
        last = "24:00" if ends_at == day.ends_at and zone == reader else _clock(ends_at, zone, day, reader)
        return f"{_clock(starts_at, zone, day, reader)} to {last}"
    return (
        f"from {_clock(starts_at, zone, day, reader)}"
        if begins
        else f"until {_clock(ends_at, zone, day, reader)}"
    )


def _clock(at: datetime, zone: str, day: Day, reader: str) -> str:
    there = at.astimezone(ZoneInfo(zone))
    clock = (
        f"{there:%H:%M}" if there.date() == day.date else f"{there:%a} {there.day} {there:%b} {there:%H:%M}"
    )
    return clock if zone == reader else f"{clock} ({zone})"
