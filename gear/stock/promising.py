"""Promising counted things: everything asked for in one step is promised, or nothing."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from gear.booking.locks import locked
from gear.booking.models import Booking
from gear.booking.rules import refuse_ended, refuse_lapsed, use_of
from gear.booking.transactions import in_one_transaction
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.stock.locks import locked_items
from gear.stock.models import StockItem, StockPromise
from gear.stock.queries import availability
from gear.stock.rules import blocked_for, is_nothing, quantity, said
from gear.stock.shortfall import StockShort

__all__ = ["Wanted", "promise_stock", "refuse_short", "release_stock", "set_stock"]


@dataclass(frozen=True)
class Wanted:
    """So many of an item. Two lines of one item are added before anything is checked."""

    item_id: int
    quantity: Decimal | int | str


@in_one_transaction
def promise_stock(
    booking: Booking, wanted: Sequence[Wanted], by: Any, *, source: str = ""
) -> list[StockPromise]:
    """Promise these on top of what the booking has already, all or none; an enquiry only notes them.

    Locks the booking, then the items by id, then looks. Raises `StockShort`, `Invalid` for a quantity that cannot be,
    `Conflict` (lapsed, cancelled) or `Gone`.
    """
    booking, items = _locked(booking, [line.item_id for line in wanted])
    asked: dict[int, Decimal] = {}
    for line in wanted:
        item = items[line.item_id]
        asked[item.pk] = asked.get(item.pk, Decimal(0)) + quantity(line.quantity, item)
    there = {p.item_id: p for p in booking.stock_promises.filter(item__in=items, source=source)}
    sums = {pk: more + (there[pk].quantity if pk in there else 0) for pk, more in asked.items()}
    return _put(booking, items, sums, there, source, by)


@in_one_transaction
def set_stock(
    booking: Booking, item_id: int, asked: Any, by: Any, *, source: str = ""
) -> StockPromise | None:
    """Make it exactly so many of an item; 0 lets go of it. Raises as `promise_stock`."""
    booking, items = _locked(booking, [item_id])
    item = items[item_id]
    there = {p.item_id: p for p in booking.stock_promises.filter(item=item, source=source)}
    if is_nothing(asked):
        for promise in there.values():
            _let_go(promise)
        return None
    wanted = quantity(asked, item)
    if item.pk in there and wanted < there[item.pk].out_quantity:
        raise Conflict(
            f"{said(there[item.pk].out_quantity)} of {item} have left with “{booking.title}” already. "
            f"Count them back first.",
            code="out",
        )
    return _put(booking, items, {item.pk: wanted}, there, source, by)[0]


@in_one_transaction
def release_stock(booking: Booking, item_ids: Collection[int], by: Any, *, source: str = "") -> None:
    """Let go of these. Raises `Conflict` for what has left the store."""
    booking = locked(booking)
    items = locked_items(item_ids)
    for promise in booking.stock_promises.filter(item__in=items, source=source).select_related("item"):
        _let_go(promise)


def refuse_short(
    booking: Booking, item: StockItem, wanted: Decimal, *, more_here: Decimal = Decimal(0)
) -> None:
    """``wanted`` in all of a locked item for this booking must fit beside what others have. Raises `StockShort`.

    ``more_here`` is what the booking has of it in other lines.
    """
    found = availability(item, use_of(booking), ignoring=[booking.pk])
    if wanted + more_here > found.free:
        raise StockShort(found, wanted + more_here, booking.zone)


def _locked(booking: Booking, item_ids: Collection[int]) -> tuple[Booking, dict[int, StockItem]]:
    booking = locked(booking)
    items = {item.pk: item for item in locked_items(item_ids)}
    refuse_ended(booking)
    refuse_lapsed(booking)
    missing = sorted(set(item_ids) - set(items))
    if missing:
        raise Gone(f"There is no stock item {missing[0]}. Choose one from the list.")
    if not items:
        raise Invalid("Say what is wanted.", (FieldProblem("item", "a stock item"),))
    return booking, items


def _put(
    booking: Booking,
    items: dict[int, StockItem],
    sums: dict[int, Decimal],
    there: dict[int, StockPromise],
    source: str,
    by: Any,
) -> list[StockPromise]:
    blocks = booking.state != Booking.State.ENQUIRY
    if blocks:
        for pk, wanted in sorted(sums.items()):
            if pk in there and there[pk].active and wanted <= there[pk].quantity:
                continue  # to go with fewer is always possible, however short the others are
            others = booking.stock_promises.filter(item=pk).exclude(source=source)
            refuse_short(booking, items[pk], wanted, more_here=sum((p.quantity for p in others), Decimal(0)))
    use = use_of(booking)
    made = []
    for pk, wanted in sorted(sums.items()):
        promise = there.get(pk) or StockPromise(
            booking=booking, item=items[pk], source=source, promised_by=by
        )
        if promise.pk and wanted > promise.quantity:
            promise.counted_back_at = None  # the job goes on with more; what came back is not anybody else's
        promise.quantity, promise.active = wanted, blocks
        promise.use = use.as_range
        promise.blocked = blocked_for(items[pk], use).as_range
        promise.save()
        made.append(promise)
    announce("stock", sorted(sums))
    return made


def _let_go(promise: StockPromise) -> None:
    if promise.still_out:
        raise Conflict(
            f"{said(promise.still_out)} of {promise.item} are still out with this booking. Count them back first.",
            code="out",
        )
    if promise.out_quantity:
        promise.active = False
        promise.save(update_fields=["active"])
    else:
        promise.delete()
    announce("stock", [promise.item_id])
