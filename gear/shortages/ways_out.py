"""What can be done about a shortage, and what does each way cost?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from gear.booking.interval import Interval
from gear.booking.models import Allocation
from gear.booking.queries import clashes, free_units
from gear.booking.rules import now, use_of
from gear.booking.wall_time import say_period
from gear.inventory.models import Condition, Unit
from gear.shortages.models import LateReturn, Shortage
from gear.stock.models import StockPromise
from gear.stock.queries import availability
from gear.stock.rules import said
from gear.subhire.queries import sub_hires_of_type

__all__ = ["WayOut", "ways_out"]

_SWAPS = 6
_DAYS_AHEAD = 14


@dataclass(frozen=True)
class WayOut:
    """One way: ``act`` with ``value`` does it, ``cost`` is what it takes. To borrow and to buy is done elsewhere."""

    act: str
    words: str
    cost: str
    value: str = ""


def ways_out(shortage: Shortage) -> tuple[WayOut, ...]:
    """The ways out of an open shortage, the least costly first."""
    if shortage.closed_at:
        return ()
    if shortage.unit is not None:
        unit = shortage.unit
        return (
            *_swaps(shortage, unit),
            *_move_of_unit(shortage, unit),
            _borrow(unit),
            _without(shortage, unit),
        )
    return (*_fewer(shortage), *_move_of_item(shortage), _buy(shortage))


def _swaps(shortage: Shortage, unit: Unit) -> list[WayOut]:
    booking = shortage.booking
    here = Allocation.objects.filter(booking=booking).values("unit")
    free = free_units(use_of(booking), kinds=[unit.gear_type.kind]).exclude(pk__in=here)
    same = list(free.filter(gear_type=unit.gear_type_id)[:_SWAPS])
    others = list(free.exclude(gear_type=unit.gear_type_id)[: _SWAPS - len(same)])
    return [
        WayOut(
            "swap", f"Take {other.tag} ({other.gear_type})", "same model, free for the whole time", other.tag
        )
        for other in same
    ] + [
        WayOut(
            "swap",
            f"Take {other.tag} ({other.gear_type})",
            "another model: the look is checked anew",
            other.tag,
        )
        for other in others
    ]


def _move_of_unit(shortage: Shortage, unit: Unit) -> list[WayOut]:
    """The earliest time from which the unit itself is here and free for as long."""
    late = LateReturn.objects.filter(unit=unit, settled_at=None).first()
    booking = shortage.booking
    if unit.condition != Condition.READY or late is None or use_of(booking).open_ended:
        return []
    use = use_of(booking)
    earliest = max(late.back_at, now()) + timedelta(minutes=unit.turnaround + unit.prep) + use.travel
    start = _next_quarter(max(earliest, use.starts_at))
    until = start + timedelta(days=_DAYS_AHEAD)
    while start < until:
        then = Interval(start, start + (use.ends_at - use.starts_at), use.travel)
        taken = clashes(unit, then, ignoring=[booking.pk])
        if not taken:
            return [_move(shortage, then)]
        start = _next_quarter(taken[-1].blocked.upper + use.travel + timedelta(minutes=unit.prep))
    return []


def _move_of_item(shortage: Shortage) -> list[WayOut]:
    item, booking = shortage.item, shortage.booking
    if item is None or item.consumable or use_of(booking).open_ended:
        return []
    use = use_of(booking)
    lasts = use.ends_at - use.starts_at
    lines = StockPromise.objects.filter(booking=booking, item=item, active=True)
    wanted = sum((line.quantity for line in lines), Decimal(0))
    ahead = Interval(use.starts_at, use.starts_at + timedelta(days=_DAYS_AHEAD))
    for level in availability(item, ahead, ignoring=[booking.pk]).levels:
        if level.start <= use.starts_at or level.free < wanted:
            continue
        start = _next_quarter(level.start + use.travel + timedelta(minutes=item.prep_minutes))
        then = Interval(start, start + lasts, use.travel)
        if availability(item, then, ignoring=[booking.pk]).there >= wanted:
            return [_move(shortage, then)]
    return []


def _move(shortage: Shortage, then: Interval) -> WayOut:
    booking = shortage.booking
    more = (
        booking.allocations.filter(active=True).count()
        + booking.stock_promises.filter(active=True).count()
        - 1
    )
    cost = (
        f"{more} other thing{'s' if more != 1 else ''} of it must be free then too"
        if more > 0
        else "people too"
    )
    return WayOut(
        "move",
        f"Move “{booking.title}” to {say_period(then.starts_at, then.ends_at, booking.zone)}",
        f"everybody comes at another time; {cost}" if more > 0 else "everybody comes at another time",
        then.starts_at.isoformat(),
    )


def _fewer(shortage: Shortage) -> list[WayOut]:
    booking, item = shortage.booking, shortage.item
    loose = StockPromise.objects.filter(booking=booking, item=item, source="", active=True).first()
    if loose is None or loose.quantity < shortage.quantity:
        return []
    rest = loose.quantity - shortage.quantity
    words = f"Go with {said(rest)} instead of {said(loose.quantity)}" if rest else f"Go without {item}"
    return [WayOut("fewer", words, f"{said(shortage.quantity)} {item} fewer on set")]


def _without(shortage: Shortage, unit: Unit) -> WayOut:
    return WayOut("without", f"Go without {unit.tag}", "its jobs are empty until something else does them")


def _borrow(unit: Unit) -> WayOut:
    last = sub_hires_of_type(unit.gear_type_id).first()
    if last is None:
        cost = "price not known: nothing of this model was borrowed before"
    else:
        price = f"last time {last.price}" if last.price is not None else "last price not written down"
        cost = f"{price}, from {last.owner}" + (f" ({last.contact})" if last.contact else "")
    return WayOut("borrow", f"Borrow a {unit.gear_type} from outside", cost, unit.gear_type.slug)


def _buy(shortage: Shortage) -> WayOut:
    return WayOut(
        "buy",
        f"Get {said(shortage.quantity)} more {shortage.item}",
        "enter them with the day from which they are there",
        str(shortage.item_id),
    )


def _next_quarter(at: datetime) -> datetime:
    whole = at.replace(second=0, microsecond=0)
    over = timedelta(minutes=whole.minute % 15)
    return at if whole == at and not over else whole - over + timedelta(minutes=15)
