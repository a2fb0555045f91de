"""What is short. Nothing here writes."""

from __future__ import annotations

from django.db.models import QuerySet

from gear.booking.models import Booking
from gear.errors import Gone
from gear.shortages.models import Shortage

__all__ = ["open_count", "shortage_numbered", "shortages", "shortages_of"]


def shortages(*, closed: bool = False, owner: object = None) -> QuerySet[Shortage]:
    """Open ones by the start of their booking, or closed ones, the latest first."""
    found = Shortage.objects.filter(closed_at__isnull=not closed).select_related(
        "booking", "unit__gear_type", "item", "owner", "closed_by"
    )
    if owner is not None:
        found = found.filter(owner=owner)
    return found.order_by("-closed_at", "-id") if closed else found.order_by("booking__starts_at", "id")


def shortages_of(booking: Booking | int) -> QuerySet[Shortage]:
    """The open shortages of one booking."""
    return shortages().filter(booking=booking if isinstance(booking, int) else booking.pk)


def open_count() -> int:
    """How many are open."""
    return Shortage.objects.filter(closed_at=None).count()


def shortage_numbered(pk: int) -> Shortage:
    """One shortage. Raises `Gone`."""
    found = (
        Shortage.objects.select_related("booking", "unit__gear_type", "item", "owner", "closed_by")
        .filter(pk=pk)
        .first()
    )
    if found is None:
        raise Gone(f"There is no shortage {pk}. Look for it under Gear, Shortages.")
    return found
