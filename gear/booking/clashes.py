"""Who has it, until when, and what else would do: the sentence for the loser of a race."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Exists, OuterRef, Q

from gear.booking.interval import Interval
from gear.booking.line import ordinal, rank_of_another
from gear.booking.models import Allocation
from gear.booking.queries import clashes_of, clashes_within, free_units
from gear.booking.rules import blocked_for, now
from gear.booking.wall_time import OPEN_END, say, say_period
from gear.booking.windows import refuse_outside
from gear.errors import Conflict
from gear.inventory.models import Unit

__all__ = ["InTheWay", "UnitTaken", "in_the_way", "refuse_taken"]

_OFFERED = 5


@dataclass(frozen=True)
class InTheWay:
    """One unit that was asked for, and the promises that stand against it."""

    unit: Unit
    promises: tuple[Allocation, ...]


class UnitTaken(Conflict):
    """Somebody else has it. ``units`` are those asked for and taken; ``free`` what could be taken instead;
    ``may_wait`` whether the same can be asked for in line, behind who has it."""

    code = "unit-taken"

    def __init__(
        self,
        found: tuple[InTheWay, ...],
        free: tuple[Unit, ...],
        use: Interval,
        zone: str,
        may_wait: bool = False,
    ) -> None:
        self.units = tuple(one.unit for one in found)
        self.free = free
        self.may_wait = may_wait
        sentence = " ".join(_said(one, use, zone) for one in found)
        if not free:
            sentence += " Nothing else of its kind is free for the whole time."
        if use.travel:
            sentence += (
                f" The way of {use.travel // timedelta(minutes=1)} min, there and back, is counted in."
            )
        ways = _ways_out(found, free, use, zone)
        super().__init__(sentence, ways_out=(*ways, *(_wait(found, use) if may_wait else ())))


def in_the_way(units: Iterable[Unit], use: Interval, ignoring: Iterable[int]) -> tuple[InTheWay, ...]:
    """Those of ``units`` that are taken then, with what takes them. A unit that wears granted minutes (`as_given`) is
    asked with those."""
    asked = list(units)
    ignored = list(ignoring)
    found: dict[int, list[Allocation]] = defaultdict(list)
    usual = [unit.pk for unit in asked if not hasattr(unit, "has_given")]
    for promise in clashes_of(usual, use, ignoring=ignored):
        found[promise.unit_id].append(promise)
    for unit in asked:
        if hasattr(unit, "has_given"):
            found[unit.pk] += clashes_within([unit.pk], blocked_for(unit, use), ignoring=ignored)
    return tuple(InTheWay(unit, tuple(found[unit.pk])) for unit in asked if found[unit.pk])


def refuse_taken(
    units: Iterable[Unit], use: Interval, zone: str, ignoring: Iterable[int], *, may_wait: bool = False
) -> None:
    """Say kindly and early what the constraints would refuse. Raises `UnitTaken`, `OutsideWindow`."""
    ignored, units = tuple(ignoring), list(units)
    refuse_outside(units, use, zone)
    found = in_the_way(units, use, ignored)
    if found:
        raise UnitTaken(found, instead_of([one.unit for one in found], use, ignored), use, zone, may_wait)


def instead_of(taken: list[Unit], use: Interval, ignoring: Iterable[int]) -> tuple[Unit, ...]:
    """Free units of the same types, then of the same kinds, for the whole blocked interval.

    What the ignored bookings have already is no way out: it has its work there.
    """
    types = {unit.gear_type_id for unit in taken}
    kinds = {unit.gear_type.kind for unit in taken}
    ignored = list(ignoring)
    free = free_units(use, kinds=kinds, ignoring=ignored).exclude(
        Q(pk__in=[unit.pk for unit in taken])
        | Exists(Allocation.objects.filter(unit=OuterRef("pk"), booking__in=ignored))
    )
    same = list(free.filter(gear_type__in=types)[:_OFFERED])
    return tuple(same + list(free.exclude(gear_type__in=types)[: _OFFERED - len(same)]))


def _said(one: InTheWay, use: Interval, zone: str) -> str:
    holders = " and ".join(_holder(promise, zone) for promise in one.promises[:3])
    more = len(one.promises) - 3
    last = max(promise.blocked.upper for promise in one.promises)
    again = last + use.travel + timedelta(minutes=one.unit.prep)
    free = f"it is free from {say(again, zone)}"
    if last >= OPEN_END:
        review = max(p.booking.review_at or now() for p in one.promises if p.use.upper >= OPEN_END)
        free = f"nobody has said when it comes back; that is looked at again {say(review, zone)}"
    return (
        f"{one.unit.tag} ({one.unit.gear_type}) is with {holders}"
        + (f" and {more} more" if more > 0 else "")
        + f"; {free}."
    )


def _holder(promise: Allocation, zone: str) -> str:
    booking = promise.booking
    who = f", {booking.asked_by}" if booking.asked_by else ""
    when = say_period(promise.use.lower, promise.use.upper, zone)
    there = (
        f" (there {say_period(promise.use.lower, promise.use.upper, booking.zone)}, {booking.zone})"
        if booking.zone != zone
        else ""
    )
    firmness = " on hold" if booking.state == booking.State.HOLD else ""
    return f"“{booking.title}”{who}{firmness}, {when}{there}"


def _ways_out(
    found: tuple[InTheWay, ...], free: tuple[Unit, ...], use: Interval, zone: str
) -> tuple[str, ...]:
    ways = [f"Take {unit.tag} ({unit.gear_type}): free for the whole time." for unit in free]
    latest_end = min(one.promises[0].blocked.lower - timedelta(minutes=one.unit.turnaround) for one in found)
    latest_end -= use.travel
    if latest_end > use.starts_at:
        ways.append(f"End by {say(latest_end, zone)}.")
    earliest_start = max(one.promises[-1].blocked.upper + timedelta(minutes=one.unit.prep) for one in found)
    earliest_start += use.travel
    if earliest_start < use.ends_at:
        ways.append(f"Start from {say(earliest_start, zone)}.")
    types = dict.fromkeys(str(one.unit.gear_type) for one in found)
    ways += [f"Borrow a {name} from outside for this time." for name in types]
    return tuple(ways)


def _wait(found: tuple[InTheWay, ...], use: Interval) -> Iterator[str]:
    at = now()
    said = ", ".join(f"{one.unit.tag} on {ordinal(rank_of_another(one.unit, use, at))} hold" for one in found)
    yield (
        f"Hold behind: {said}. That keeps nobody away, and moves up by itself when what stands before it is let go, "
        f"cancelled, moved or has ended."
    )
