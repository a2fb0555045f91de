"""The small studio that the machine plays in, on a real PostgreSQL, beside its twin."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from gear.booking.interval import Period, period
from gear.booking.wall_time import OPEN_END
from gear.inventory.entry import UnitEntry
from gear.inventory.models import Unit as RealUnit
from gear.kits.models import Kit
from gear.stock.models import StockItem, StockMovement
from gear.subhire.models import SubHire
from gear.subhire.services import Terms, borrow_unit
from tests.builders import a_gear_type, a_person, a_unit
from tests.gear.kits.sets import a_kit
from tests.gear.machine.twin import FOREVER, Item, Twin, Unit

__all__ = ["BEGIN", "World", "at", "between", "hour_of", "the_world"]

BEGIN = datetime.now(UTC).replace(minute=0, second=0, microsecond=0)
"""Hour 0 of the machine's clock."""


def at(hour: int) -> datetime:
    return BEGIN + timedelta(hours=hour) if hour < FOREVER else OPEN_END + timedelta(hours=hour - FOREVER)


def hour_of(instant: datetime) -> int:
    """The whole hour that an instant is; anything finer is not what the machine asked for."""
    begin, first = (BEGIN, 0) if instant < OPEN_END else (OPEN_END, FOREVER)
    hours, rest = divmod(instant - begin, timedelta(hours=1))
    assert not rest, instant
    return first + hours


def between(start: int, end: int) -> Period:
    return period(at(start), at(end), "UTC")


@dataclass
class World:
    """What exists before anybody asks for anything."""

    people: list[Any]
    units: list[RealUnit]
    items: list[StockItem]
    kits: dict[str, Kit]
    models: dict[str, Any]
    sub_hire: SubHire
    places: dict[str, list[list]]

    def twin(self) -> Twin:
        units = {
            unit.pk: Unit(unit.tag, unit.gear_type.slug, unit.prep // 60, unit.turnaround // 60)
            for unit in self.units
        }
        units[self.sub_hire.unit_id].window = (
            hour_of(self.sub_hire.from_at) + 1,
            hour_of(self.sub_hire.back_by) - 2,
        )
        items = {
            item.pk: Item(
                item.name,
                item.turnaround_minutes // 60,
                item.consumable,
                item.overbooking_percent,
                item.gear_type.slug if item.gear_type else "",
                [(-1000, int(item.movements.get().quantity))],
            )
            for item in self.items
        }
        return Twin(units, items, self.places)


def the_world() -> World:
    """Two models of two units each, one of them somebody else's; three counted things; two kits that share parts."""
    people = [a_person(), a_person()]
    slow = a_gear_type(prep_minutes=60, turnaround_minutes=120)
    quick = a_gear_type(prep_minutes=0, turnaround_minutes=0)
    units = [
        a_unit(slow, tag="K-01"),
        a_unit(slow, tag="K-02", turnaround_minutes=300),
        a_unit(quick, tag="L-01", prep_minutes=60),
    ]
    lent = borrow_unit(
        UnitEntry(tag="L-02", gear_type=quick.slug),
        Terms("Halden Works", between(0, 40), travel_in_minutes=60, travel_out_minutes=120),
        people[0],
    )
    units.append(RealUnit.objects.select_related("gear_type").get(pk=lent.unit_id))
    items = [
        _item(10, "Sandbag", turnaround_minutes=60),
        _item(5, "Tape", consumable=True, overbooking_percent=20),
        _item(3, "Bare head", gear_type=slow, turnaround_minutes=60),
    ]
    sandbag, tape, _ = items
    k1, k2, l1, l2 = units
    kits = {
        "A": a_kit(k1, [k2, l1], (4, sandbag), name="Kit A"),
        "B": a_kit((3, sandbag), (2, tape), [l1, k1, l2], name="Kit B"),
    }
    places = {
        "A": [[("unit", k1.pk)], [("unit", k2.pk), ("unit", l1.pk)], [("item", sandbag.pk, 4)]],
        "B": [
            [("item", sandbag.pk, 3)],
            [("item", tape.pk, 2)],
            [("unit", l1.pk), ("unit", k1.pk), ("unit", l2.pk)],
        ],
    }
    models = {slow.slug: slow, quick.slug: quick}
    return World(people, units, items, kits, models, lent, places)


def _item(count: int, name: str, **more: Any) -> StockItem:
    item = StockItem.objects.create(name=name, **more)
    StockMovement.objects.create(item=item, kind="purchase", quantity=count, effective_at=at(-1000))
    return item
