"""Which shoots does an address show? Nothing here writes."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Case, F, OuterRef, Q, QuerySet, When
from django.db.models.functions import Greatest
from django.utils import timezone

from gear.booking.models import Allocation, Booking
from gear.errors import Gone
from studio.calendar.feed import Told
from studio.calendar.models import FeedAddress
from studio.calendar.services import hash_of
from studio.people.models import Person
from studio.people.policy import may
from studio.shoots.models import Shoot

__all__ = ["CANCELLED_STAYS", "PAST_STAYS", "address_behind", "addresses_of", "shoots_of", "told"]

CANCELLED_STAYS = timedelta(days=90)
PAST_STAYS = timedelta(days=366)


def addresses_of(person: Any) -> list[FeedAddress]:
    """The addresses of a person that still answer, newest first."""
    return list(FeedAddress.objects.filter(person=person, revoked_at=None).select_related("room__place"))


def address_behind(token: str) -> FeedAddress:
    """The address with this secret, while it and its person's right stand. Raises `Gone`, the same for every reason."""
    found = (
        FeedAddress.objects.filter(token_hash=hash_of(token), revoked_at=None, person__is_active=True)
        .select_related("person", "room__place")
        .first()
    )
    if found is None or (found.scope == FeedAddress.Scope.ALL and not may(found.person, "feed", "all")):
        raise Gone("This address shows no calendar, or not any more. Make a new one on the calendar page.")
    return found


def shoots_of(address: FeedAddress, now: datetime | None = None) -> list[Told]:
    """Its shoots in order of time: of the last year and to come; cancelled ones for 90 days after they were
    cancelled."""
    now = now or timezone.now()
    gone = Q(booking__state=Booking.State.CANCELLED, booking__updated_at__lt=now - CANCELLED_STAYS)
    found = Shoot.objects.filter(booking__ends_at__gt=now - PAST_STAYS).exclude(gone)
    if address.scope == FeedAddress.Scope.ROOM:
        found = found.filter(room=address.room)
    if address.scope == FeedAddress.Scope.OWN:
        found = found.filter(Q(photographer=address.person) | Q(assistant=address.person))
    return told(found)


def told(shoots: QuerySet[Shoot]) -> list[Told]:
    """What calendars are told of these, in one query and without a shoot as an object: they may be tens of
    thousands."""
    rows = shoots.order_by("booking__starts_at", "pk").values_list(
        *_TOLD, *_names("photographer", "assistant")
    )
    return [Told(*row[:-6], _name(*row[-6:-3]), _name(*row[-3:])) for row in rows]


def _names(*people: str) -> list[str]:
    return [f"{who}__{name}" for who in people for name in ("username", "first_name", "last_name")]


@lru_cache(maxsize=1024)
def _name(username: str | None, first_name: str, last_name: str) -> str:
    """As the person is called everywhere; each is in many shoots."""
    if username is None:
        return ""
    return str(Person(username=username, first_name=first_name, last_name=last_name))


_waited_for = Allocation.objects.filter(booking=OuterRef("booking"), waits_since__isnull=False)
_TOLD = (
    "pk",
    "uid",
    "title",
    F("version") + F("booking__version") - 2,
    "booking__created_at",
    Greatest("updated_at", "booking__updated_at"),
    "booking__state",
    "booking__hold_until",
    "booking__review_at",
    "booking__starts_at",
    "booking__ends_at",
    "booking__zone",
    "room__name",
    "room__place__name",
    # Only a hold waits, and of most shoots nothing is asked.
    Case(
        When(
            booking__state=Booking.State.HOLD,
            then=ArraySubquery(_waited_for.order_by("unit__tag").values("unit__tag")),
        )
    ),
    "booking__occurrence__series__uid",
    "booking__occurrence__series__zone",
    "booking__occurrence__series__slot_time",
    "booking__occurrence__day",
)
"""The fields of `Told` in their order, up to the people."""
