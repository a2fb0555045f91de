"""Any units of a type: could so many be had if others changed units, and how many would have to? Every way is tried."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product

from tests.gear.machine.things import Booking, Hours, Promise, overlap
from tests.gear.machine.twin import Twin

__all__ = ["fewest_changes", "may_change"]


def may_change(twin: Twin, booking: Booking, unit: int, promise: Promise) -> bool:
    """Whether somebody's unit may become another one: it has not left yet, nothing was granted for this very one, it
    goes straight on from nobody and to nobody, and nobody said that no other will do."""
    return (
        not promise.fixed
        and promise.use[0] > twin.now
        and promise.is_as_usual
        and promise.stays_for is None
        and not twin.goes_on(booking, unit)
    )


def fewest_changes(
    twin: Twin,
    booking: Booking,
    model: str,
    count: int,
    packed: set[tuple[int, int]],
    *,
    by_right: bool = True,
) -> int | None:
    """How many others must change for ``count`` more units of a model; None: no way leads there. Not ``by_right``: if
    whoever has not left yet could."""
    return min(_ways(twin, booking, model, count, packed, by_right), default=None)


def _ways(
    twin: Twin, booking: Booking, model: str, count: int, packed: set[tuple[int, int]], by_right: bool
) -> Iterator[int]:
    rows = [pk for pk, unit in twin.units.items() if unit.model == model and unit.condition == "ready"]
    sitting = [(other, unit, promise) for other, unit, promise in twin.live() if unit in rows]
    moving = [
        (other, unit, promise)
        for other, unit, promise in sitting
        if other is not booking
        and (other.number, unit) not in packed
        and (may_change(twin, other, unit, promise) if by_right else promise.use[0] > twin.now)
    ]
    movable = {(other.number, unit) for other, unit, _ in moving}
    staying = [
        (unit, promise.blocked) for other, unit, promise in sitting if (other.number, unit) not in movable
    ]
    wishes = [
        [(row, twin.units[row].blocked(booking.away)) for row in some] for some in combinations(rows, count)
    ]
    for wish in wishes:
        if not all(twin.units[row].is_here(blocked) for row, blocked in wish):
            continue
        for places in product(rows, repeat=len(moving)):
            seated = [
                (row, promise.blocked if row == unit else twin.units[row].blocked(other.away))
                for (other, unit, promise), row in zip(moving, places, strict=True)
            ]
            changed = [
                (row, blocked)
                for (_, unit, _), (row, blocked) in zip(moving, seated, strict=True)
                if row != unit
            ]
            if all(twin.units[row].is_here(blocked) for row, blocked in changed) and _all_fit(
                [*staying, *seated, *wish]
            ):
                yield len(changed)


def _all_fit(seats: list[tuple[int, Hours]]) -> bool:
    return not any(one[0] == other[0] and overlap(one[1], other[1]) for one, other in combinations(seats, 2))
