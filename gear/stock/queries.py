"""How many there are, how many are free, and who has them. Nothing here writes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import DecimalField, F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce
from django.db.models.lookups import LessThanOrEqual

from gear.booking.interval import Interval
from gear.booking.models import Booking
from gear.booking.queries import free_tags, standing
from gear.booking.rules import now
from gear.catalogue.models import GearType
from gear.errors import Gone
from gear.stock.models import StockItem, StockMovement, StockPromise
from gear.stock.rules import blocked_for, limit, pieces_of
from gear.stock.steps import Level, Piece, Step, levels

__all__ = [
    "Availability",
    "FreeOfModel",
    "availabilities",
    "availability",
    "free_of_model",
    "item_numbered",
    "on_hand",
    "promises_of",
    "promises_to",
    "standing_promises",
    "stock_items",
    "supplies_of",
    "supply",
]

STILL_OUT = F("out_quantity") - F("back_quantity") - F("used_quantity") - F("reported_quantity")


@dataclass(frozen=True)
class Availability:
    """What is free of an item while a use blocks it: one level for each stretch in which nothing changes."""

    item: StockItem
    use: Interval
    levels: tuple[Level, ...]

    @property
    def ends_at(self) -> datetime:
        """When the item is free again of this use."""
        return blocked_for(self.item, self.use).ends_at

    @property
    def free(self) -> Decimal:
        """The most that can be promised for the whole of the time, overbooking included; never below 0."""
        return max(Decimal(0), min(self.may_take(level) for level in self.levels))

    @property
    def there(self) -> Decimal:
        """The same without overbooking: what is really there."""
        return max(Decimal(0), min(level.free for level in self.levels))

    def may_take(self, level: Level) -> Decimal:
        """What may still be promised in a level."""
        return limit(level.capacity, self.item) - level.demand


@dataclass(frozen=True)
class FreeOfModel:
    """What is free of one gear type: things with a tag, and counted ones."""

    units: tuple[str, ...]
    counted: Decimal

    @property
    def count(self) -> Decimal:
        """Both together."""
        return len(self.units) + self.counted


def stock_items(search: str = "", kind: str = "", at: datetime | None = None) -> QuerySet[StockItem]:
    """Items by name with ``on_hand`` now and ``to_reorder``. ``kind`` is ``returned`` or ``consumable``."""
    there = Coalesce(
        Sum("movements__quantity", filter=Q(movements__effective_at__lte=at or now())),
        Decimal(0),
        output_field=DecimalField(),
    )
    found = StockItem.objects.annotate(on_hand=there).select_related("gear_type").order_by("name", "id")
    found = found.annotate(to_reorder=LessThanOrEqual(F("on_hand"), F("reorder_point")))
    if kind in ("returned", "consumable"):
        found = found.filter(consumable=kind == "consumable")
    for word in search.replace("\x00", "").split():
        found = found.filter(Q(name__unaccent__icontains=word) | Q(shelf__icontains=word))
    return found


def item_numbered(pk: int) -> StockItem:
    """The item with ``on_hand`` and ``to_reorder``. Raises `Gone`."""
    found = stock_items().filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no stock item {pk}. Look for it under Gear, Stock.")
    return found


def supply(item: StockItem) -> list[Step]:
    """Everything that changed how many there are."""
    return supplies_of([item])[item.pk]


def supplies_of(items: Iterable[StockItem]) -> dict[int, list[Step]]:
    """The same of several items, by their ids, in one query."""
    found: dict[int, list[Step]] = {item.pk: [] for item in items}
    facts = StockMovement.objects.filter(item__in=found).order_by() if found else StockMovement.objects.none()
    for pk, at, change in facts.values_list("item_id", "effective_at", "quantity"):
        found[pk].append(Step(at, change))
    return found


def on_hand(item: StockItem, at: datetime | None = None) -> Decimal:
    """How many there are at an instant, wherever they are."""
    moment = at or now()
    return sum((step.change for step in supply(item) if step.at <= moment), Decimal(0))


def availability(item: StockItem, use: Interval, *, ignoring: Iterable[int] = ()) -> Availability:
    """What is free while ``use`` blocks the item. What is used up is gone for everybody later, so for consumables the
    time has no end."""
    return availabilities([item], use, ignoring=ignoring)[item.pk]


def availabilities(
    items: Iterable[StockItem], use: Interval, *, ignoring: Iterable[int] = ()
) -> dict[int, Availability]:
    """The same of several items, by their ids, with as few queries as of one."""
    at, times = now(), {}
    for item in items:
        blocked = blocked_for(item, use)
        times[item] = (blocked.starts_at, None if item.consumable else blocked.ends_at)
    supplies, demands = supplies_of(times), _demands(times, ignoring, at)
    return {
        item.pk: Availability(item, use, levels(supplies[item.pk], demands[item.pk], start, end))
        for item, (start, end) in times.items()
    }


def _demands(
    times: Mapping[StockItem, tuple[datetime, datetime | None]], ignoring: Iterable[int], at: datetime
) -> dict[int, list[Piece]]:
    """By item, what live promises take of it between its two instants."""
    asked = Q()
    for item, (start, end) in times.items():
        took = Q(blocked__endswith__gt=min(start, at) if item.consumable else start)
        before = Q() if end is None else Q(blocked__startswith__lt=end)
        asked |= Q(took | Q(left__gt=0), before, item=item)
    promises = StockPromise.objects.alias(left=STILL_OUT).filter(standing(at), asked)
    by_id = {item.pk: item for item in times}
    found: dict[int, list[Piece]] = {pk: [] for pk in by_id}
    for promise in promises.exclude(booking__in=list(ignoring)) if times else ():
        promise.item = by_id[promise.item_id]
        found[promise.item_id] += pieces_of(promise, at)
    return found


def free_of_model(gear_type: GearType, use: Interval, *, ignoring: Iterable[int] = ()) -> FreeOfModel:
    """What “any of this model” can mean then: free units with a tag and free counted ones."""
    ignored = tuple(ignoring)
    tags = free_tags(use, gear_type.pk, ignoring=ignored)
    counted = availabilities(StockItem.objects.filter(gear_type=gear_type), use, ignoring=ignored).values()
    return FreeOfModel(tuple(tags), sum((one.there for one in counted), Decimal(0)))


def promises_to(booking: Booking | int) -> QuerySet[StockPromise]:
    """What a booking was promised of counted things, by name."""
    pk = booking if isinstance(booking, int) else booking.pk
    return (
        StockPromise.objects.filter(booking=pk).select_related("item").order_by("item__name", "source", "id")
    )


def promises_of(item: StockItem, at: datetime | None = None) -> QuerySet[StockPromise]:
    """Who has some of it, or will have: in order of time."""
    found = standing_promises([item.pk], at or now())
    return found.select_related("booking", "booking__asked_by", "item").order_by("blocked", "id")


def standing_promises(item_ids: Collection[int], at: datetime) -> QuerySet[StockPromise]:
    """What takes some of these items then, or later; with item and booking."""
    return (
        StockPromise.objects.alias(left=STILL_OUT)
        .filter(standing(at), Q(blocked__endswith__gt=at) | Q(left__gt=0), item__in=list(item_ids))
        .select_related("booking", "item")
    )
