"""Who stands in line for a unit, in which place, and behind whom? Nothing here writes.

A 2nd hold waits: it keeps nobody away, and it moves up when what stands before it goes. Its place is a matter of each
unit by itself, so that one booking may have the 1st hold on a stand and the 3rd on a head.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Max

from gear.booking.interval import Interval
from gear.booking.models import Allocation, Booking
from gear.booking.queries import live, waits
from gear.booking.rules import blocked_for, now
from gear.booking.wall_time import say
from gear.inventory.models import Unit

__all__ = [
    "InLine",
    "end_of_line",
    "in_line",
    "is_waiting",
    "line_of",
    "ordinal",
    "rank_of_another",
    "worst_ranks",
]


@dataclass(frozen=True)
class InLine:
    """One promise that waits: its rank (1: its turn has come), and what stands before it, what blocks first."""

    promise: Allocation
    rank: int
    ahead: tuple[Allocation, ...]

    @property
    def words(self) -> str:
        """``2nd hold``."""
        return f"{ordinal(self.rank)} hold"

    @property
    def behind(self) -> str:
        """Behind whom, and until when: ``behind “Portraits” (hold until Tue 12 May 2026, 14:00)``."""
        if not self.ahead:
            return "nobody is before it any more"
        zone = self.promise.booking.zone
        said = [f"“{one.booking.title}” ({_until(one, zone)})" for one in self.ahead[:3]]
        more = f" and {len(self.ahead) - 3} more" if len(self.ahead) > 3 else ""
        return f"behind {' and '.join(said)}{more}"


def in_line(promises: Iterable[Allocation], at: datetime | None = None) -> dict[int, InLine]:
    """By the id of the promise, the place of each of these that waits; one query however many there are.

    The promises come with their booking. Whoever wants a time that overlaps and came earlier stands before; the rank is
    one more than the most of them that want the same moment.
    """
    at = at or now()
    mine = [one for one in promises if is_waiting(one, at)]
    if not mine:
        return {}
    around = Interval(min(p.blocked.lower for p in mine), max(p.blocked.upper for p in mine))
    others: dict[int, list[Allocation]] = defaultdict(list)
    for other in (
        Allocation.objects.filter(live(at) | waits(at), unit__in={p.unit_id for p in mine})
        .filter(blocked__overlap=around.as_range)
        .select_related("booking", "booking__asked_by")
        .order_by("waits_since", "blocked", "id")
    ):
        others[other.unit_id].append(other)
    return {one.pk: _place(one, others[one.unit_id]) for one in mine}


def is_waiting(promise: Allocation, at: datetime) -> bool:
    """Whether it stands in line now: its hold must not have ended."""
    booking = promise.booking
    return (
        promise.waits_since is not None
        and booking.state == Booking.State.HOLD
        and booking.hold_until is not None
        and booking.hold_until > at
    )


def line_of(unit: Unit, at: datetime | None = None) -> list[InLine]:
    """Everybody who waits for a unit, in order of time, then of rank."""
    at = at or now()
    waiting = Allocation.objects.filter(waits(at), unit=unit, blocked__endswith__gt=at)
    found = in_line(waiting.select_related("booking", "booking__asked_by"), at).values()
    return sorted(found, key=lambda place: (place.promise.use.lower, place.rank, place.promise.pk))


def end_of_line(unit_ids: Collection[int], at: datetime) -> datetime:
    """The time of joining that comes after everybody who waits for one of these units, whatever the clocks of two
    machines say."""
    last = Allocation.objects.filter(unit__in=list(unit_ids), waits_since__gte=at).aggregate(
        last=Max("waits_since")
    )["last"]
    return last + timedelta(microseconds=1) if last else at


def worst_ranks(booking_ids: Collection[int], at: datetime | None = None) -> dict[int, int]:
    """The worst rank of each of these bookings that waits for something."""
    at = at or now()
    waiting = Allocation.objects.filter(waits(at), booking__in=list(booking_ids)).select_related("booking")
    worst: dict[int, int] = {}
    for place in in_line(waiting, at).values():
        booking_id = place.promise.booking_id
        worst[booking_id] = max(worst.get(booking_id, 1), place.rank)
    return worst


def rank_of_another(unit: Unit, use: Interval, at: datetime) -> int:
    """The rank that one more hold on a taken unit would get."""
    blocked = blocked_for(unit, use)
    found = Allocation.objects.filter(live(at) | waits(at), unit=unit, blocked__overlap=blocked.as_range)
    return 1 + _most_at_once(blocked, list(found))


def ordinal(number: int) -> str:
    """``1st``, ``2nd``, ``3rd``, ``11th``."""
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th") if number % 100 not in (11, 12, 13) else "th"
    return f"{number}{ending}"


def _place(promise: Allocation, others: Sequence[Allocation]) -> InLine:
    mine = Interval(promise.blocked.lower, promise.blocked.upper)
    ahead = [other for other in others if _is_before(other, promise) and _overlaps(other, mine)]
    ahead.sort(key=lambda other: (not other.active, other.waits_since or other.blocked.lower, other.pk))
    return InLine(promise, 1 + _most_at_once(mine, ahead), tuple(ahead))


def _is_before(other: Allocation, promise: Allocation) -> bool:
    if other.booking_id == promise.booking_id:
        return False
    if other.active:
        return True
    return _turn(other) < _turn(promise)


def _turn(promise: Allocation) -> tuple[datetime, int]:
    return promise.waits_since or promise.created_at, promise.pk


def _most_at_once(within: Interval, found: Sequence[Allocation]) -> int:
    starts = [max(within.starts_at, one.blocked.lower) for one in found]
    return max((sum(o.blocked.lower <= t < o.blocked.upper for o in found) for t in starts), default=0)


def _overlaps(other: Allocation, mine: Interval) -> bool:
    return other.blocked.lower < mine.ends_at and mine.starts_at < other.blocked.upper


def _until(one: Allocation, zone: str) -> str:
    booking = one.booking
    if booking.state == Booking.State.HOLD and booking.hold_until:
        ends = min(booking.hold_until, one.lapses_at or booking.hold_until)
        return f"{'hold' if one.active else 'waits too, hold'} until {say(ends, zone)}"
    return f"{booking.get_state_display().lower()} until {say(one.blocked.upper, zone)}"
