"""Promising counted things: everything asked for in one step is promised, or nothing."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
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
from gear.stock.queries import availabilities
from gear.stock.rules import blocked_for, is_nothing, quantity, said
from gear.stock.shortfall import StockShort

__all__ = [
    "Wanted",
    "asked_for",
    "let_go_lines",
    "lines_of",
    "promise_stock",
    "put_lines",
    "refuse_short",
    "release_stock",
    "set_stock",
]


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
    asked = asked_for(items, wanted)
    lines = lines_of(booking, items)
    there = {line.item_id: line for line in lines if line.source == source}
    sums = {pk: more + (there[pk].quantity if pk in there else 0) for pk, more in asked.items()}
    return _put(booking, items, sums, lines, source, by)


@in_one_transaction
def set_stock(
    booking: Booking, item_id: int, asked: Any, by: Any, *, source: str = ""
) -> StockPromise | None:
    """Make it exactly so many of an item; 0 lets go of it. Raises as `promise_stock`."""
    booking, items = _locked(booking, [item_id])
    item, lines = items[item_id], lines_of(booking, items)
    ours = [line for line in lines if line.source == source]
    if is_nothing(asked):
        announce("stock", let_go_lines(ours))
        return None
    wanted = quantity(asked, item)
    if ours and wanted < ours[0].out_quantity:
        raise Conflict(
            f"{said(ours[0].out_quantity)} of {item} have left with “{booking.title}” already. "
            f"Count them back first.",
            code="out",
        )
    return _put(booking, items, {item.pk: wanted}, lines, source, by)[0]


@in_one_transaction
def release_stock(booking: Booking, item_ids: Collection[int], by: Any, *, source: str = "") -> None:
    """Let go of these. Raises `Conflict` for what has left the store."""
    booking = locked(booking)
    items = {item.pk: item for item in locked_items(item_ids)}
    announce("stock", let_go_lines(line for line in lines_of(booking, items) if line.source == source))


def lines_of(booking: Booking, items: Mapping[int, StockItem]) -> list[StockPromise]:
    """What a booking has of these items, which are locked, whichever kit it came with."""
    lines = list(booking.stock_promises.filter(item__in=list(items))) if items else []
    for line in lines:
        line.item = items[line.item_id]
    return lines


def asked_for(items: Mapping[int, StockItem], wanted: Iterable[Wanted]) -> dict[int, Decimal]:
    """How many of each item, its lines added. Raises `Invalid` for a quantity that cannot be."""
    asked: dict[int, Decimal] = {}
    for line in wanted:
        item = items[line.item_id]
        asked[item.pk] = asked.get(item.pk, Decimal(0)) + quantity(line.quantity, item)
    return asked


def refuse_short(booking: Booking, wanted: Mapping[StockItem, Decimal]) -> None:
    """So many in all of these items, which are locked, must fit for this booking beside what others have. Raises
    `StockShort`."""
    found = availabilities(wanted, use_of(booking), ignoring=[booking.pk])
    for item, in_all in wanted.items():
        if in_all > found[item.pk].free:
            raise StockShort(found[item.pk], in_all, booking.zone)


def put_lines(
    booking: Booking,
    items: Mapping[int, StockItem],
    sums: Mapping[int, Decimal],
    there: Mapping[int, StockPromise],
    source: str,
    by: Any,
) -> list[StockPromise]:
    """Make the lines of a source say so many, by the id of the item; ``there`` are those it has. The items are locked
    and that many are free; the caller announces it."""
    use, blocks = use_of(booking), booking.state != Booking.State.ENQUIRY
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
        if promise.pk:
            promise.save()
        made.append(promise)
    StockPromise.objects.bulk_create([promise for promise in made if promise.pk is None])
    return made


def let_go_lines(lines: Iterable[StockPromise]) -> list[int]:
    """Let go of these, whose items are locked; the ids of the items, which the caller announces. Raises `Conflict` for
    what has left the store."""
    lines = list(lines)
    for line in lines:
        if line.still_out:
            raise Conflict(
                f"{said(line.still_out)} of {line.item} are still out with this booking. Count them back first.",
                code="out",
            )
    been_out = [line.pk for line in lines if line.out_quantity]
    if been_out:
        StockPromise.objects.filter(pk__in=been_out).update(active=False)
    if len(been_out) < len(lines):
        StockPromise.objects.filter(pk__in=[line.pk for line in lines if not line.out_quantity]).delete()
    return sorted({line.item_id for line in lines})


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
    lines: list[StockPromise],
    source: str,
    by: Any,
) -> list[StockPromise]:
    there = {line.item_id: line for line in lines if line.source == source}
    if booking.state != Booking.State.ENQUIRY:
        more = {}
        for pk, wanted in sorted(sums.items()):
            if pk in there and there[pk].active and wanted <= there[pk].quantity:
                continue  # to go with fewer is always possible, however short the others are
            others = (line.quantity for line in lines if line.item_id == pk and line.source != source)
            more[items[pk]] = wanted + sum(others, Decimal(0))
        if more:
            refuse_short(booking, more)
    made = put_lines(booking, items, sums, there, source, by)
    announce("stock", sorted(sums))
    return made
