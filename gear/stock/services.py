"""What can be done to counted things; each is one transaction that is tried again as a whole."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from gear.booking.rules import now
from gear.booking.transactions import broken_constraint, in_one_transaction
from gear.catalogue.differences import ChangedMeanwhile, differences
from gear.catalogue.models import GearType
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Invalid
from gear.stock.any_of_model import promise_any_of_model
from gear.stock.counting import count_back, count_back_to, count_out, count_out_to, count_used, report_lost
from gear.stock.entry import StockEntry, stock_fields
from gear.stock.locks import locked_item
from gear.stock.models import StockItem, StockMovement
from gear.stock.promising import Wanted, promise_stock, release_stock, set_stock
from gear.stock.queries import on_hand, supply
from gear.stock.rules import is_nothing, quantity, said
from gear.stock.steps import levels

__all__ = [
    "Wanted",
    "add_item",
    "change_item",
    "count_back",
    "count_back_to",
    "count_out",
    "count_out_to",
    "count_stock",
    "count_used",
    "promise_any_of_model",
    "promise_stock",
    "record_movement",
    "release_stock",
    "report_lost",
    "set_stock",
]

Kind = StockMovement.Kind


@in_one_transaction
def add_item(entry: StockEntry, by: Any, *, there_are: Any = None) -> StockItem:
    """A new item; ``there_are`` is how many there are now. Raises `Invalid`, `Conflict` for a taken name."""
    item = StockItem()
    _fill(item, entry)
    _save(item)
    if there_are not in (None, "", 0, "0"):
        StockMovement.objects.create(
            item=item,
            kind=Kind.CORRECTION,
            quantity=quantity(there_are, item, "there_are"),
            effective_at=now(),
            note="first count",
            by=by,
        )
    announce("stock", [item.pk])
    return item


@in_one_transaction
def change_item(pk: int, entry: StockEntry, version: int, by: Any) -> StockItem:
    """Make an item say what ``entry`` says; how many there are changes by movements only.

    Raises `Gone`, `ChangedMeanwhile`, `Invalid`, `Conflict`.
    """
    item = locked_item(pk)
    saved, typed = stock_fields(item), entry.model_dump()
    if item.version != version:
        raise ChangedMeanwhile(item.name, differences(saved, typed), item.version)
    if saved == typed:
        return item
    if entry.whole and not item.whole:
        _refuse_broken_numbers(item)
    _fill(item, entry)
    item.version += 1
    _save(item)
    announce("stock", [item.pk])
    return item


@in_one_transaction
def record_movement(
    pk: int, kind: str, counted: Any, by: Any, *, effective_at: datetime | None = None, note: str = ""
) -> StockMovement:
    """A purchase, loss, breakage or use of so many, from an instant on. Promises are not touched: where there are too
    few now, a shortage is opened. Raises `Invalid`, `Gone`, `Conflict` when there were never so many.
    """
    if kind not in (Kind.PURCHASE, Kind.LOSS, Kind.BREAK, Kind.USE):
        raise Invalid(
            f"There is no movement “{str(kind)[:20]}”.",
            (FieldProblem("kind", "purchase, loss, break or use"),),
        )
    item = locked_item(pk)
    number = quantity(counted, item)
    at = effective_at or now()
    if kind != Kind.PURCHASE and at > now():
        raise Invalid(
            "That lies ahead; only a purchase can be entered before it is there.",
            (FieldProblem("effective_at", "a time up to now"),),
        )
    change = number if kind == Kind.PURCHASE else -number
    _refuse_below_nothing(item, at, change)
    made = StockMovement.objects.create(
        item=item, kind=kind, quantity=change, effective_at=at, note=note.strip()[:300], by=by
    )
    announce("stock", [item.pk])
    return made


@in_one_transaction
def count_stock(pk: int, counted: Any, by: Any, *, note: str = "") -> StockMovement | None:
    """Somebody counted: there are so many in all, those that are out included. None when that is what was known."""
    item = locked_item(pk)
    number = Decimal(0) if is_nothing(counted) else quantity(counted, item, "counted")
    at = now()
    change = number - on_hand(item, at)
    if not change:
        return None
    made = StockMovement.objects.create(
        item=item, kind=Kind.CORRECTION, quantity=change, effective_at=at, note=note.strip()[:300], by=by
    )
    announce("stock", [item.pk])
    return made


def _refuse_below_nothing(item: StockItem, at: datetime, change: Decimal) -> None:
    least = min(level.capacity for level in levels(supply(item), [], at, None))
    if least + change < 0:
        raise Conflict(
            f"There are {said(least)} of {item} then, so {said(-change)} cannot have gone. Count what is there "
            f"and enter the count.",
            code="recount",
        )


def _refuse_broken_numbers(item: StockItem) -> None:
    numbers = [step.change for step in supply(item)] + list(item.promises.values_list("quantity", flat=True))
    if any(number != number.to_integral_value() for number in numbers):
        raise Conflict(f"Parts of {item} have been counted or promised, so it cannot become a whole thing.")


def _fill(item: StockItem, entry: StockEntry) -> None:
    for name, value in entry.model_dump(exclude={"gear_type"}).items():
        setattr(item, name, value)
    item.gear_type = None
    if entry.gear_type:
        item.gear_type = GearType.objects.filter(slug=entry.gear_type).first()
        if item.gear_type is None:
            raise Invalid(
                f"“{entry.gear_type}” is not in the catalogue.",
                (FieldProblem("gear_type", "a gear type of the catalogue"),),
            )


def _save(item: StockItem) -> None:
    try:
        with transaction.atomic():
            item.save()
    except IntegrityError as error:
        if broken_constraint(error) != "stock_name_once":
            raise
        raise Conflict(
            f"There is already an item “{item.name}”.",
            ways_out=("Open that one and enter a purchase, or give this one another name.",),
            code="name-taken",
        ) from None
