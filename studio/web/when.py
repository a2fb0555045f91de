"""How is a time said so that nobody mistakes it?

Times are said on the wall clock of the place, in 24 hours, with the day of the week; the year only when it is another.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from gear.booking.wall_time import OPEN_END

__all__ = ["length_words", "moment_words", "period_words"]


def moment_words(moment: datetime, zone: str, now: datetime) -> str:
    """``today 09:00``, ``tomorrow 09:00``, ``Tue 1 Dec, 09:00``, ``Tue 1 Dec 2027, 09:00``."""
    if moment >= OPEN_END:
        return "no return date"
    local = moment.astimezone(ZoneInfo(zone))
    day = _day_words(local, now.astimezone(ZoneInfo(zone)))
    return f"{day}{'' if ' ' not in day else ','} {local:%H:%M}"


def period_words(starts_at: datetime, ends_at: datetime, zone: str, now: datetime) -> str:
    """A period on the wall clock: ``Tue 1 Dec, 09:00 to 14:00``; the second day is named when it is another."""
    if ends_at >= OPEN_END:
        return f"{moment_words(starts_at, zone, now)}, no return date"
    start, end = starts_at.astimezone(ZoneInfo(zone)), ends_at.astimezone(ZoneInfo(zone))
    first = moment_words(starts_at, zone, now)
    if start.date() == end.date():
        return f"{first} to {end:%H:%M}"
    return f"{first} to {moment_words(ends_at, zone, now)}"


def length_words(length: timedelta) -> str:
    """``40 min``, ``5 h``, ``3 days``: whole, of the largest measure that fits twice."""
    minutes = int(length.total_seconds() // 60)
    if minutes < 120:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h"
    return f"{minutes // (24 * 60)} days"


def _day_words(local: datetime, now: datetime) -> str:
    days = (local.date() - now.date()).days
    if days in (-1, 0, 1):
        return ("yesterday", "today", "tomorrow")[days + 1]
    year = "" if local.year == now.year else f" {local.year}"
    return f"{local:%a} {local.day} {local:%b}{year}"
