"""Counted things stand, move and end with their booking."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from gear.booking.models import Booking
from gear.booking.rules import has_lapsed, use_of
from gear.changes import announce
from gear.stock.locks import locked_items
from gear.stock.models import StockItem, StockPromise
from gear.stock.promising import refuse_short
from gear.stock.queries import availability
from gear.stock.rules import blocked_for
from gear.stock.shortfall import StockShort

__all__ = ["StockOfBooking"]


class StockOfBooking:
    """The companion that keeps the counted things of a booking with it."""

    def lock(self, booking_ids: Collection[int]) -> None:
        """Lock the items of these bookings, by id."""
        promised = StockPromise.objects.filter(booking__in=list(booking_ids))
        ids = list(promised.order_by().values_list("item_id", flat=True).distinct())
        if ids:
            locked_items(ids)

    def stand(self, booking: Booking, by: Any) -> None:
        """What does not stand, or stood in a hold that has ended, is a fresh check. Raises `StockShort`."""
        anew = (
            booking.stock_promises.all()
            if has_lapsed(booking)
            else booking.stock_promises.filter(active=False)
        )
        items = _by_item(anew)
        if not items:
            return
        for item in items.values():
            refuse_short(booking, item, _all_of(booking, item))
        use = use_of(booking)
        for item in items.values():
            booking.stock_promises.filter(item=item).update(
                active=True, use=use.as_range, blocked=blocked_for(item, use).as_range
            )
        announce("stock", items)

    def let_go(self, booking: Booking) -> None:
        """Nothing blocks any more, but for what has left the store: that is counted back."""
        going = booking.stock_promises.filter(counted_back_at=None, out_quantity=0, active=True)
        ids = set(going.values_list("item_id", flat=True))
        going.update(active=False)
        announce("stock", ids)

    def moved(self, bookings: Sequence[Booking]) -> None:
        """The new times must hold for all that moved, together. Raises `StockShort`."""
        moved = {}
        for booking in bookings:
            use = use_of(booking)
            for promise in booking.stock_promises.select_related("item"):
                promise.use = use.as_range
                promise.blocked = blocked_for(promise.item, use).as_range
                promise.active = promise.active and not has_lapsed(booking)
                promise.save(update_fields=["use", "blocked", "active"])
                moved[promise.item_id, booking.pk] = (promise.item, booking, promise.active)
        for item, booking, active in moved.values():
            if active:
                wanted = _all_of(booking, item)
                found = availability(item, use_of(booking), ignoring=[booking.pk])
                if wanted > found.free:
                    raise StockShort(found, wanted, booking.zone)
        announce("stock", sorted({item_id for item_id, _ in moved}))

    def closed(self, booking: Booking, at: datetime) -> None:
        """What never left is free; what left is free when it has been counted."""
        self.let_go(booking)


def _by_item(promises: Any) -> dict[int, StockItem]:
    return {promise.item_id: promise.item for promise in promises.select_related("item").order_by("item_id")}


def _all_of(booking: Booking, item: StockItem) -> Decimal:
    return sum((p.quantity for p in booking.stock_promises.filter(item=item)), Decimal(0))
