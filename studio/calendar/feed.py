"""How are shoots written for other calendars?

RFC 5545, one VEVENT a shoot. UID is the shoot's for ever; SEQUENCE is the sum of the versions of shoot and booking:
they only rise, so that every change is newer than what was read. The text depends on the shoots alone, not on the
moment of reading, so that its hash can serve as ETag.

Shoots of a series share its UID and are told apart by RECURRENCE-ID, without a master beside them (RFC 4791, 4.1 allows
that): each is a shoot of its own, with its own firmness and address, and a rule would say nothing that they do not say.

A calendar program reads all of it every hour, so that events are written line by line (`content_lines`), as the library
would write them; the library writes the frame and the zones.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from icalendar import Calendar, vDuration

from gear.booking.models import Booking
from gear.booking.series import name_in_calendars
from gear.booking.wall_time import OPEN_END, say, start_of_day
from studio.calendar.content_lines import folded, in_utc, printable, text, when
from studio.calendar.vtimezone import vtimezone

__all__ = ["Told", "written"]

_STATUS = {
    Booking.State.ENQUIRY: "TENTATIVE",
    Booking.State.HOLD: "TENTATIVE",
    Booking.State.CONFIRMED: "CONFIRMED",
    Booking.State.CLOSED: "CONFIRMED",
    Booking.State.CANCELLED: "CANCELLED",
}
_TAKES_NO_TIME = (Booking.State.ENQUIRY, Booking.State.CANCELLED)
_END = "END:VCALENDAR\r\n"
YEARS_BEYOND = 6
"""Zones are told for more years than the shoots need: some readers keep the first description that they see."""


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of a shoot. ``changes`` counts them from 0; ``waits_for`` are tags of units that others have. Of one
    in a series, its UID and zone, the day that the rule gave it, and the time that names it (empty: its date)."""

    pk: int
    uid: UUID
    title: str
    changes: int
    created_at: datetime
    changed_at: datetime
    state: str
    hold_until: datetime | None
    review_at: datetime | None
    starts_at: datetime
    ends_at: datetime
    zone: str
    room: str
    place: str
    waits_for: list[str] | None
    series_uid: UUID | None
    series_zone: str | None
    series_time: str | None
    day: date | None
    photographer: str
    assistant: str


def written(shoots: Iterable[Told], name: str, page: str) -> bytes:
    """The feed of these shoots. ``page`` is the address of their list; that of each is its number after it."""
    shoots = list(shoots)
    frame = _frame(shoots, printable(name)).to_ical().decode()
    events = folded(line for shoot in shoots for line in _event(shoot, page))
    return "".join((frame.removesuffix(_END), *events, _END)).encode()


def _frame(shoots: list[Told], name: str) -> Calendar:
    calendar = Calendar()
    calendar.add("PRODID", "-//Fullstop//Shoots//EN")
    calendar.add("VERSION", "2.0")
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("NAME", name)
    calendar.add("X-WR-CALNAME", name)
    calendar.add("REFRESH-INTERVAL", vDuration(timedelta(hours=1)), parameters={"VALUE": "DURATION"})
    calendar.add("X-PUBLISHED-TTL", vDuration(timedelta(hours=1)))
    for zone, (first, last) in sorted(_years(shoots).items()):
        calendar.add_component(
            vtimezone(
                zone, datetime(first - 1, 1, 1, tzinfo=UTC), datetime(last + YEARS_BEYOND, 1, 1, tzinfo=UTC)
            )
        )
    return calendar


def _years(shoots: Iterable[Told]) -> dict[str, tuple[int, int]]:
    """The first and the last year of what is said in each zone."""
    found: dict[str, tuple[int, int]] = {}
    for shoot in shoots:
        first, last = shoot.starts_at.year, _known_end(shoot).year
        for zone in {shoot.zone, shoot.series_zone or shoot.zone}:
            before = found.get(zone, (first, last))
            found[zone] = min(first, before[0]), max(last, before[1])
    return found


def _event(shoot: Told, page: str) -> Iterator[str]:
    begins, ends = _times(shoot)
    changed = in_utc(shoot.changed_at)
    state = Booking.State(shoot.state)
    yield "BEGIN:VEVENT"
    yield f"SUMMARY:{text(shoot.title)}"
    yield f"DTSTART{when(begins, shoot.zone)}"
    yield f"DTEND{when(ends, shoot.zone)}"
    yield f"DTSTAMP:{changed}"
    yield f"UID:{shoot.series_uid or shoot.uid}"
    yield from _name_in_series(shoot)
    yield f"SEQUENCE:{shoot.changes}"
    yield f"CATEGORIES:{text(state.label)}"
    yield f"CREATED:{in_utc(shoot.created_at)}"
    yield "DESCRIPTION:" + text("\n".join(_description(shoot, state)))
    yield f"LAST-MODIFIED:{changed}"
    yield f"LOCATION:{text(f'{shoot.room}, {shoot.place}')}"
    yield f"STATUS:{_STATUS[state]}"
    yield f"TRANSP:{'TRANSPARENT' if state in _TAKES_NO_TIME else 'OPAQUE'}"
    yield f"URL:{page}{shoot.pk}"
    yield "END:VEVENT"


def _name_in_series(shoot: Told) -> Iterator[str]:
    if shoot.day is not None and shoot.series_zone is not None:
        name = name_in_calendars(shoot.series_zone, shoot.series_time or "", shoot.day)
        yield f"RECURRENCE-ID{when(name, shoot.series_zone)}"


def _times(shoot: Told) -> tuple[datetime | date, datetime | date]:
    """Times in the booking's zone; dates, the end not included, when it fills whole days."""
    place = ZoneInfo(shoot.zone)
    ends_at = _known_end(shoot)
    first, last = shoot.starts_at.astimezone(place), ends_at.astimezone(place)
    if shoot.starts_at == start_of_day(first.date(), place) and ends_at == start_of_day(last.date(), place):
        return first.date(), last.date()
    return first, last


def _known_end(shoot: Told) -> datetime:
    """Without a return date a calendar is told until when it is certain: the day on which it is looked at again."""
    if shoot.ends_at < OPEN_END or shoot.review_at is None:
        return shoot.ends_at
    return max(shoot.review_at, shoot.starts_at + timedelta(hours=1))


def _description(shoot: Told, state: Booking.State) -> Iterator[str]:
    if state == Booking.State.HOLD and shoot.hold_until is not None:
        yield f"{state.label} until {say(shoot.hold_until, shoot.zone)}"
    else:
        yield str(state.label)
    if shoot.ends_at >= OPEN_END and shoot.review_at is not None:
        yield f"No return date; looked at again {say(shoot.review_at, shoot.zone)}"
    if shoot.waits_for:
        yield f"In line behind others for {', '.join(shoot.waits_for)}"
    if shoot.photographer:
        yield f"Photographer: {shoot.photographer}"
    if shoot.assistant:
        yield f"Assistant: {shoot.assistant}"
