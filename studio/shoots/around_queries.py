"""What the page of a shoot's units shows. Nothing here writes."""

from __future__ import annotations

from datetime import timedelta

from django.db.models import Q, QuerySet

from gear.booking.given import in_words
from gear.booking.models import Allocation, Booking
from gear.booking.queries import promised_to
from gear.catalogue.models import GearType
from gear.inventory.models import Condition
from studio.shoots.models import Shoot

__all__ = ["may_follow", "types_to_ask", "units_of_shoot"]

_FOLLOWS_WITHIN = timedelta(days=14)
_MOST = 40


def units_of_shoot(shoot: Shoot) -> list[Allocation]:
    """Its promises, with whether each stands and what is unusual about its minutes in words (``said``)."""
    found = list(promised_to(shoot.booking).select_related("unit__gear_type", "given_by", "stays_for"))
    for promise in found:
        promise.said = in_words(promise)
    return found


def may_follow(shoot: Shoot) -> list[Shoot]:
    """Shoots of the same photographer in the same room that begin within two weeks after this one."""
    held = shoot.booking
    found = Shoot.objects.filter(
        Q(booking__starts_at__gte=held.ends_at, booking__starts_at__lt=held.ends_at + _FOLLOWS_WITHIN),
        room=shoot.room_id,
        photographer=shoot.photographer_id,
        booking__asked_by=held.asked_by_id,
        booking__state__in=[Booking.State.HOLD, Booking.State.CONFIRMED],
    )
    return list(found.exclude(pk=shoot.pk).select_related("booking").order_by("booking__starts_at")[:_MOST])


def types_to_ask() -> QuerySet[GearType]:
    """Gear types of which a unit is ready for use."""
    return (
        GearType.objects.filter(units__condition=Condition.READY).distinct().order_by("kind", "maker", "name")
    )
