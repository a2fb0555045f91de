"""How are shoots written for other calendars?

RFC 5545, one VEVENT a shoot. UID is the shoot's for ever; SEQUENCE is the sum of the versions of shoot and booking:
they only rise, so that every change is newer than what was read. The text depends on the shoots alone, not on the
moment of reading, so that its hash can serve as ETag.

Shoots of a series share its UID and are told apart by RECURRENCE-ID, without a master beside them (RFC 4791, 4.1 allows
that): each is a shoot of its own, with its own firmness and address, and a rule would say nothing that they do not say.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event, vDuration

from gear.booking.models import Booking, Series
from gear.booking.series import name_in_calendars
from gear.booking.wall_time import OPEN_END, say, start_of_day
from studio.calendar.vtimezone import vtimezone
from studio.shoots.models import Shoot

__all__ = ["written"]

_STATUS = {
    Booking.State.ENQUIRY: "TENTATIVE",
    Booking.State.HOLD: "TENTATIVE",
    Booking.State.CONFIRMED: "CONFIRMED",
    Booking.State.CLOSED: "CONFIRMED",
    Booking.State.CANCELLED: "CANCELLED",
}
YEARS_BEYOND = 6
"""Zones are told for more years than the shoots need: some readers keep the first description that they see."""

_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


def written(shoots: Iterable[Shoot], name: str, address_of: Callable[[Shoot], str]) -> bytes:
    """The feed of these shoots (with booking, room and people). ``address_of`` gives the page of a shoot."""
    shoots = list(shoots)
    calendar = Calendar()
    calendar.add("PRODID", "-//Fullstop//Shoots//EN")
    calendar.add("VERSION", "2.0")
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("NAME", _text(name))
    calendar.add("X-WR-CALNAME", _text(name))
    calendar.add("REFRESH-INTERVAL", vDuration(timedelta(hours=1)), parameters={"VALUE": "DURATION"})
    calendar.add("X-PUBLISHED-TTL", vDuration(timedelta(hours=1)))
    zones = {(shoot.booking.zone, shoot.booking) for shoot in shoots} | {
        (series.zone, shoot.booking) for shoot in shoots if (series := _series(shoot))
    }
    for zone in sorted({name for name, _ in zones}):
        there = [booking for name, booking in zones if name == zone]
        first = min(booking.starts_at for booking in there).year - 1
        last = max(_known_end(booking) for booking in there).year + YEARS_BEYOND
        calendar.add_component(
            vtimezone(zone, datetime(first, 1, 1, tzinfo=UTC), datetime(last, 1, 1, tzinfo=UTC))
        )
    for shoot in shoots:
        calendar.add_component(_event(shoot, address_of(shoot)))
    return calendar.to_ical()


def _event(shoot: Shoot, address: str) -> Event:
    booking, room = shoot.booking, shoot.room
    changed = max(shoot.updated_at, booking.updated_at).replace(microsecond=0)
    event = Event()
    series = _series(shoot)
    event.add("UID", f"{series.uid if series else shoot.uid}")
    if series:
        name = name_in_calendars(series, booking.occurrence.day)
        event.add("RECURRENCE-ID", _local(name) if isinstance(name, datetime) else name)
    event.add("SEQUENCE", shoot.version + booking.version - 2)
    event.add("DTSTAMP", changed)
    event.add("CREATED", booking.created_at.replace(microsecond=0))
    event.add("LAST-MODIFIED", changed)
    event.add("STATUS", _STATUS[Booking.State(booking.state)])
    event.add("TRANSP", "OPAQUE" if _takes_time(booking) else "TRANSPARENT")
    begins, ends = _times(booking)
    event.add("DTSTART", begins)
    event.add("DTEND", ends)
    event.add("SUMMARY", _text(shoot.title))
    event.add("LOCATION", _text(f"{room.name}, {room.place.name}"))
    event.add("DESCRIPTION", _text("\n".join(_description(shoot))))
    event.add("CATEGORIES", [booking.get_state_display()])
    event.add("URL", address)
    return event


def _series(shoot: Shoot) -> Series | None:
    occurrence = getattr(shoot.booking, "occurrence", None)
    return occurrence.series if occurrence else None


def _takes_time(booking: Booking) -> bool:
    return booking.state not in (Booking.State.ENQUIRY, Booking.State.CANCELLED)


def _times(booking: Booking) -> tuple[datetime | date, datetime | date]:
    """Local times of the booking's zone; dates, the end not included, when it fills whole days."""
    place = ZoneInfo(booking.zone)
    ends_at = _known_end(booking)
    first, last = booking.starts_at.astimezone(place), ends_at.astimezone(place)
    if booking.starts_at == start_of_day(first.date(), place) and ends_at == start_of_day(last.date(), place):
        return first.date(), last.date()
    return _local(first), _local(last)


def _known_end(booking: Booking) -> datetime:
    """Without a return date a calendar is told until when it is certain: the day on which it is looked at again."""
    if booking.ends_at < OPEN_END or booking.review_at is None:
        return booking.ends_at
    return max(booking.review_at, booking.starts_at + timedelta(hours=1))


def _local(there: datetime) -> datetime:
    """A local time means the first of two (RFC 5545, 3.3.5), so that the second one is said in UTC."""
    return there.astimezone(UTC) if there.fold else there


def _description(shoot: Shoot) -> Iterable[str]:
    booking = shoot.booking
    state = booking.get_state_display()
    if booking.state == Booking.State.HOLD and booking.hold_until is not None:
        yield f"{state} until {say(booking.hold_until, booking.zone)}"
    else:
        yield state
    if booking.ends_at >= OPEN_END and booking.review_at is not None:
        yield f"No return date; looked at again {say(booking.review_at, booking.zone)}"
    if waits_for := getattr(shoot, "waits_for", ()):
        yield f"In line behind others for {', '.join(waits_for)}"
    if shoot.photographer:
        yield f"Photographer: {shoot.photographer}"
    if shoot.assistant:
        yield f"Assistant: {shoot.assistant}"


def _text(words: str) -> str:
    """Without what no text value may hold; line breaks are one kind."""
    return _UNPRINTABLE.sub("", words.replace("\r\n", "\n").replace("\r", "\n"))
