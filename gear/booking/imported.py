"""What do the times of an imported line mean? A file cannot be asked back, so it is read by rule and warned about.

A day without a time as the end is that whole day ("until 31 March" ends on 1 April, 00:00), as the start its first
instant. A time that the clocks jump over is read as RFC 5545 reads it (3.3.5); of one that happens twice the first is
meant.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from gear.booking.interval import Interval, Period
from gear.booking.wall_time import Moment, NoSuchTime, moment, start_of_day, wall_of, zone_of
from gear.errors import FieldProblem, Invalid

__all__ = ["ImportedPeriod", "imported_period"]


@dataclass(frozen=True)
class ImportedPeriod:
    """A period, and what of it was read by rule rather than as it stands."""

    period: Period
    warnings: tuple[str, ...]


def imported_period(starts: str, ends: str, zone: str) -> ImportedPeriod:
    """The period of a line, in the zone of its place. Raises `Invalid` with the field at fault."""
    warnings: list[str] = []
    first = _read(starts, zone, "starts", warnings, day_more=0)
    last = _read(ends, zone, "ends", warnings, day_more=1)
    use = Interval(first.instant, last.instant)
    return ImportedPeriod(Period(use, zone, first.wall, last.wall), tuple(warnings))


def _read(text: str, zone: str, where: str, warnings: list[str], *, day_more: int) -> Moment:
    text = text.strip()
    day = _day(text, where)
    if day is not None:
        instant = start_of_day(day + timedelta(days=day_more), zone_of(zone))
        return Moment(instant, wall_of(instant, zone), zone)
    try:
        found = moment(text, zone, where=where)
    except NoSuchTime as jumped:
        found = moment(jumped.offered, zone, where=where)
        warnings.append(
            f"{text} does not exist in {zone}: the clocks go forward over it. It is read as "
            f"{jumped.offered.replace('T', ' ')} (RFC 5545, 3.3.5)."
        )
    if found.twice and len(text) <= 19:
        warnings.append(f"{text} happens twice in {zone}, because the clocks go back. The first is meant.")
    return found


def _day(text: str, where: str) -> date | None:
    if len(text) != 10:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    if not 1900 <= day.year <= 2399:
        raise Invalid(
            f"The year {day.year} is not one a studio can book. Give a date within five years of today.",
            (FieldProblem(where, "a date within five years of today"),),
        )
    return day
