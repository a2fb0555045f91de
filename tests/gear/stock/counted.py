"""Counted things for the tests. 6 July 2026 is a Monday; days are told from the Monday a good month ahead."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta
from typing import Any

from gear.booking import services as booking_services
from gear.booking.interval import Period, period
from gear.booking.models import Booking
from gear.stock.models import StockItem, StockMovement
from gear.stock.services import Wanted, promise_stock

__all__ = ["MONDAY", "an_item", "day", "days", "had"]

_count = itertools.count(1)
_ahead = (datetime.now(UTC) + timedelta(days=35)).replace(hour=0, minute=0, second=0, microsecond=0)
MONDAY = _ahead - timedelta(days=_ahead.weekday())


def day(number: float) -> datetime:
    """That many days after the Monday: 0 is Monday, 1 Tuesday."""
    return MONDAY + timedelta(days=number)


def days(start: float, end: float) -> Period:
    """From one day to another, half-open, in UTC."""
    return period(day(start), day(end), "UTC")


def an_item(count: Any = 10, **more: Any) -> StockItem:
    """Sandbags, ten of them for a year, unless told otherwise."""
    item = StockItem.objects.create(**{"name": f"Sandbag {next(_count)}", **more})
    if count:
        StockMovement.objects.create(
            item=item, kind="purchase", quantity=count, effective_at=datetime.now(UTC) - timedelta(days=365)
        )
    return item


def had(item: StockItem, quantity: Any, start: float, end: float, **more: Any) -> Booking:
    """A booking with so many of the item from one day to another, through the services."""
    title, state = more.pop("title", "A"), more.pop("state", "confirmed")
    booking = booking_services.open_booking(title, days(start, end), None, state=state, **more)
    promise_stock(booking, [Wanted(item.pk, quantity)], None)
    return booking
