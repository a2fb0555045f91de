"""What left, what came back, what was used up: facts that somebody counted. The plan bends to them."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from gear.booking.locks import locked_by_id
from gear.booking.rules import now
from gear.booking.transactions import in_one_transaction
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.stock.locks import locked_item
from gear.stock.models import StockMovement, StockPromise
from gear.stock.rules import is_nothing, quantity, said

__all__ = ["count_back", "count_back_to", "count_out", "count_out_to", "count_used", "report_lost"]

Kind = StockMovement.Kind


@in_one_transaction
def count_out(promise_id: int, counted: Any, by: Any) -> StockPromise:
    """So many more have left the store. Raises `Conflict` beyond what was promised."""
    promise = _locked(promise_id)
    number = quantity(counted, promise.item)
    left = promise.out_quantity + number
    if left > promise.quantity:
        raise Conflict(
            f"{said(left)} of {promise.item} would have left, but {said(promise.quantity)} are promised to "
            f"“{promise.booking.title}”. Promise more first, or count again.",
            code="recount",
        )
    promise.out_quantity, promise.counted_back_at = left, None
    return _saved(promise)


def count_back(promise_id: int, counted: Any, by: Any) -> StockPromise:
    """So many came back; what did not stays blocked. Raises `Conflict` when more come back than left: the count is
    wrong too, so nothing is saved."""
    return _account(promise_id, counted, "back_quantity", by)


def count_used(promise_id: int, counted: Any, by: Any) -> StockPromise:
    """So many were used up: there are fewer from now on. Raises `Conflict` for what is not used up."""
    return _account(promise_id, counted, "used_quantity", by, Kind.USE, note="used up")


def report_lost(promise_id: int, counted: Any, note: str, by: Any) -> StockPromise:
    """So many are not found: there are fewer from now on, and the job has an answer for them."""
    if not note.strip():
        raise Invalid(
            "Say in a few words what happened, so that whoever searches knows.",
            (FieldProblem("note", "what happened"),),
        )
    return _account(promise_id, counted, "reported_quantity", by, Kind.LOSS, note=note.strip())


@in_one_transaction
def count_out_to(promise_id: int, total: Any, by: Any) -> StockPromise:
    """So many have left in all; saying it twice changes nothing. Raises as `count_out`, and `Conflict` for fewer than
    are accounted for already."""
    promise = _locked(promise_id)
    number = _total(total, promise)
    if number == promise.out_quantity:
        return promise
    if number > promise.out_quantity:
        return count_out(promise_id, number - promise.out_quantity, by)
    accounted = promise.out_quantity - promise.still_out
    if number < accounted:
        raise Conflict(
            f"{said(accounted)} of {promise.item} are accounted for already, so {said(number)} cannot be all that "
            "left: one of the two counts is wrong. Stop, and count again.",
            code="recount",
        )
    promise.out_quantity = number
    return _saved(promise)


@in_one_transaction
def count_back_to(promise_id: int, total: Any, by: Any) -> StockPromise:
    """So many are back in all; saying it twice changes nothing. Raises as `count_back`."""
    promise = _locked(promise_id)
    number = _total(total, promise)
    if number == promise.back_quantity:
        return promise
    if number > promise.back_quantity:
        return count_back(promise_id, number - promise.back_quantity, by)
    promise.back_quantity = number
    promise.counted_back_at = now() if promise.still_out < promise.out_quantity else None
    return _saved(promise)


def _total(total: Any, promise: StockPromise) -> Decimal:
    return Decimal(0) if is_nothing(total) else quantity(total, promise.item)


@in_one_transaction
def _account(
    promise_id: int, counted: Any, column: str, by: Any, kind: str = "", note: str = ""
) -> StockPromise:
    promise = _locked(promise_id)
    item = promise.item
    number = quantity(counted, item)
    if kind == Kind.USE and not item.consumable:
        raise Conflict(
            f"{item} is returned, not used up. Count it back, or report it as lost.", code="not-consumable"
        )
    if number > promise.still_out:
        raise Conflict(
            f"{said(promise.out_quantity - promise.still_out + number)} of {item} are accounted for, but "
            f"{said(promise.out_quantity)} left: one of the two counts is wrong. Stop, and count again.",
            ways_out=(
                f"Count what is here now; {said(promise.still_out)} are still out.",
                "If more left than was written down, count the rest out first.",
            ),
            code="recount",
        )
    setattr(promise, column, getattr(promise, column) + number)
    promise.counted_back_at = now()
    if kind:
        StockMovement.objects.create(
            item=item,
            kind=kind,
            quantity=-number,
            effective_at=promise.counted_back_at,
            note=f"{note} (at {promise.booking.title})"[:300],
            booking=promise.booking,
            by=by,
        )
    return _saved(promise)


def _locked(promise_id: int) -> StockPromise:
    """The promise with its booking and its item locked, in that order."""
    find: Callable[[], StockPromise | None] = (
        StockPromise.objects.select_related("item", "booking").filter(pk=promise_id).first
    )
    seen = find()
    if seen is not None:
        booking = locked_by_id(seen.booking_id, None)
        item = locked_item(seen.item_id)
        promise = find()
        if promise is not None:
            promise.booking, promise.item = booking, item
            return promise
    raise Gone("That line is not on the list any more. Load the list again.")


def _saved(promise: StockPromise) -> StockPromise:
    is_done = promise.counted_back_at is not None and promise.still_out == Decimal(0)
    if promise.item.consumable and promise.out_quantity:
        promise.active = not is_done
    promise.save()
    announce("stock", [promise.item_id])
    return promise
