"""Counted things stand, move and end with their booking."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from gear.booking.interval import Interval
from gear.booking.models import Booking
from gear.booking.rules import has_lapsed, use_of
from gear.changes import announce
from gear.errors import Conflict
from gear.stock.locks import locked_items
from gear.stock.models import StockItem, StockPromise
from gear.stock.promising import refuse_short
from gear.stock.queries import availability
from gear.stock.rules import blocked_for, said
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
        refuse_short(booking, {item: _all_of(booking, item) for item in items.values()})
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

    def split(self, first: Booking, later: Booking) -> None:
        """What is returned serves both parts; what is used up stays with the first. Raises `Conflict` for what has left
        the store."""
        at, lines = later.starts_at, list(first.stock_promises.select_related("item"))
        _refuse_out(first, lines)
        for line in lines:
            if line.item.consumable or line.use.upper <= at:
                continue
            StockPromise.objects.create(
                booking=later,
                item=line.item,
                source=line.source,
                quantity=line.quantity,
                use=Interval(at, line.use.upper).as_range,
                blocked=Interval(at, line.blocked.upper).as_range,
                active=line.active,
                promised_by=line.promised_by,
            )
            line.use = Interval(line.use.lower, at).as_range
            line.blocked = Interval(line.blocked.lower, at).as_range
            line.save(update_fields=["use", "blocked"])
        announce("stock", sorted({line.item_id for line in lines}))

    def merged(self, kept: Booking, gone: Booking, apart: bool) -> None:
        """The larger number of what is returned serves where the two only meet; else both numbers are needed. Raises
        `StockShort`, and `Conflict` for what has left the store."""
        theirs = list(gone.stock_promises.select_related("item"))
        ours = {(line.item_id, line.source): line for line in kept.stock_promises.select_related("item")}
        _refuse_out(kept, [*theirs, *ours.values()])
        for line in theirs:
            mine = ours.get((line.item_id, line.source))
            if mine is None:
                mine = StockPromise(
                    booking=kept, item=line.item, source=line.source, promised_by=line.promised_by
                )
                mine.quantity, mine.active = line.quantity, line.active
                ours[line.item_id, line.source] = mine
            elif apart and not line.item.consumable:
                mine.quantity = max(mine.quantity, line.quantity)
            else:
                mine.quantity += line.quantity
        use = use_of(kept)
        for line in ours.values():
            line.use, line.blocked = use.as_range, blocked_for(line.item, use).as_range
            line.save()
        self.let_go(gone)
        active = {line.item_id: line.item for line in ours.values() if line.active}
        refuse_short(kept, {item: _all_of(kept, item) for item in active.values()})
        announce("stock", sorted({item_id for item_id, _ in ours}))


def _refuse_out(booking: Booking, lines: Sequence[StockPromise]) -> None:
    out = [line for line in lines if line.still_out]
    if out:
        raise Conflict(
            f"{said(out[0].still_out)} {out[0].item} left the store already with “{booking.title}”. Count them back "
            f"first.",
            code="out",
        )


def _by_item(promises: Any) -> dict[int, StockItem]:
    return {promise.item_id: promise.item for promise in promises.select_related("item").order_by("item_id")}


def _all_of(booking: Booking, item: StockItem) -> Decimal:
    return sum((p.quantity for p in booking.stock_promises.filter(item=item)), Decimal(0))
