"""When have so many working hours passed? Pure: days, hours and holidays on one wall clock.

Working time is elapsed time inside the hours: where the clocks jump within them, the day has an hour less or more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from gear.errors import FieldProblem, Invalid

__all__ = ["WEEKDAYS", "WorkingCalendar", "time_left"]

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_LOOKED_AHEAD = 366 * 2

Hours = tuple[tuple[time, time], ...]


@dataclass(frozen=True)
class WorkingCalendar:
    """``hours`` by weekday (Monday is 0), each day's in order and not overlapping; ``holidays`` are closed all day."""

    zone: str
    hours: Mapping[int, Hours]
    holidays: frozenset[date] = field(default_factory=frozenset)

    def after(self, start: datetime, working: timedelta) -> datetime:
        """The instant (UTC) at which so much working time has passed since ``start``. Raises `Invalid` for a calendar
        in which it never does."""
        left = working
        for opens, closes in self._open_from(start):
            if left <= closes - opens:
                return opens + left
            left -= closes - opens
        raise Invalid(
            "By this calendar nobody is at work for two years, so no deadline can be set. Enter working hours first.",
            (FieldProblem("hours", "hours on at least one day of the week"),),
        )

    def between(self, start: datetime, end: datetime) -> timedelta:
        """How much working time lies between two instants."""
        total = timedelta()
        for opens, closes in self._open_from(start):
            if opens >= end:
                break
            total += min(closes, end) - opens
        return total

    def _open_from(self, start: datetime) -> Iterator[tuple[datetime, datetime]]:
        place = ZoneInfo(self.zone)
        first = start.astimezone(place).date()
        for days in range(_LOOKED_AHEAD):
            day = first + timedelta(days=days)
            if day in self.holidays:
                continue
            for opens, closes in self.hours.get(day.weekday(), ()):
                since, until = _instant(day, opens, place), _instant(day, closes, place)
                if max(since, start) < until:
                    yield max(since, start).astimezone(UTC), until


def time_left(until: datetime, at: datetime) -> str:
    """How long it is until then, in words and whole minutes: ``2 days 3 h``, ``45 min``, ``less than a minute``."""
    minutes = int((until - at).total_seconds() // 60)
    if minutes < 0:
        return "over"
    days, hours, rest = minutes // 1440, minutes // 60 % 24, minutes % 60
    if days:
        return f"{days} day{'s' if days > 1 else ''}" + (f" {hours} h" if hours else "")
    if hours:
        return f"{hours} h" + (f" {rest} min" if rest else "")
    return f"{rest} min" if rest else "less than a minute"


def _instant(day: date, clock: time, place: ZoneInfo) -> datetime:
    """The latest time of a day stands for its end. A time that the clocks jump over is the one they jump to (RFC 5545,
    3.3.5)."""
    if clock == time.max:
        day, clock = day + timedelta(days=1), time(0)
    return datetime.combine(day, clock, place).astimezone(UTC)
