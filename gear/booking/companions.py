"""What else does a booking promise besides units?

Areas above this one keep promises of their own (counted stock) that must stand, move and end with the booking. They
register a companion when they start; the verbs of the booking call it inside their transaction, so that a booking
stands with all it promises or not at all. Rows are locked in the order booking, stock, units.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any, Protocol

from gear.booking.models import Booking

__all__ = ["Companion", "accompany", "companions"]


class Companion(Protocol):
    """What happens to promises of another kind when something happens to their booking."""

    def lock(self, booking_ids: Collection[int]) -> None:
        """Lock whatever these bookings promise, by id, before any unit is locked."""

    def stand(self, booking: Booking, by: Any) -> None:
        """Make promises stand that do not: a fresh check. Raises a `Refusal` when one cannot."""

    def let_go(self, booking: Booking) -> None:
        """The booking is cancelled: nothing of it blocks any more."""

    def moved(self, bookings: Sequence[Booking]) -> None:
        """These bookings have other times: derive anew and check. Raises a `Refusal` when one does not fit."""

    def closed(self, booking: Booking, at: datetime) -> None:
        """The booking is over, its gear is back."""

    def split(self, first: Booking, later: Booking) -> None:
        """The booking was cut where ``later`` begins: what goes on is promised to both parts. Raises a `Refusal` when
        it cannot be parted."""

    def merged(self, kept: Booking, gone: Booking, apart: bool) -> None:
        """``kept`` lasts over both now and takes over what ``gone`` promises, which is let go of afterwards. ``apart``:
        they only met, so that what serves in one can serve in the other. Asked from the upper areas to the lower.
        Raises a `Refusal` when it does not fit."""


_companions: list[Companion] = []


def accompany(companion: Companion) -> None:
    """Call this companion from now on. A second one of the same class replaces the first."""
    _companions[:] = [known for known in _companions if type(known) is not type(companion)]
    _companions.append(companion)


def companions() -> tuple[Companion, ...]:
    """All of them, in the order in which they started."""
    return tuple(_companions)
