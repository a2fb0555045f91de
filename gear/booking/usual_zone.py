"""On whose clock does a page show an instant that belongs to no booking? On that of the last booking."""

from __future__ import annotations

from gear.booking.models import Booking

__all__ = ["usual_zone"]


def usual_zone() -> str:
    """The IANA zone of the latest booking; UTC before there is one."""
    return Booking.objects.order_by("-id").values_list("zone", flat=True).first() or "UTC"
