"""Who else must know when another unit goes in place of one? Areas above register; gear knows no shoots."""

from __future__ import annotations

from typing import Protocol

from gear.booking.models import Booking
from gear.inventory.models import Unit

__all__ = ["Follower", "follow_swaps", "followers"]


class Follower(Protocol):
    """What an area above does in the transaction of a swap."""

    def lock(self, booking: Booking) -> None:
        """Lock its own rows of this booking, before the booking itself."""

    def swapped(self, booking: Booking, old: Unit, new: Unit | None) -> None:
        """``new`` goes instead of ``old``; None: nothing goes. Raises a `Refusal` when that cannot be."""


_followers: list[Follower] = []


def follow_swaps(follower: Follower) -> None:
    """Call this follower from now on. A second one of the same class replaces the first."""
    _followers[:] = [known for known in _followers if type(known) is not type(follower)]
    _followers.append(follower)


def followers() -> tuple[Follower, ...]:
    """All of them."""
    return tuple(_followers)
