"""What does a calendar program need to know of a time zone?

A VTIMEZONE (RFC 5545, 3.6.5) with one observance for every change of the clocks in the years covered. An observance
starts at the local time *before* the change: DTSTART is read with TZOFFSETFROM. (The icalendar library writes the time
after it, so that summer time would begin an hour late; hence this module.)
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

__all__ = ["changes", "vtimezone"]

_STEP = timedelta(days=7)


def vtimezone(zone: str, starts_at: datetime, ends_at: datetime) -> Timezone:
    """The zone as it is from ``starts_at`` to ``ends_at``, both with an offset."""
    place = ZoneInfo(zone)
    component = Timezone()
    component.add("TZID", zone)
    first = starts_at.astimezone(UTC).replace(microsecond=0)
    component.add_component(_observance(first, place, first))
    for at in changes(place, first, ends_at.astimezone(UTC)):
        component.add_component(_observance(at, place, at - timedelta(seconds=1)))
    return component


def changes(place: ZoneInfo, starts_at: datetime, ends_at: datetime) -> Iterator[datetime]:
    """The instants after ``starts_at``, up to ``ends_at``, from which the zone has another offset."""
    at = starts_at
    while at < ends_at:
        later = min(at + _STEP, ends_at)
        if _offset(at, place) != _offset(later, place):
            yield _change(at, later, place)
        at = later


def _change(early: datetime, late: datetime, place: ZoneInfo) -> datetime:
    before = _offset(early, place)
    while late - early > timedelta(seconds=1):
        middle = (early + (late - early) / 2).replace(microsecond=0)
        if _offset(middle, place) == before:
            early = middle
        else:
            late = middle
    return late


def _observance(at: datetime, place: ZoneInfo, just_before: datetime) -> TimezoneDaylight | TimezoneStandard:
    """What holds from an instant on; its start is said on the clock that ran until then."""
    there, was = at.astimezone(place), _offset(just_before, place)
    observance = TimezoneDaylight() if there.dst() else TimezoneStandard()
    observance.add("DTSTART", (at + was).replace(tzinfo=None))
    observance.add("TZOFFSETFROM", was)
    observance.add("TZOFFSETTO", _offset(at, place))
    observance.add("TZNAME", there.tzname() or "")
    return observance


def _offset(at: datetime, place: ZoneInfo) -> timedelta:
    offset = at.astimezone(place).utcoffset()
    assert offset is not None
    return offset
