"""What must people be told when a promise changes by somebody else's act, or by the clock?

Told inside the transaction that changes it: whoever writes notices down (the outbox) commits them with the change, so
that each is sent once, however often the work that led to it is repeated. Gear knows neither mail nor shoots.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

__all__ = ["ChallengeEnded", "Challenged", "Exchanged", "Notice", "Promoted", "tell", "tell_with"]


@dataclass(frozen=True)
class Promoted:
    """These units came to a booking that had waited for them."""

    booking_id: int
    tags: tuple[str, ...]


@dataclass(frozen=True)
class Challenged:
    """``later_id`` asks ``first_id`` to confirm, or to let go of these units, by a deadline."""

    first_id: int
    later_id: int
    tags: tuple[str, ...]
    deadline: datetime


@dataclass(frozen=True)
class ChallengeEnded:
    """How it ended: an outcome of `gear.booking.models.Challenge`."""

    first_id: int
    later_id: int
    tags: tuple[str, ...]
    outcome: str


@dataclass(frozen=True)
class Exchanged:
    """Another unit of the same type goes with a booking, so that ``other_id`` could have the one it had."""

    booking_id: int
    other_id: int
    old_tag: str
    new_tag: str


Notice = Promoted | Challenged | ChallengeEnded | Exchanged

_writers: list[Callable[[Notice], None]] = []


def tell_with(writer: Callable[[Notice], None]) -> None:
    """Call ``writer`` with every notice, inside the transaction. Registering twice has no effect."""
    if writer not in _writers:
        _writers.append(writer)


def tell(notice: Notice) -> None:
    """Say, inside the transaction that changes it, what somebody must hear of."""
    for writer in _writers:
        writer(notice)
