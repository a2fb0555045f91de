"""Out with no return date: it blocks everything after its start until somebody says that it is back.

No loan is for ever: without an end it has a day on which somebody looks at it again, and the first page lists it then.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from gear.booking.interval import Interval, Period
from gear.booking.locks import locked
from gear.booking.models import Booking
from gear.booking.services import Move, move_bookings
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import OPEN_END
from gear.errors import Conflict

__all__ = ["leave_open"]


@in_one_transaction
def leave_open(booking: Booking, review_at: datetime, by: Any, *, version: int | None = None) -> Booking:
    """Take the end off a booking until somebody gives it one; it is looked at again at ``review_at``. Saying it again
    sets another moment for that. Raises `UnitTaken` for whatever comes after, `Invalid`, `StaleEdit`."""
    booking = locked(booking, version)
    if hasattr(booking, "occurrence"):
        raise Conflict(
            f"“{booking.title}” belongs to a series, and each day of that has its end.", code="of-a-series"
        )
    period = Period(Interval(booking.starts_at, OPEN_END), booking.zone, booking.starts_wall, "")
    (moved,) = move_bookings([Move(booking.pk, period, review_at=review_at)], by)
    return moved
