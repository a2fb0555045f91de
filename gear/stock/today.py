"""Would there be enough if everything were promised with the prep and turnaround of today? Promises keep what they
were made with; a setting that was lengthened since shows here, and takes nothing from anybody."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from gear.booking.models import Booking
from gear.booking.rules import now, use_of
from gear.stock.models import StockItem, StockPromise
from gear.stock.queries import promises_of, supply
from gear.stock.rules import blocked_for, limit, pieces_of
from gear.stock.steps import Level, levels

__all__ = ["TooFew", "would_be_too_few"]

MOST = 50


@dataclass(frozen=True)
class TooFew:
    """A stretch for which today's minutes would leave too few, by ``short``, and whose promises meet in it."""

    starts_at: datetime
    ends_at: datetime
    short: Decimal
    bookings: tuple[Booking, ...]


def would_be_too_few(item: StockItem, at: datetime | None = None) -> list[TooFew]:
    """Stretches to come, in order of time, that are enough as they were promised and would not be today."""
    at = at or now()
    promises = list(promises_of(item, at))
    today = {promise.pk: _as_of_today(promise) for promise in promises if promise.use.upper > at}
    if all(promise.blocked == today[promise.pk].blocked for promise in promises if promise.pk in today):
        return []
    changes = supply(item)
    made, anew = (
        levels(changes, [piece for one in those for piece in pieces_of(one, at)], at, None)
        for those in (promises, [today.get(promise.pk, promise) for promise in promises])
    )
    found = []
    for level in anew:
        short = level.demand - limit(level.capacity, item)
        if short > 0 and level.end is not None and not _is_over(made, level, item):
            meet = [today[promise.pk] for promise in promises if promise.pk in today]
            bookings = tuple(one.booking for one in meet if _meets(one, level))
            found.append(TooFew(level.start, level.end, short, bookings))
    return found[:MOST]


def _as_of_today(promise: StockPromise) -> StockPromise:
    anew = copy.copy(promise)
    anew.blocked = blocked_for(promise.item, use_of(promise.booking)).as_range
    return anew


def _is_over(made: tuple[Level, ...], level: Level, item: StockItem) -> bool:
    """Whether there are too few then as it was promised: that is a shortage, which has its own page."""
    return any(
        one.start <= level.start
        and (one.end is None or level.start < one.end)
        and one.demand > limit(one.capacity, item)
        for one in made
    )


def _meets(promise: StockPromise, level: Level) -> bool:
    blocked = promise.blocked
    return bool(blocked.lower <= level.start < blocked.upper)
