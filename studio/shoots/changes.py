"""What does an edit of a shoot ask for, beside what is so already?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from gear.booking.interval import Period, period
from gear.booking.models import Booking
from gear.booking.rules import use_of
from gear.booking.services import move_booking
from gear.errors import FieldProblem, Invalid
from studio.places.models import Room
from studio.shoots.models import MOST_TRAVELLERS, Shoot
from studio.shoots.rules import refuse_strange_photographer

__all__ = ["Asked", "Changes", "asked_of", "move", "people_who_travel", "period_of", "say", "way_to"]


@dataclass(frozen=True)
class Changes:
    """What an edit of a shoot says; None leaves a thing as it is."""

    title: str | None = None
    notes: str | None = None
    room: Room | None = None
    photographer: Any = None
    assistant: Any = None
    no_assistant: bool = False
    starts: str | datetime | None = None
    ends: str | datetime | None = None
    starts_second: bool = False
    ends_second: bool = False
    travels_by_air: bool | None = None
    travellers: int | None = None
    travel_anew: bool = False


@dataclass(frozen=True)
class Asked:
    """What differs from what is so: values by the shoot's fields, another period and another way (None: the same)."""

    words: Mapping[str, Any]
    period: Period | None
    travel_minutes: int | None = None

    @property
    def nothing(self) -> bool:
        """Whether all is so already."""
        return not self.words and self.period is None and self.travel_minutes is None


def asked_of(shoot: Shoot, changes: Changes, by: Any) -> Asked:
    """What these changes ask of a shoot as it stands. Raises `Invalid`, `NotAllowed`."""
    wanted = {
        "title": changes.title if changes.title is None else _title(changes.title),
        "notes": changes.notes,
        "room": changes.room,
        "photographer": changes.photographer,
        "assistant": changes.assistant,
        "travels_by_air": changes.travels_by_air,
        "travellers": None if changes.travellers is None else people_who_travel(changes.travellers),
    }
    if changes.photographer is not None and changes.photographer != shoot.photographer:
        refuse_strange_photographer(by, changes.photographer)
    words = {n: v for n, v in wanted.items() if v is not None and getattr(shoot, n) != v}
    if changes.no_assistant and shoot.assistant is not None:
        words["assistant"] = None
    room = words.get("room", shoot.room)
    return Asked(words, _asked_period(shoot, changes, room), way_to(shoot, room, changes))


def move(held: Booking, asked: Asked, by: Any) -> Booking:
    """The booking at the asked time and place; one that is over or cancelled only notes another way. Raises as moving
    does."""
    if asked.period is None and asked.travel_minutes is None:
        return held
    if asked.period is None and held.state in (Booking.State.CANCELLED, Booking.State.CLOSED):
        Booking.objects.filter(pk=held.pk).update(travel_minutes=asked.travel_minutes)
        return held
    return move_booking(held, asked.period or period_of(held), by, travel_minutes=asked.travel_minutes)


def period_of(held: Booking) -> Period:
    """The period of a booking as it was asked."""
    return Period(use_of(held), held.zone, held.starts_wall, held.ends_wall)


def say(shoot: Shoot, words: Mapping[str, Any]) -> None:
    """Put new values on a locked shoot, and on its booking what that repeats; the caller saves the shoot."""
    for name, value in words.items():
        setattr(shoot, name, value)
    if "title" in words:
        Booking.objects.filter(pk=shoot.booking_id).update(title=shoot.title)
    if "photographer" in words:
        Booking.objects.filter(pk=shoot.booking_id).update(asked_by=shoot.photographer)


def people_who_travel(number: int) -> int:
    """A number of travellers. Raises `Invalid`."""
    if not 1 <= number <= MOST_TRAVELLERS:
        raise Invalid(
            f"{number} people cannot travel with a shoot.",
            (FieldProblem("travellers", f"a number from 1 to {MOST_TRAVELLERS}"),),
        )
    return number


def way_to(shoot: Shoot, room: Room, changes: Changes) -> int | None:
    """The way to another place, in minutes. In the same place a shoot keeps the one that it was planned with, unless
    somebody asks for it anew."""
    if room.place_id == shoot.room.place_id and not changes.travel_anew:
        return None
    way = room.place.travel_minutes
    return None if way == shoot.booking.travel_minutes else way


def _asked_period(shoot: Shoot, changes: Changes, room: Room) -> Period | None:
    """The period that an edit asks for, when it is another one.

    Another place reads the same wall times on its own clock. In the same place the booking keeps the zone it was asked
    in, whatever the place says of its zone by now.
    """
    held = shoot.booking
    elsewhere = room.place_id != shoot.room.place_id
    if changes.starts is None and changes.ends is None and not elsewhere:
        return None
    starts = changes.starts or (elsewhere and held.starts_wall) or held.starts_at
    ends = changes.ends or (elsewhere and held.ends_wall) or held.ends_at
    asked = period(
        starts,
        ends,
        room.place.zone if elsewhere else held.zone,
        starts_second=changes.starts_second,
        ends_second=changes.ends_second,
    )
    if asked.interval.open_ended:
        asked = replace(asked, ends_wall="")
    is_so = asked.zone == held.zone and (asked.interval.starts_at, asked.interval.ends_at) == (
        held.starts_at,
        held.ends_at,
    )
    return None if is_so else asked


def _title(title: str) -> str:
    title = title.strip()
    if not title or len(title) > 120:
        raise Invalid(
            "A shoot needs a title of 1 to 120 characters.", (FieldProblem("title", "1 to 120 characters"),)
        )
    return title
