"""What the twin is made of: units, counted things, bookings and what they are promised, in whole hours."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["FOREVER", "Booking", "Given", "Hours", "Item", "Line", "Promise", "Unit", "overlap"]

FOREVER = 1000
"""The hour at which everything ends that has no end. The clock of a life never comes near it."""

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
    """A unit in a booking. ``prep`` and ``turnaround`` are granted hours (None: those of the unit), ``stays_for`` the
    booking that it stays on set for; ``fixed``: no other unit will do; ``cut``: it blocks less than it needs, because
    what stayed on set came back when somebody else had the unit soon."""

    use: Hours
    blocked: Hours
    active: bool
    prep: int | None = None
    turnaround: int | None = None
    stays_for: int | None = None
    fixed: bool = False
    cut: bool = False

    @property
    def is_as_usual(self) -> bool:
        return (self.prep, self.turnaround) == (None, None)


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
    asker: int = 0
    hold_until: int | None = None
    travel: int = 0
    review: int | None = None
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
    """Whether there is an hour that is in both."""
    return len(range(max(one[0], other[0]), min(one[1], other[1]))) > 0
