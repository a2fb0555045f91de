"""What may be asked of a counted thing, and what a promise takes over time."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import ROUND_FLOOR, Decimal, InvalidOperation
from typing import Any

from gear.booking.interval import Interval, blocked_interval
from gear.errors import FieldProblem, Invalid
from gear.stock.models import StockItem, StockPromise
from gear.stock.steps import Piece

__all__ = ["blocked_for", "is_nothing", "limit", "pieces_of", "quantity", "said"]

_MOST = Decimal(1_000_000)
_FINEST = Decimal("0.001")


def quantity(asked: Any, item: StockItem, where: str = "quantity") -> Decimal:
    """How many are asked for, as an exact number. Raises `Invalid` for none, for less, and for a part of a whole
    thing."""
    try:
        read = Decimal(str(asked).strip().replace(",", "."))
    except InvalidOperation:
        raise _refused(f"{str(asked)[:20]!r} is not a number.", item, where) from None
    if not read.is_finite():
        raise _refused(f"{read} is not a number of anything.", item, where)
    if read <= 0:
        raise _refused(f"{said(read)} of {item} cannot be promised or counted.", item, where)
    if read > _MOST:
        raise _refused(f"{said(read)} is more than a studio can hold.", item, where)
    if item.whole and read != read.to_integral_value():
        raise _refused(f"{item} is counted in whole {item.counted_in}; {said(read)} is not.", item, where)
    if read != read.quantize(_FINEST):
        raise _refused(f"{said(read)} is finer than a thousandth.", item, where)
    return read


def is_nothing(asked: Any) -> bool:
    """Whether none is asked for, however that is written: ``0``, ``0,0``, ``0.000`` of the database."""
    try:
        return Decimal(str(asked).strip().replace(",", ".")).is_zero()
    except InvalidOperation:
        return False


def said(number: Decimal) -> str:
    """A quantity for people: ``4``, ``1.5``, ``−2``."""
    return f"{number.normalize():f}".replace("-", "−")


def limit(capacity: Decimal, item: StockItem) -> Decimal:
    """The most that may be promised of what is there: more than there is only where overbooking is allowed."""
    most = capacity + max(capacity, Decimal(0)) * item.overbooking_percent / 100
    return most.to_integral_value(ROUND_FLOOR) if item.whole else most


def blocked_for(item: StockItem, use: Interval) -> Interval:
    """What a use blocks of this item."""
    return blocked_interval(
        use, timedelta(minutes=item.prep_minutes), timedelta(minutes=item.turnaround_minutes)
    )


def pieces_of(promise: StockPromise, at: datetime) -> Iterator[Piece]:
    """What a live promise takes over time, as seen at an instant.

    Things come back at the end of the blocked time, used-up ones do not. What was counted back is free after its
    turnaround; what is still out when its time is over stays blocked until it is accounted for.
    """
    start, end = promise.blocked.lower, promise.blocked.upper
    whose, still_out = promise.pk, promise.still_out
    is_over = at >= promise.use.upper
    most = max(promise.quantity, promise.out_quantity)
    if promise.counted_back_at is not None:
        again = promise.counted_back_at
        if not promise.item.consumable:
            again += timedelta(minutes=promise.item.turnaround_minutes)
        cut = max(start, min(end, again))
        if cut > start:
            yield Piece(start, cut, most, whose)
        if still_out:
            stays = is_over or promise.item.consumable
            if stays or cut < end:
                yield Piece(cut, None if stays else end, still_out, whose)
    elif promise.item.consumable:
        never_left = is_over and not promise.out_quantity
        yield Piece(start, end if never_left else None, most, whose)
    else:
        yield Piece(start, end, most, whose)
        if is_over and still_out:
            yield Piece(end, None, still_out, whose)


def _refused(sentence: str, item: StockItem, where: str) -> Invalid:
    expected = "a whole number above 0" if item.whole else "a number above 0, to a thousandth"
    return Invalid(f"{sentence} Give {expected}.", (FieldProblem(where, expected),))
