"""At which time does each of a series begin and end?

A series is meant on the clock of the wall: 09:00 stays 09:00 when the clocks change. What is kept is the wall time and
how many days after the day of the rule; the instant is derived day by day, by the rules of a single booking. Pure.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from gear.booking.interval import Interval, Period
from gear.booking.wall_time import NoSuchTime, moment, start_of_day, wall_of, zone_of
from gear.errors import FieldProblem, Invalid

__all__ = ["Times"]

_MIDNIGHT = "00:00"


@dataclass(frozen=True)
class Times:
    """Wall times relative to the day of the rule: ``starts_days`` days after it at ``starts_time`` (``HH:MM``).

    ``starts_second`` and ``ends_second`` mean the second of two, where the clocks repeat a time. ``take_next`` reads a
    time that the clocks jump over as the one that as many elapsed minutes lead to (RFC 5545, 3.3.5); without it such a
    day is refused, as a single booking is.
    """

    zone: str
    starts_days: int
    starts_time: str
    ends_days: int
    ends_time: str
    starts_second: bool = False
    ends_second: bool = False
    take_next: bool = False

    @classmethod
    def of(cls, period: Period, day: date, *, take_next: bool = False) -> Times:
        """The times of ``period``, told from ``day``."""
        zone = period.zone
        starts, starts_time = _said(period.interval.starts_at, period.starts_wall, zone)
        ends, ends_time = _said(period.interval.ends_at, period.ends_wall, zone)
        return cls(
            zone,
            (starts - day).days,
            starts_time,
            (ends - day).days,
            ends_time,
            _is_second(period.interval.starts_at, period.starts_wall, zone),
            _is_second(period.interval.ends_at, period.ends_wall, zone),
            take_next,
        )

    @property
    def whole_days(self) -> bool:
        """Whether it is from midnight to midnight: from the first instant of a day to the first of another one."""
        return self.starts_time == _MIDNIGHT == self.ends_time

    def on(self, day: date) -> Period:
        """The period of that day. Raises `NoSuchTime` with an offer, `Invalid` when nothing is left of it."""
        starts_at, starts_wall = self._at(
            day, self.starts_days, self.starts_time, self.starts_second, "starts"
        )
        ends_at, ends_wall = self._at(day, self.ends_days, self.ends_time, self.ends_second, "ends")
        return Period(Interval(starts_at, ends_at), self.zone, starts_wall, ends_wall)

    def repeats(self, day: date) -> tuple[str, ...]:
        """Those of its wall times on that day that happen twice."""
        if self.whole_days:
            return ()
        walls = (
            self._wall(day, self.starts_days, self.starts_time),
            self._wall(day, self.ends_days, self.ends_time),
        )
        return tuple(wall for wall in walls if _happens_twice(wall, self.zone))

    def _at(self, day: date, days: int, time: str, second: bool, where: str) -> tuple[datetime, str]:
        if self.whole_days:
            instant = start_of_day(_later(day, days), zone_of(self.zone))
            return instant, wall_of(instant, self.zone)
        wall = self._wall(day, days, time)
        try:
            found = moment(wall, self.zone, second=second, where=where)
        except NoSuchTime as missing:
            if not self.take_next:
                raise
            found = moment(missing.offered, self.zone, where=where)
        return found.instant, found.wall

    def _wall(self, day: date, days: int, time: str) -> str:
        return f"{_later(day, days).isoformat()}T{time}"


def _said(instant: datetime, wall: str, zone: str) -> tuple[date, str]:
    """A day and a time; the first instant of a day is its midnight, also where the clocks jump over that."""
    day = datetime.fromisoformat(wall).date()
    return day, _MIDNIGHT if instant == start_of_day(day, zone_of(zone)) else wall.partition("T")[2]


def _later(day: date, days: int) -> date:
    try:
        return day + timedelta(days=days)
    except OverflowError:
        raise Invalid(
            "That is not in the calendar any more. Give a time within five years of today.",
            (FieldProblem("starts", "a date within five years of today"),),
        ) from None


def _happens_twice(wall: str, zone: str) -> bool:
    try:
        return moment(wall, zone).twice
    except NoSuchTime:
        return False


def _is_second(instant: datetime, wall: str, zone: str) -> bool:
    found = moment(wall, zone)
    return found.twice and found.instant != instant
