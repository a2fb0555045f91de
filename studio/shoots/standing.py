"""How does a shoot stand in line for what others have, and who has asked whom to decide? Nothing here writes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from gear.booking.challenges import open_challenges
from gear.booking.line import InLine, in_line, ordinal, worst_ranks
from gear.booking.models import Allocation, Booking, Challenge
from gear.booking.rules import now
from gear.booking.working_time import time_left
from studio.shoots.models import Shoot

__all__ = ["Ask", "Standing", "rank_words", "standing_of", "with_ranks"]


@dataclass(frozen=True)
class Ask:
    """An open question to decide: ``other`` is who asks, or who is asked."""

    other: Booking
    tags: tuple[str, ...]
    deadline: datetime
    left: str


@dataclass(frozen=True)
class Standing:
    """Where a shoot stands in line, by the id of its promise; what it was asked, and what it asks."""

    places: dict[int, InLine]
    asked: tuple[Ask, ...]
    asking: tuple[Ask, ...]
    to_ask: tuple[tuple[Booking, tuple[str, ...]], ...]
    """Holds that stand before it and were not asked yet, with the tags of what both want."""

    @property
    def waits(self) -> list[InLine]:
        """Its places, the worst first."""
        return sorted(self.places.values(), key=lambda place: (-place.rank, place.promise.unit.tag))

    @property
    def worst(self) -> int:
        """The worst rank; 1 when it waits for nothing."""
        return max((place.rank for place in self.places.values()), default=1)

    @property
    def words(self) -> str:
        """``2nd hold``, or empty when it waits for nothing."""
        return rank_words(self.worst) if self.places else ""


def standing_of(shoot: Shoot, promises: Sequence[Allocation]) -> Standing:
    """How a shoot stands, from its promises with their units; two queries."""
    at = now()
    for promise in promises:
        promise.booking = shoot.booking
    places = in_line(promises, at)
    challenges = list(open_challenges([shoot.booking_id]))
    met = [one for one in challenges if one.first_id == shoot.booking_id]
    made = [one for one in challenges if one.later_id == shoot.booking_id]
    asked_already = {(one.first_id, one.unit_id) for one in made}
    return Standing(
        places,
        _asks(met, "later", at),
        _asks(made, "first", at),
        tuple(_to_ask(places.values(), asked_already)),
    )


def with_ranks(shoots: Iterable[Shoot]) -> list[Shoot]:
    """These shoots with ``worst_rank``: 1 for one that waits for nothing; two queries however many there are."""
    found = list(shoots)
    ranks = worst_ranks([shoot.booking_id for shoot in found])
    for shoot in found:
        shoot.worst_rank = ranks.get(shoot.booking_id, 1)  # type: ignore[attr-defined]
        shoot.rank_words = rank_words(shoot.worst_rank)  # type: ignore[attr-defined]
    return found


def rank_words(rank: int) -> str:
    """``2nd hold``; empty for the first, which a hold is without saying so."""
    return f"{ordinal(rank)} hold" if rank > 1 else ""


def _asks(challenges: Iterable[Challenge], other: str, at: datetime) -> tuple[Ask, ...]:
    found: dict[tuple[int, datetime], list[Challenge]] = defaultdict(list)
    for one in challenges:
        found[getattr(one, f"{other}_id"), one.deadline].append(one)
    return tuple(
        Ask(
            getattr(alike[0], other),
            tuple(sorted(one.unit.tag for one in alike)),
            deadline,
            time_left(deadline, at),
        )
        for (_, deadline), alike in sorted(found.items(), key=lambda entry: entry[0][1])
    )


def _to_ask(
    places: Iterable[InLine], asked_already: set[tuple[int, int]]
) -> Iterable[tuple[Booking, tuple[str, ...]]]:
    wanted: dict[int, tuple[Booking, list[str]]] = {}
    for place in places:
        for before in place.ahead:
            holds = before.active and before.booking.state == Booking.State.HOLD and before.lapses_at is None
            if holds and (before.booking_id, before.unit_id) not in asked_already:
                wanted.setdefault(before.booking_id, (before.booking, []))[1].append(place.promise.unit.tag)
    return [(booking, tuple(sorted(tags))) for booking, tags in wanted.values()]
