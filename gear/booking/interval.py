"""Which times can be asked for, and which time does a promise block?

Half-open everywhere: ``[starts_at, ends_at)``. Two intervals that only touch do not overlap.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.backends.postgresql.psycopg_any import DateTimeTZRange

from gear.booking.wall_time import OPEN_END, moment
from gear.errors import FieldProblem, Invalid

__all__ = ["HORIZON", "Interval", "Period", "blocked_interval", "period", "refuse_beyond_horizon"]

HORIZON = timedelta(days=5 * 365 + 1)


@dataclass(frozen=True)
class Interval:
    """Half-open time between two instants; never empty. ``travel`` is the way there, and again the way back: things are
    away from the store for so long before and after."""

    starts_at: datetime
    ends_at: datetime
    travel: timedelta = timedelta(0)

    def __post_init__(self) -> None:
        if self.ends_at <= self.starts_at:
            raise Invalid(
                "The end must lie after the start; a time of no length promises nothing.",
                (FieldProblem("ends", "a time after the start"),),
            )

    def overlaps(self, other: Interval) -> bool:
        """Whether the two share any time; touching is not sharing."""
        return self.starts_at < other.ends_at and other.starts_at < self.ends_at

    @property
    def open_ended(self) -> bool:
        """Whether it has no return date."""
        return self.ends_at >= OPEN_END

    @property
    def as_range(self) -> DateTimeTZRange:
        """The same as PostgreSQL keeps it."""
        return DateTimeTZRange(self.starts_at, self.ends_at, "[)")


@dataclass(frozen=True)
class Period:
    """A period as it was asked: two wall times in one zone, and the interval they mean."""

    interval: Interval
    zone: str
    starts_wall: str
    ends_wall: str


def period(
    starts: str | datetime,
    ends: str | datetime,
    zone: str,
    *,
    starts_second: bool = False,
    ends_second: bool = False,
) -> Period:
    """The period between two wall times (or instants) in a zone. Raises `Invalid` with the field at fault."""
    first = moment(starts, zone, second=starts_second, where="starts")
    last = moment(ends, zone, second=ends_second, where="ends")
    return Period(Interval(first.instant, last.instant), zone, first.wall, last.wall)


def blocked_interval(use: Interval, prep: timedelta, turnaround: timedelta) -> Interval:
    """The asked time plus the way and preparation before it, the way and turnaround after it, in elapsed time."""
    return Interval(use.starts_at - use.travel - prep, use.ends_at + use.travel + turnaround)


def refuse_beyond_horizon(use: Interval, now: datetime) -> None:
    """Nobody promises gear for a time more than five years away; what has no return date begins before. Raises
    `Invalid`."""
    last = use.starts_at if use.open_ended else use.ends_at
    if not (now - HORIZON <= use.starts_at and last <= now + HORIZON):
        where = "ends" if use.starts_at <= now + HORIZON and use.starts_at >= now - HORIZON else "starts"
        raise Invalid(
            "That is more than five years away. Give a time within five years of today.",
            (FieldProblem(where, "a time within five years of today"),),
        )
