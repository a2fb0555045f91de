"""When is a unit free that came back before its booking is over? From the real return plus its turnaround."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from gear.booking.interval import Interval
from gear.booking.locks import locked, locked_units
from gear.booking.models import Booking
from gear.booking.rules import blocked_for
from gear.booking.transactions import in_one_transaction
from gear.changes import announce

__all__ = ["return_units"]


@in_one_transaction
def return_units(booking: Booking, unit_ids: Collection[int], at: datetime) -> None:
    """End the use of these units at ``at``. A promise that has not begun is let go; one that is over stays."""
    booking = locked(booking)
    for unit in locked_units(unit_ids):
        promise = booking.allocations.filter(unit=unit, active=True).first()
        if promise is None or promise.use.upper <= at:
            continue
        if at <= promise.use.lower:
            promise.active = False
        else:
            use = Interval(promise.use.lower, at)
            promise.use, promise.blocked = use.as_range, blocked_for(unit, use).as_range
        promise.save(update_fields=["use", "blocked", "active"])
    announce("unit", unit_ids)
