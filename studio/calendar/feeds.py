"""Which shoots does an address show? Nothing here writes."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef, Q, QuerySet
from django.utils import timezone

from gear.booking.models import Allocation, Booking
from gear.errors import Gone
from studio.calendar.models import FeedAddress
from studio.calendar.services import hash_of
from studio.people.policy import may
from studio.shoots.models import Shoot

__all__ = ["CANCELLED_STAYS", "PAST_STAYS", "address_behind", "addresses_of", "shoots_of"]

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


def shoots_of(address: FeedAddress, now: datetime | None = None) -> QuerySet[Shoot]:
    """Its shoots: of the last year and to come; cancelled ones for 90 days after they were cancelled."""
    now = now or timezone.now()
    gone = Q(booking__state=Booking.State.CANCELLED, booking__updated_at__lt=now - CANCELLED_STAYS)
    found = (
        Shoot.objects.filter(booking__ends_at__gt=now - PAST_STAYS)
        .exclude(gone)
        .select_related("booking__occurrence__series", "room__place", "photographer", "assistant")
        .annotate(waits_for=ArraySubquery(_waited_for.values("unit__tag")))
        .order_by("booking__starts_at", "pk")
    )
    if address.scope == FeedAddress.Scope.ROOM:
        return found.filter(room=address.room)
    if address.scope == FeedAddress.Scope.OWN:
        return found.filter(Q(photographer=address.person) | Q(assistant=address.person))
    return found


_waited_for = Allocation.objects.filter(
    booking=OuterRef("booking"), booking__state=Booking.State.HOLD, waits_since__isnull=False
).order_by("unit__tag")
