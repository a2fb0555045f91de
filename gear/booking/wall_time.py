"""What instant does a clock on the wall mean?

The one place where local time and an IANA zone become an instant. Intent is kept as the wall time that was asked;
the instant is derived from it. Seconds are cut here, before anything is compared.

Where the clocks jump forward an hour of local times does not exist: it is refused, and the time that the same number of
elapsed minutes leads to is offered (the reading of RFC 5545, 3.3.5). Where they go back a local time happens twice: the
first is meant unless the second is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from gear.errors import FieldProblem, Invalid

__all__ = [
    "OPEN_END",
    "Moment",
    "NoSuchTime",
    "moment",
    "say",
    "say_period",
    "start_of_day",
    "wall_of",
    "zone_of",
]


OPEN_END = datetime(2400, 1, 1, tzinfo=UTC)
"""Where something ends that has no return date: after whatever anybody may ask for."""

NO_DATE = "no return date"


@dataclass(frozen=True)
class Moment:
    """An instant (UTC, whole minutes) with the wall time it was asked as; ``twice`` when that wall time repeats."""

    instant: datetime
    wall: str
    zone: str
    twice: bool = False


class NoSuchTime(Invalid):
    """The clocks jump over this local time; ``offered`` is the wall time it would have become."""

    code = "no-such-time"

    def __init__(self, where: str, asked: str, offered: str, zone: str) -> None:
        self.offered = offered
        day, _, clock = asked.partition("T")
        super().__init__(
            f"{clock} does not exist on {day} in {zone}: the clocks go forward over it. "
            f"Take {offered.partition('T')[2]} instead.",
            (FieldProblem(where, f"a time that exists, for example {offered}"),),
            ways_out=(offered,),
        )


def zone_of(name: str, where: str = "zone") -> ZoneInfo:
    """The zone of that IANA name. Raises `Invalid`."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise Invalid(
            f"There is no time zone {name!r}. Give its IANA name, for example Europe/Paris.",
            (FieldProblem(where, "an IANA time zone name"),),
        ) from None


def moment(asked: str | datetime, zone: str, *, second: bool = False, where: str = "starts") -> Moment:
    """The instant that ``asked`` means in ``zone``.

    ``asked`` is a wall time ``YYYY-MM-DDTHH:MM`` (seconds are cut), or an instant with its offset, which is then shown
    on the wall of ``zone``. ``second`` picks the second of two. Raises `Invalid`, or `NoSuchTime` with an offer.
    """
    place = zone_of(zone)
    read = asked if isinstance(asked, datetime) else _parsed(str(asked), where)
    if not 1900 <= read.year <= 2500:
        raise Invalid(
            f"The year {read.year} is not one a studio can book. Give a date within five years of today.",
            (FieldProblem(where, "a date within five years of today"),),
        )
    read = read.replace(second=0, microsecond=0)
    if read.tzinfo is not None:
        instant = read.astimezone(UTC)
        there = instant.astimezone(place)
        return Moment(instant, _wall(there), zone, _twice(there.replace(tzinfo=None), place))
    local = read.replace(tzinfo=place, fold=1 if second else 0)
    instant = local.replace(fold=0).astimezone(UTC)
    back = instant.astimezone(place).replace(tzinfo=None, fold=0)
    if back != read.replace(fold=0):
        raise NoSuchTime(where, _wall(read), _wall(back), zone)
    return Moment(local.astimezone(UTC), _wall(read), zone, _twice(read, place))


def wall_of(instant: datetime, zone: str) -> str:
    """What the clock on the wall shows at an instant, as ``YYYY-MM-DDTHH:MM``."""
    return _wall(instant.astimezone(zone_of(zone)))


def start_of_day(day: date, place: ZoneInfo) -> datetime:
    """The first instant (UTC) at which the calendar on the wall shows ``day``, or a later day where it never does."""
    wall = datetime.combine(day, time(), place)
    instant = wall.astimezone(UTC)
    if instant.astimezone(place).replace(tzinfo=None) == wall.replace(tzinfo=None):
        return instant
    early, late = (
        instant - timedelta(days=1),
        instant + timedelta(hours=3),
    )  # midnight is jumped over: look for the jump
    while late - early > timedelta(seconds=1):
        middle = early + (late - early) // 2
        if middle.astimezone(place).date() < day:
            early = middle
        else:
            late = middle
    return late.replace(microsecond=0)


def say(instant: datetime, zone: str) -> str:
    """An instant for people: ``Tue 12 May 2026, 14:30``."""
    if instant >= OPEN_END:
        return NO_DATE
    there = instant.astimezone(zone_of(zone))
    return f"{there:%a} {there.day} {there:%b %Y, %H:%M}"


def say_period(starts_at: datetime, ends_at: datetime, zone: str) -> str:
    """A period for people; the day is said once when it is one day."""
    if ends_at >= OPEN_END:
        return f"{say(starts_at, zone)}, {NO_DATE}"
    place = zone_of(zone)
    first, last = starts_at.astimezone(place), ends_at.astimezone(place)
    if first.date() == last.date():
        return f"{say(starts_at, zone)} to {last:%H:%M}"
    return f"{say(starts_at, zone)} to {say(ends_at, zone)}"


def _parsed(text: str, where: str) -> datetime:
    text = text.strip()
    try:
        if len(text) < 12:
            raise ValueError("a day without a time")
        return datetime.fromisoformat(text)
    except ValueError:
        raise Invalid(
            f"{text[:40]!r} is not a time. Write the date and the time, for example 2026-05-12T09:00.",
            (FieldProblem(where, "YYYY-MM-DDTHH:MM"),),
        ) from None


def _wall(there: datetime) -> str:
    return f"{there:%Y-%m-%dT%H:%M}"


def _twice(naive: datetime, place: ZoneInfo) -> bool:
    first = naive.replace(tzinfo=place, fold=0)
    return first.utcoffset() != first.replace(fold=1).utcoffset()
