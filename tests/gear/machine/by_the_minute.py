"""Random schedules around a change of the clocks, and what is free of them when every minute is looked at."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import numpy as np
from dateutil import tz

from gear.booking.interval import Interval, Period, period
from gear.booking.models import Allocation, Booking
from gear.inventory.models import Unit
from gear.stock.models import StockItem, StockMovement, StockPromise
from tests.builders import a_gear_type
from tests.gear.kits.sets import a_kit

__all__ = ["CHANGES", "Schedule", "next_change"]

MINUTES = 6 * 24 * 60
UNITS = 30
CHANGES = [
    (zone, later)
    for zone in ("Europe/Paris", "Australia/Lord_Howe", "America/St_Johns", "Asia/Kolkata")
    for later in (0, 1)
]
"""Both changes of the clocks: by an hour, by half an hour, by an hour off a half; and a zone that has none."""


def next_change(zone: str, later: int) -> datetime:
    """The hour (UTC) of the next change of the clocks, or of the one after it; a month ahead where there is none."""
    place = tz.gettz(zone)
    begin = datetime.now(UTC).replace(minute=0, second=0, microsecond=0) + timedelta(days=30)
    offsets = [(begin + timedelta(hours=n)).astimezone(place).utcoffset() for n in range(400 * 24)]
    found = [begin + timedelta(hours=n + 1) for n, (a, b) in enumerate(itertools.pairwise(offsets)) if a != b]
    return (found or [begin, begin])[later]


@dataclass
class Schedule:
    """Units, counted things and kits with promises; ``taken`` is how many of each are taken in which minute."""

    zone: str
    chance: random.Random
    base: datetime
    units: list = field(default_factory=list)
    items: list = field(default_factory=list)
    kits: list = field(default_factory=list)
    taken: dict = field(default_factory=dict)
    there: dict = field(default_factory=dict)

    @classmethod
    def around(cls, change: datetime, zone: str, seed: int) -> Schedule:
        made = cls(zone, random.Random(seed), change - timedelta(minutes=MINUTES // 2))
        made._units()
        made._items()
        made._kits()
        return made

    def asked(self, longest: int = 30 * 60) -> Period:
        """A period as somebody types it: times on the wall, the second of two now and then."""
        place = tz.gettz(self.zone)
        while True:
            first = self.chance.randrange(600, MINUTES - 600)
            walls = [
                (self.base + timedelta(minutes=minute)).astimezone(place).replace(tzinfo=None, fold=0)
                for minute in (first, first + self.chance.randrange(1, longest))
            ]
            second = [self.chance.random() < 0.3 and tz.datetime_ambiguous(wall, place) for wall in walls]
            instants = [
                tz.enfold(wall, int(fold)).replace(tzinfo=place).astimezone(UTC)
                for wall, fold in zip(walls, second, strict=True)
            ]
            if instants[0] < instants[1]:
                break
        words = [wall.isoformat(timespec="minutes") for wall in walls]
        found = period(*words, self.zone, starts_second=second[0], ends_second=second[1])
        assert found.interval == Interval(*instants), (words, second)
        return found

    def minutes(self, use: Interval, prep: int, turnaround: int) -> slice:
        start, end = ((at - self.base) // timedelta(minutes=1) for at in (use.starts_at, use.ends_at))
        return slice(max(0, start - prep), min(MINUTES, end + turnaround))

    def unit_is_free(self, unit, use: Interval) -> bool:
        during = self.minutes(use, unit.prep, unit.turnaround)
        return unit.condition == "ready" and not self.taken[unit.tag][during].any()

    def free_of(self, item: StockItem, use: Interval, *, over: bool = True) -> int:
        """The least that is free in any minute; where it is used up, in any minute from then on."""
        during = self.minutes(use, item.prep_minutes, item.turnaround_minutes)
        during = slice(during.start, MINUTES) if item.consumable else during
        there = self.there[item.pk][during]
        most = there + (np.maximum(there, 0) * item.overbooking_percent // 100 if over else 0)
        return max(0, int((most - self.taken[item.pk][during]).min()))

    def kit_is_free(self, places: list[list], use: Interval) -> bool:
        return any(self._fits(ways, use) for ways in itertools.product(*places))

    def _fits(self, ways: tuple, use: Interval) -> bool:
        tags = [thing.tag for thing, _ in ways if not isinstance(thing, StockItem)]
        wanted: dict[StockItem, int] = {}
        for thing, count in ways:
            if isinstance(thing, StockItem):
                wanted[thing] = wanted.get(thing, 0) + count
            elif not self.unit_is_free(thing, use):
                return False
        return len(set(tags)) == len(tags) and all(n <= self.free_of(item, use) for item, n in wanted.items())

    def _units(self) -> None:
        drawn = self.chance.randrange
        kinds = [
            a_gear_type(prep_minutes=drawn(0, 90, 7), turnaround_minutes=drawn(0, 300, 11)) for _ in range(3)
        ]
        self.units = Unit.objects.bulk_create(
            Unit(
                tag=f"U-{number:02d}",
                gear_type=self.chance.choice(kinds),
                turnaround_minutes=self.chance.choice([None, 0, 1, 45]),
                condition=self.chance.choice(["ready"] * 9 + ["repair"]),
            )
            for number in range(UNITS)
        )
        promises = []
        for unit in self.units:
            busy = self.taken[unit.tag] = np.zeros(MINUTES, bool)
            for _ in range(10):
                use = self.asked(14 * 60).interval
                during = self.minutes(use, unit.prep, unit.turnaround)
                if not busy[during].any():
                    busy[during] = True
                    promises.append((unit, use))
        bookings = _bookings(use for _, use in promises)
        # That the constraint lets all of them in is one of the answers.
        Allocation.objects.bulk_create(
            Allocation(
                booking=booking,
                unit=unit,
                use=use.as_range,
                blocked=_around(use, unit.prep, unit.turnaround).as_range,
            )
            for booking, (unit, use) in zip(bookings, promises, strict=True)
        )

    def _items(self) -> None:
        drawn = self.chance.randrange
        for number in range(4):
            item = StockItem.objects.create(
                name=f"Thing {number}",
                consumable=number == 3,
                gear_type=self.units[number].gear_type if number < 2 else None,
                overbooking_percent=self.chance.choice([0, 0, 20]),
                turnaround_minutes=drawn(0, 200, 13),
            )
            steps = [(0, 9), *((drawn(MINUTES), self.chance.choice([-2, 3])) for _ in range(3))]
            there = self.there[item.pk] = np.zeros(MINUTES, int)
            for minute, count in steps:
                there[minute:] += count
            StockMovement.objects.bulk_create(
                StockMovement(
                    item=item,
                    kind="purchase" if count > 0 else "loss",
                    quantity=count,
                    effective_at=self.base + timedelta(minutes=minute),
                )
                for minute, count in steps
            )
            self.items.append(item)
            self._promise_counted(item)

    def _promise_counted(self, item: StockItem) -> None:
        taken = self.taken[item.pk] = np.zeros(MINUTES, int)
        promises = []
        for _ in range(6):
            use, count = self.asked().interval, self.chance.randrange(1, 4)
            if count <= self.free_of(item, use):
                during = self.minutes(use, 0, item.turnaround_minutes)
                taken[slice(during.start, MINUTES) if item.consumable else during] += count
                promises.append((use, count))
        bookings = _bookings(use for use, _ in promises)
        StockPromise.objects.bulk_create(
            StockPromise(
                booking=booking,
                item=item,
                quantity=Decimal(count),
                use=use.as_range,
                blocked=_around(use, 0, item.turnaround_minutes).as_range,
            )
            for booking, (use, count) in zip(bookings, promises, strict=True)
        )

    def _kits(self) -> None:
        for _ in range(3):
            places = [list(self._choices()) for _ in range(3)]
            kit = a_kit(
                *([thing for thing, _ in ways] if len(ways) > 1 else _part(*ways[0]) for ways in places)
            )
            self.kits.append((kit, places))

    def _choices(self) -> Iterator[tuple]:
        if self.chance.random() < 0.3:
            yield self.chance.choice(self.items), self.chance.randrange(1, 4)
        else:
            for unit in self.chance.sample(self.units, self.chance.randrange(1, 4)):
                yield unit, 1


def _part(thing, count: int):
    return (count, thing) if isinstance(thing, StockItem) else thing


def _bookings(uses: Iterable[Interval]) -> list[Booking]:
    return Booking.objects.bulk_create(
        Booking(title="Somebody", state="confirmed", starts_at=use.starts_at, ends_at=use.ends_at)
        for use in uses
    )


def _around(use: Interval, prep: int, turnaround: int) -> Interval:
    return Interval(use.starts_at - timedelta(minutes=prep), use.ends_at + timedelta(minutes=turnaround))
