"""When is a unit free that came back before its booking is over? From the real return plus its turnaround."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from gear.booking.blocking import end_use
from gear.booking.locks import locked, locked_units
from gear.booking.models import Booking
from gear.booking.promotion import promote
from gear.booking.rules import now
from gear.booking.staying_ends import came_back_after_all, end_stays
from gear.booking.transactions import in_one_transaction
from gear.changes import announce

__all__ = ["return_units"]


@in_one_transaction
def return_units(booking: Booking, unit_ids: Collection[int], at: datetime) -> None:
    """End the use of these units at ``at``. A promise that has not begun is let go; one that is over stays."""
    booking = locked(booking)
    units = locked_units(unit_ids)
    unused = booking.allocations.filter(unit__in=unit_ids, active=True, use__startswith__gte=at)
    let_go = list(unused.values_list("unit_id", flat=True))
    unused.update(active=False)
    end_stays([booking.pk], at, let_go)
    end_use(booking.pk, unit_ids, at)
    came_back_after_all(booking.pk, unit_ids, at)
    announce("unit", unit_ids)
    promote(units, now())
