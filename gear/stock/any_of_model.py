"""“Any of this model”: things with a tag and counted ones of the same gear type answer together."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from gear.booking.locks import locked, locked_units
from gear.booking.models import Booking
from gear.booking.rules import use_of
from gear.booking.services import promise_units
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import say_period
from gear.catalogue.models import GearType
from gear.errors import Conflict, FieldProblem, Invalid
from gear.inventory.models import Unit
from gear.stock.locks import locked_items
from gear.stock.models import StockItem
from gear.stock.promising import Wanted, promise_stock
from gear.stock.queries import availability, free_of_model
from gear.stock.rules import said

__all__ = ["promise_any_of_model"]


@in_one_transaction
def promise_any_of_model(booking: Booking, gear_type: GearType, count: int, by: Any) -> list[str]:
    """Promise so many of a model, whichever are free: units first, then counted ones. Returns what was taken, in words.

    Raises `Conflict` that says how many there are, `Invalid` for a count that cannot be.
    """
    if isinstance(count, bool) or not isinstance(count, int) or count < 1:
        raise Invalid("Give a whole number above 0.", (FieldProblem("quantity", "a whole number above 0"),))
    booking = locked(booking)
    use = use_of(booking)
    items = locked_items(StockItem.objects.filter(gear_type=gear_type).values_list("pk", flat=True))
    units = locked_units(Unit.objects.filter(gear_type=gear_type).order_by().values_list("pk", flat=True))
    here = set(booking.allocations.values_list("unit__tag", flat=True))
    seen = free_of_model(gear_type, use)
    tags = [tag for tag in seen.units if tag not in here][:count]
    rest = count - len(tags)
    wanted = []
    for item in items:
        more = min(Decimal(rest), availability(item, use).there.to_integral_value("ROUND_FLOOR"))
        if more > 0:
            wanted.append((item, Wanted(item.pk, more)))
            rest -= int(more)
    if rest:
        when = say_period(use.starts_at, use.ends_at, booking.zone)
        raise Conflict(
            f"{said(seen.count)} of {gear_type} are free for {when}: {len(seen.units)} with a tag and "
            f"{said(seen.counted)} counted; {count} were asked for.",
            ways_out=(f"Take {said(seen.count)}.",) if seen.count else (),
            code="model-short",
        )
    chosen = set(tags)
    promise_units(booking, [unit.pk for unit in units if unit.tag in chosen], by)
    if wanted:
        promise_stock(booking, [line for _, line in wanted], by)
    return tags + [f"{said(Decimal(line.quantity))} {item}" for item, line in wanted]
