"""How many are free over time? Capacity and demand are step functions; the answer is the least difference.

Pure: no clock, no database. Half-open time; ``None`` as an end means without end.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

__all__ = ["Level", "Piece", "Step", "least", "levels", "over"]


@dataclass(frozen=True)
class Step:
    """From ``at`` on there is this much more (or less, when negative)."""

    at: datetime
    change: Decimal


@dataclass(frozen=True)
class Piece:
    """Somebody has ``quantity`` from ``start`` to ``end``; ``whose`` tells pieces of one promise together."""

    start: datetime
    end: datetime | None
    quantity: Decimal
    whose: int = 0

    def takes_at(self, at: datetime) -> bool:
        """Whether the piece takes anything at that instant."""
        return self.start <= at and (self.end is None or at < self.end)


@dataclass(frozen=True)
class Level:
    """Between two instants capacity and demand stay as they are."""

    start: datetime
    end: datetime | None
    capacity: Decimal
    demand: Decimal

    @property
    def free(self) -> Decimal:
        """What is left; negative where more is promised than there is."""
        return self.capacity - self.demand


def levels(
    steps: Iterable[Step], pieces: Sequence[Piece], start: datetime, end: datetime | None
) -> tuple[Level, ...]:
    """The levels from ``start`` to ``end``, one for each stretch in which nothing changes."""
    changes = sorted(steps, key=lambda step: step.at)
    taken = [piece for piece in pieces if piece.quantity]
    cuts = {start} | {step.at for step in changes}
    for piece in taken:
        cuts |= {piece.start} | ({piece.end} if piece.end else set())
    inside = sorted(cut for cut in cuts if cut >= start and (end is None or cut < end))
    found = []
    for index, cut in enumerate(inside):
        after = inside[index + 1] if index + 1 < len(inside) else end
        capacity = sum((step.change for step in changes if step.at <= cut), Decimal(0))
        demand = sum((piece.quantity for piece in taken if piece.takes_at(cut)), Decimal(0))
        found.append(Level(cut, after, capacity, demand))
    return tuple(found)


def least(found: Iterable[Level]) -> Decimal:
    """The least that is free in any of the levels: the most that can be promised for the whole of them."""
    return min(level.free for level in found)


def over(
    steps: Iterable[Step], pieces: Sequence[Piece], start: datetime, order: Sequence[int]
) -> dict[int, Decimal]:
    """Whose promise is short of how much from ``start`` on, so that the rest fits.

    ``order`` names the owners of pieces from the lowest claim to the highest: the lowest goes short first.
    """
    short: dict[int, Decimal] = {}
    for level in levels(steps, pieces, start, None):
        alive = {piece.whose: piece.quantity for piece in pieces if piece.takes_at(level.start)}
        excess = -level.free - sum((short.get(whose, Decimal(0)) for whose in alive), Decimal(0))
        for whose in order:
            if excess <= 0:
                break
            can = alive.get(whose, Decimal(0)) - short.get(whose, Decimal(0))
            if can > 0:
                short[whose] = short.get(whose, Decimal(0)) + min(can, excess)
                excess -= min(can, excess)
    return short
