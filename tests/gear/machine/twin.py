"""A plain reckoning of the booking engine, in memory and in whole hours, that shares no line with it.

Nothing clever: every pair is compared, every hour is counted. Where the engine has a choice (which unit fills a place
of a kit) the twin says only whether there is one, and takes over what was chosen after looking that it may be.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import product

__all__ = ["FOREVER", "Booking", "Item", "Line", "Promise", "Twin", "Unit"]

FOREVER = 10_000
Hours = tuple[int, int]


@dataclass
class Unit:
    """A thing with a tag; ``window`` is when somebody else's is here."""

    tag: str
    model: str
    prep: int
    turnaround: int
    condition: str = "ready"
    window: Hours | None = None

    def blocked(self, use: Hours) -> Hours:
        return use[0] - self.prep, use[1] + self.turnaround

    def is_here(self, blocked: Hours) -> bool:
        return self.window is None or (self.window[0] <= blocked[0] and blocked[1] <= self.window[1])


@dataclass
class Item:
    """A counted thing; ``steps`` are changes of how many there are, from an hour on."""

    name: str
    turnaround: int
    consumable: bool = False
    overbooking: int = 0
    model: str = ""
    steps: list[tuple[int, int]] = field(default_factory=list)

    def there(self, hour: int) -> int:
        return sum(change for since, change in self.steps if since <= hour)

    def most(self, hour: int) -> int:
        return self.there(hour) + max(self.there(hour), 0) * self.overbooking // 100


@dataclass
class Promise:
    use: Hours
    blocked: Hours
    active: bool


@dataclass
class Line:
    quantity: int
    use: Hours
    blocked: Hours
    active: bool


@dataclass
class Given:
    """A kit in a booking: its units with whether the booking had them before, and its lines."""

    name: str
    source: str
    units: dict[int, bool]


@dataclass
class Booking:
    number: int
    state: str
    start: int
    end: int
    hold_until: int | None = None
    travel: int = 0
    promises: dict[int, Promise] = field(default_factory=dict)
    lines: dict[tuple[int, str], Line] = field(default_factory=dict)
    kits: dict[int, Given] = field(default_factory=dict)

    @property
    def use(self) -> Hours:
        return self.start, self.end

    @property
    def away(self) -> Hours:
        """When its gear is not in the store."""
        return self.start - self.travel, self.end + self.travel

    @property
    def is_ended(self) -> bool:
        return self.state in ("cancelled", "closed")

    def of_item(self, item: int) -> int:
        return sum(line.quantity for (pk, _), line in self.lines.items() if pk == item)


def overlap(one: Hours, other: Hours) -> bool:
    return any(hour in range(*other) for hour in range(*one))


class Twin:
    """The studio as it should be. Units, items and bookings by the ids that the database gave them; kits by name, each
    place a list of choices ``("unit", id)`` or ``("item", id, quantity)``."""

    def __init__(self, units: dict[int, Unit], items: dict[int, Item], kits: dict[str, list[list]]) -> None:
        self.now = 0
        self.units, self.items, self.kits = units, items, kits
        self.bookings: dict[int, Booking] = {}

    def lapsed(self, booking: Booking) -> bool:
        return booking.state == "hold" and booking.hold_until is not None and booking.hold_until <= self.now

    def live(self, but: Collection[int] = ()) -> Iterator[tuple[Booking, int, Promise]]:
        """Promises that block."""
        for booking in self.bookings.values():
            if booking.number not in but and not self.lapsed(booking):
                for unit, promise in booking.promises.items():
                    if promise.active:
                        yield booking, unit, promise

    def is_free(self, unit: int, use: Hours, but: Collection[int] = ()) -> bool:
        """Nobody else has it for the time with its prep and turnaround, and it is here."""
        blocked = self.units[unit].blocked(use)
        taken = any(u == unit and overlap(promise.blocked, blocked) for _, u, promise in self.live(but))
        return not taken and self.units[unit].is_here(blocked)

    def free_units(self, use: Hours, but: Collection[int] = ()) -> list[int]:
        """In service and free, the soonest ready again first."""
        found = [
            pk for pk, unit in self.units.items() if unit.condition == "ready" and self.is_free(pk, use, but)
        ]
        return sorted(found, key=lambda pk: (self.units[pk].turnaround, self.units[pk].tag))

    def can_claim(self, booking: Booking, units: Iterable[int], use: Hours | None = None) -> bool:
        units = list(units)
        fit = all(self.units[unit].condition == "ready" for unit in units)
        return fit and all(self.is_free(unit, use or booking.away, [booking.number]) for unit in units)

    def claim(self, booking: Booking, units: Iterable[int]) -> None:
        for unit in units:
            blocked = self.units[unit].blocked(booking.away)
            self.retire_lapsed(unit, blocked, booking)
            booking.promises[unit] = Promise(booking.use, blocked, True)

    def retire_lapsed(self, unit: int, blocked: Hours, but: Booking) -> None:
        """A hold that has ended loses what somebody else takes now."""
        for other in self.bookings.values():
            if other is not but and self.lapsed(other) and unit in other.promises:
                theirs = other.promises[unit]
                theirs.active = theirs.active and not overlap(theirs.blocked, blocked)

    def taken(self, item: int, hour: int, but: Collection[int] = ()) -> int:
        """How many of an item are promised at an hour."""
        thing, found = self.items[item], 0
        for booking in self.bookings.values():
            if booking.number in but or self.lapsed(booking):
                continue
            for (pk, _), line in booking.lines.items():
                if pk == item and line.active:
                    used_up = thing.consumable and self.now < line.use[1]
                    until = FOREVER if used_up else line.blocked[1]
                    found += line.quantity if line.blocked[0] <= hour < until else 0
        return found

    def hours_of(self, item: int, use: Hours) -> Iterable[int]:
        """The hours that count for an item; all that come where it is used up."""
        thing = self.items[item]
        return range(use[0], self.last_change if thing.consumable else use[1] + thing.turnaround)

    @property
    def last_change(self) -> int:
        ends = [line.blocked[1] for b in self.bookings.values() for line in b.lines.values()]
        steps = [hour for item in self.items.values() for hour, _ in item.steps]
        return max([*ends, *steps, 200]) + 1

    def free_of(self, item: int, use: Hours, but: Collection[int] = (), *, really: bool = False) -> int:
        """The most that can be promised for the whole of the time; ``really``: without overbooking."""
        thing = self.items[item]
        least = min(
            (thing.there(hour) if really else thing.most(hour)) - self.taken(item, hour, but)
            for hour in self.hours_of(item, use)
        )
        return max(0, least)

    def fillings(self, kit: str, booking: Booking | None, use: Hours) -> Iterator[tuple]:
        """Every way to fill all places of a kit at once."""
        but = [booking.number] if booking else []
        spoken_for = {unit for given in booking.kits.values() for unit in given.units} if booking else set()
        free = set(self.free_units(use, but)) - spoken_for
        for ways in product(*self.kits[kit]):
            units = [way[1] for way in ways if way[0] == "unit"]
            wanted: dict[int, int] = {}
            for way in ways:
                if way[0] == "item":
                    wanted[way[1]] = wanted.get(way[1], 0) + way[2]
            enough = all(
                count + (booking.of_item(item) if booking else 0) <= self.free_of(item, use, but)
                for item, count in wanted.items()
            )
            if len(set(units)) == len(units) and set(units) <= free and enough:
                yield ways
