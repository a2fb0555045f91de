"""Who could sit where? Promises of units of one type as times on rows, and the search for a row that becomes free for a
time when others change rows. Pure: no database, no clock.

With some rows given beforehand the colouring of intervals is hard in general (Biró, Hujter and Tuza, 1992), so the
search is bounded: it may miss a way, it never finds a wrong one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

__all__ = ["CHANGES", "LOOKS", "Row", "Seat", "Seated", "make_room"]

LOOKS = 3000
"""How many rows are looked at for one wish at most."""

CHANGES = 4
"""How many may change rows for one wish at most."""


@dataclass(frozen=True)
class Seat:
    """Half-open time of a use, way included, before prep and turnaround; whether it ``stays`` where it is. Who sits
    already ``blocks`` on that row (its key, from, to) what was agreed, which need not be what the row usually needs."""

    key: int
    starts: datetime
    ends: datetime
    stays: bool = False
    blocks: tuple[int, datetime, datetime] | None = None


@dataclass(frozen=True)
class Row:
    """A unit: minutes around each use, and from when to when it is there (None: always)."""

    key: int
    prep: timedelta = timedelta(0)
    turnaround: timedelta = timedelta(0)
    there: tuple[datetime, datetime] | None = None

    def takes(self, seat: Seat) -> bool:
        """Whether the unit is there for the whole of it."""
        first, last = self.blocked(seat)
        return self.there is None or (self.there[0] <= first and last <= self.there[1])

    def blocked(self, seat: Seat) -> tuple[datetime, datetime]:
        """The time that a seat blocks on this row."""
        if seat.blocks is not None and seat.blocks[0] == self.key:
            return seat.blocks[1:]
        return seat.starts - self.prep, seat.ends + self.turnaround

    def meet(self, one: Seat, other: Seat) -> bool:
        """Whether the two cannot both sit here; touching is not meeting."""
        a, b = self.blocked(one), self.blocked(other)
        return a[0] < b[1] and b[0] < a[1]


@dataclass(frozen=True)
class Seated:
    """The row of the wish, who changes to which row for it, and who sits where afterwards."""

    row: int
    changes: Mapping[int, int]
    taken: Mapping[int, tuple[Seat, ...]]


def make_room(
    rows: Iterable[Row],
    taken: Mapping[int, tuple[Seat, ...]],
    wish: Seat,
    *,
    changes: int = CHANGES,
    looks: int = LOOKS,
    ignoring_stays: bool = False,
) -> Seated | None:
    """Seat ``wish`` on one of the rows, with as few changes of others as suffice; rows in the order given. None when no
    way was found within the bounds."""
    search = _Search(tuple(rows), looks, ignoring_stays)
    for most in range(changes + 1):
        after = search.seat(dict(taken), wish, most, frozenset())
        if after is not None:
            was = {seat.key: row for row, seats in taken.items() for seat in seats}
            now = {seat.key: row for row, seats in after.items() for seat in seats}
            moved = {key: row for key, row in now.items() if key in was and was[key] != row}
            return Seated(now[wish.key], moved, after)
    return None


class _Search:
    def __init__(self, rows: tuple[Row, ...], looks: int, ignoring_stays: bool) -> None:
        self.rows, self.left, self.ignoring_stays = rows, looks, ignoring_stays

    def seat(
        self, taken: dict[int, tuple[Seat, ...]], wish: Seat, most: int, seated: frozenset[int]
    ) -> dict[int, tuple[Seat, ...]] | None:
        """``taken`` with ``wish`` on some row; those it displaces are seated elsewhere, ``most`` of them in all."""
        for row in self.rows:
            self.left -= 1
            if self.left < 0:
                return None
            if not row.takes(wish):
                continue
            here = taken.get(row.key, ())
            displaced = [one for one in here if row.meet(one, wish)]
            if len(displaced) > most or any(self._stays(one, seated) for one in displaced):
                continue
            after = {**taken, row.key: (*(one for one in here if one not in displaced), wish)}
            found = self._seat_all(after, displaced, most - len(displaced), seated | {wish.key})
            if found is not None:
                return found
        return None

    def _seat_all(
        self, taken: dict[int, tuple[Seat, ...]], displaced: list[Seat], most: int, seated: frozenset[int]
    ) -> dict[int, tuple[Seat, ...]] | None:
        if not displaced:
            return taken
        first, *others = displaced
        for spent in range(most + 1):
            after = self.seat(taken, first, spent, seated)
            if after is not None:
                rest = self._seat_all(after, others, most - spent, seated | {first.key})
                if rest is not None:
                    return rest
        return None

    def _stays(self, one: Seat, seated: frozenset[int]) -> bool:
        return one.key in seated or (one.stays and not self.ignoring_stays)
