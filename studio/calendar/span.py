"""Which days does a calendar show, and where does an instant lie among them?

Positions are percent of the whole width, by elapsed time: the day on which the clocks go forward is 23 hours wide, the
one on which they go back 25. A day starts at its first valid instant, which is not midnight everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Literal, get_args
from zoneinfo import ZoneInfo

from gear.booking.wall_time import start_of_day

__all__ = ["VIEWS", "Column", "Day", "Span", "View", "span_of"]

View = Literal["day", "week", "month", "quarter"]
VIEWS: tuple[View, ...] = get_args(View)
NARROWEST_LABEL_PERCENT = 2.5
_ONE_DAY = timedelta(days=1)
_SHORTEST_STEP = timedelta(minutes=15)
"""Offsets of zones in use are whole quarters of an hour."""


@dataclass(frozen=True)
class Day:
    """A local day ``[starts_at, ends_at)`` (UTC), and its place in the span in percent."""

    date: date
    starts_at: datetime
    ends_at: datetime
    from_percent: float
    width_percent: float

    @property
    def hours(self) -> float:
        """Elapsed hours: 24, but 23 or 25 over a clock change."""
        return (self.ends_at - self.starts_at) / timedelta(hours=1)

    @property
    def length_words(self) -> str:
        """``23 h`` when it is not a day of 24 hours, else empty."""
        return "" if self.hours == 24 else f"{self.hours:g}\u00a0h"

    @property
    def is_weekend(self) -> bool:
        """Saturday or Sunday."""
        return self.date.weekday() >= 5

    @property
    def words(self) -> str:
        """``Tue 1 Dec``."""
        return f"{self.date:%a} {self.date.day} {self.date:%b}"


@dataclass(frozen=True)
class Column:
    """A labelled part of the head: an hour, a day, a week or a month. ``day`` is the first one in it;
    ``is_again`` marks an hour that the clocks show for the second time."""

    label: str
    from_percent: float
    width_percent: float
    day: date | None = None
    note: str = ""
    is_weekend: bool = False
    is_again: bool = False


@dataclass(frozen=True)
class Span:
    """The local days ``[starts_at, ends_at)`` that a view shows in one zone, the day it was asked for, and the dates to
    step to."""

    view: View
    zone: str
    starts_at: datetime
    ends_at: datetime
    days: tuple[Day, ...]
    columns: tuple[Column, ...]
    groups: tuple[Column, ...]
    before: date
    after: date
    focus: date

    def percent(self, instant: datetime) -> float:
        """Where an instant lies, in percent of the width; an instant outside lies at the edge."""
        held = min(max(instant, self.starts_at), self.ends_at)
        return _percent(held - self.starts_at, self.ends_at - self.starts_at)

    def holds(self, instant: datetime) -> bool:
        """Whether an instant is shown; the end is not."""
        return self.starts_at <= instant < self.ends_at

    def touches(self, starts_at: datetime, ends_at: datetime) -> bool:
        """Whether ``[starts_at, ends_at)`` shares any time with the span."""
        return starts_at < self.ends_at and self.starts_at < ends_at

    @property
    def words(self) -> str:
        """``Tue 1 Dec 2026``, ``30 Nov to 6 Dec 2026``, ``December 2026``, ``November 2026 to January 2027``."""
        first, last = self.days[0].date, self.days[-1].date
        if self.view == "day":
            return f"{first:%a} {first.day} {first:%b %Y}"
        if self.view == "week":
            year = "" if first.year == last.year else f" {first.year}"
            month = "" if first.month == last.month else f" {first:%b}{year}"
            return f"{first.day}{month} to {last.day} {last:%b %Y}"
        if self.view == "month":
            return f"{first:%B %Y}"
        return f"{first:%B}{'' if first.year == last.year else f' {first.year}'} to {last:%B %Y}"


def span_of(view: View, day: date, zone: str) -> Span:
    """The day, the week from Monday, the month, or the three months from the one that ``day`` is in."""
    first, after, before = _bounds(view, day)
    place = ZoneInfo(zone)
    dates = [first + timedelta(days=number) for number in range((after - first).days + 1)]
    starts = [start_of_day(one, place) for one in dates]
    starts_at, ends_at = starts[0], starts[-1]
    whole = ends_at - starts_at
    days = tuple(
        Day(one, begins, ends, _percent(begins - starts_at, whole), _percent(ends - begins, whole))
        for one, begins, ends in zip(dates, starts, starts[1:], strict=False)
        if begins < ends  # a day that a zone left out has no width
    )
    columns, groups = _head(view, days, place)
    return Span(view, zone, starts_at, ends_at, days, columns, groups, before, after, day)


def _bounds(view: View, day: date) -> tuple[date, date, date]:
    """First day, day after the last, and first day of the span before."""
    if view == "day":
        return day, day + _ONE_DAY, day - _ONE_DAY
    if view == "week":
        monday = day - timedelta(days=day.weekday())
        return monday, monday + 7 * _ONE_DAY, monday - 7 * _ONE_DAY
    months = 1 if view == "month" else 3
    return _month(day, 0), _month(day, months), _month(day, -months)


def _month(day: date, later: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + later, 12)
    return date(year, month + 1, 1)


def _percent(part: timedelta, whole: timedelta) -> float:
    return round(100 * (part / whole), 4)


def _head(
    view: View, days: tuple[Day, ...], place: ZoneInfo
) -> tuple[tuple[Column, ...], tuple[Column, ...]]:
    if view == "day":
        return tuple(_hours(days[0], place)), ()
    if view == "quarter":
        return (
            _grouped(days, lambda day: day.date - timedelta(days=day.date.weekday()), _week),
            _grouped(days, lambda day: day.date.replace(day=1), lambda first, _: f"{first.date:%B %Y}"),
        )
    name = (
        (lambda day: f"{day.date:%a} {day.date.day}") if view == "week" else (lambda day: str(day.date.day))
    )
    return tuple(
        Column(name(day), day.from_percent, day.width_percent, day.date, day.length_words, day.is_weekend)
        for day in days
    ), ()


def _week(first: Day, last: Day) -> str:
    return str(first.date.day) if first.date == last.date else f"{first.date.day}–{last.date.day}"


def _grouped(
    days: tuple[Day, ...], key: Callable[[Day], date], name: Callable[[Day, Day], str]
) -> tuple[Column, ...]:
    found = []
    for _, part in groupby(days, key):
        inside = tuple(part)
        first, last = inside[0], inside[-1]
        width = round(last.from_percent + last.width_percent - first.from_percent, 4)
        notes = " ".join(day.length_words for day in inside if day.length_words)
        label = name(first, last) if width >= NARROWEST_LABEL_PERCENT else ""
        found.append(Column(label, first.from_percent, width, first.date, notes))
    return tuple(found)


def _hours(day: Day, place: ZoneInfo) -> Iterator[Column]:
    """One column a whole hour of the wall clock, and where the clocks move; an hour that happens twice stands twice."""
    starts, at, offset = [], day.starts_at, None
    while at < day.ends_at:
        there = at.astimezone(place)
        if there.minute == 0 or there.utcoffset() != offset:
            starts.append(at)
        offset = there.utcoffset()
        at += _SHORTEST_STEP
    whole = day.ends_at - day.starts_at
    for begins, ends in zip(starts, [*starts[1:], day.ends_at], strict=True):
        there = begins.astimezone(place)
        yield Column(
            f"{there:%H}" if there.minute == 0 else f"{there:%H:%M}",
            _percent(begins - day.starts_at, whole),
            _percent(ends - begins, whole),
            is_again=bool(there.fold),
        )
