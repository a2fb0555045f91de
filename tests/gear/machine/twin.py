"""A plain reckoning of the booking engine, in memory and in whole hours, that shares no line with it.

Nothing clever: every pair is compared, every hour is counted. Where the engine has a choice (which unit fills a place
of a kit) the twin says only whether there is one, and takes over what was chosen after looking that it may be.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from copy import deepcopy
from itertools import product

from tests.gear.machine.things import FOREVER, Booking, Given, Hours, Item, Line, Promise, Unit, overlap

__all__ = ["FOREVER", "Booking", "Given", "Hours", "Item", "Line", "Promise", "Twin", "Unit", "overlap"]


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
        return self.fits(unit, self.units[unit].blocked(use), but)

    def fits(self, unit: int, blocked: Hours, but: Collection[int] = (), was: Hours | None = None) -> bool:
        """Nobody else blocks any of these hours, and it is here for all of them, or they are some of those that it
        ``was`` blocked for: what only frees time is nobody's concern."""
        taken = any(u == unit and overlap(promise.blocked, blocked) for _, u, promise in self.live(but))
        only_frees = was is not None and was[0] <= blocked[0] and blocked[1] <= was[1]
        return not taken and (only_frees or self.units[unit].is_here(blocked))

    def needed(self, booking: Booking, unit: int) -> Hours:
        """What a booking blocks of a unit: granted hours go before those of the unit. What stays on set is neither
        taken back, nor prepared, nor carried between the two, and blocked until the later one begins."""
        thing, promise = self.units[unit], booking.promises.get(unit)
        prep = thing.prep if promise is None or promise.prep is None else promise.prep
        after = thing.turnaround if promise is None or promise.turnaround is None else promise.turnaround
        begin = booking.start if self.goes_on(booking, unit) else booking.away[0] - prep
        if promise is None or promise.stays_for is None:
            end = (
                promise.use[1] if promise and booking.state == "closed" else booking.end
            )  # it may have come back early
            return begin, end + booking.travel + after
        return begin, self.bookings[promise.stays_for].start

    def goes_on(self, booking: Booking, unit: int) -> bool:
        """Whether a unit stays on set for it from the booking before."""
        return any(one.stays_for == booking.number for _, u, one in self.promised() if u == unit)

    def promised(self) -> list[tuple[Booking, int, Promise]]:
        """All promises of all bookings, in order of time."""
        found = [(b, unit, promise) for b in self.bookings.values() for unit, promise in b.promises.items()]
        return sorted(found, key=lambda one: one[2].use)

    def free_units(self, use: Hours, but: Collection[int] = ()) -> list[int]:
        """In service and free, the soonest ready again first."""
        found = [
            pk for pk, unit in self.units.items() if unit.condition == "ready" and self.is_free(pk, use, but)
        ]
        return sorted(found, key=lambda pk: (self.units[pk].turnaround, self.units[pk].tag))

    def can_claim(self, booking: Booking, units: Iterable[int]) -> bool:
        units = list(units)
        fit = all(self.units[unit].condition == "ready" for unit in units)
        return fit and all(self.fits(unit, self.needed(booking, unit), [booking.number]) for unit in units)

    def claim(self, booking: Booking, units: Iterable[int]) -> None:
        for unit in units:
            self.note(booking, unit)
            booking.promises[unit].active = True
            self.retire_lapsed(unit, booking.promises[unit].blocked, booking)

    def note(self, booking: Booking, unit: int) -> None:
        """Put a unit down with the hours that it needs; what was granted stays granted."""
        blocked = self.needed(booking, unit)
        promise = booking.promises.setdefault(unit, Promise(booking.use, blocked, False))
        promise.use, promise.blocked, promise.cut = booking.use, blocked, False

    def retire_lapsed(self, unit: int, blocked: Hours, but: Booking) -> None:
        """A hold that has ended loses what somebody else takes now."""
        for other in self.bookings.values():
            if other is not but and self.lapsed(other) and unit in other.promises:
                theirs = other.promises[unit]
                theirs.active = theirs.active and not overlap(theirs.blocked, blocked)

    def move(self, booking: Booking, use: Hours, way: int) -> bool:
        """Give it another time if it and whoever goes on from it, or into it, can have their units then; else nothing
        becomes of it."""
        before, lapsed = deepcopy(self.bookings), self.lapsed(booking)
        booking.start, booking.end, booking.travel = *use, way
        stays = [(b, u, p) for b, u, p in self.promised() if p.stays_for is not None]
        pairs = [(b, u, p, self.bookings[p.stays_for]) for b, u, p in stays]
        met = [(one, u) for one, u, _, later in pairs if later is booking]
        met += [(later, u) for one, u, _, later in pairs if one is booking]
        for one, _, promise, later in pairs:
            if later.start < one.end:
                promise.stays_for = None
        for unit, promise in booking.promises.items():
            promise.active, promise.use = promise.active and not lapsed, use
            met.append((booking, unit))
        for one, unit in met:
            one.promises[unit].blocked, one.promises[unit].cut = self.needed(one, unit), False
        standing = [(one, unit, one.promises[unit].blocked) for one, unit in met if one.promises[unit].active]
        if all(
            self.fits(unit, blocked, [one.number], was=before[one.number].promises[unit].blocked)
            if one is not booking
            else self.fits(unit, blocked, [one.number])
            for one, unit, blocked in standing
        ):
            for one, unit, blocked in standing:
                self.retire_lapsed(unit, blocked, one)
            return True
        for number, was in before.items():
            vars(self.bookings[number]).update(vars(was))
        return False

    def let_go(self, booking: Booking, unit: int) -> None:
        """It blocks this unit no more. Whoever had it stay for this one has a turnaround again, whoever comes after has
        a prep again: as far as nobody else has the unit."""
        promise = booking.promises[unit]
        promise.active = False
        for before, u, theirs in self.promised():
            if u == unit and theirs.stays_for == booking.number:
                self.end_stay(before, unit)
        if promise.stays_for is not None:
            self.end_stay(booking, unit)

    def drop(self, booking: Booking, unit: int) -> None:
        """It has not got this unit any more."""
        if unit in booking.promises:
            self.let_go(booking, unit)
            del booking.promises[unit]

    def end_stays_of_ended_holds(self) -> None:
        """Nothing stays on set from a hold that has ended, or for one."""
        found = [
            (booking, unit, promise)
            for booking, unit, promise in self.promised()
            if self.lapsed(booking) and (promise.stays_for is not None or self.goes_on(booking, unit))
        ]
        for _, _, promise in found:
            promise.active = False
        for booking, unit, _ in found:
            self.let_go(booking, unit)

    def end_stay(self, first: Booking, unit: int, *, came_back: bool = False) -> None:
        promise = first.promises[unit]
        later = self.bookings[promise.stays_for]
        promise.stays_for = None
        if promise.active and (came_back or promise.blocked[1] > self.now):
            after = self.units[unit].turnaround if promise.turnaround is None else promise.turnaround
            end = promise.use[1] + first.travel + after
            begins = [
                p.blocked[0]
                for _, u, p in self.live([first.number])
                if u == unit and p.blocked[0] >= promise.use[1]
            ]
            promise.blocked = promise.blocked[0], min([end, *begins])
            promise.cut = promise.cut or promise.blocked[1] < end
        self.prepare_again(later, unit)

    def prepare_again(self, later: Booking, unit: int) -> None:
        """Nothing comes straight from set any more: it has its way and prep, as far as nobody else has the unit."""
        promise = later.promises.get(unit)
        if promise is None or not promise.active or later.start <= self.now:
            return
        ends = [
            p.blocked[1] for _, u, p in self.live([later.number]) if u == unit and p.blocked[1] <= later.start
        ]
        begin = self.needed(later, unit)[0]
        promise.blocked = max([begin, *ends]), promise.blocked[1]
        promise.cut = promise.cut or promise.blocked[0] > begin

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
