"""Shortages follow the facts in the transaction that states them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any

from gear.booking.models import Allocation, Booking
from gear.changes import Change
from gear.shortages.models import LateReturn, Shortage
from gear.shortages.review import review, review_units

__all__ = ["ShortagesOfBooking", "review_changes"]


def review_changes(changes: Sequence[Change]) -> None:
    """Writer of `gear.changes`: what changed of units and counted things may leave somebody short, or help them."""
    changed = {change.topic: change.ids for change in changes}
    review(changed.get("unit", ()), changed.get("stock", ()))


class ShortagesOfBooking:
    """The companion that asks again when a booking changes."""

    def lock(self, booking_ids: Collection[int]) -> None:
        """Nothing: shortages are written last, and one at a time."""

    def stand(self, booking: Booking, by: Any) -> None:
        """What stands now may be short of something."""
        _review([booking.pk])

    def let_go(self, booking: Booking) -> None:
        """What is let go is short of nothing."""
        _review([booking.pk])

    def moved(self, bookings: Sequence[Booking]) -> None:
        """Another time may help, or not; and what was over when its unit broke may lie ahead again."""
        ids = [booking.pk for booking in bookings]
        _review(ids)
        review_units(
            list(
                Allocation.objects.filter(active=True, booking__in=ids)
                .order_by("unit")
                .values_list("unit_id", flat=True)
                .distinct()
            )
        )

    def closed(self, booking: Booking, at: datetime) -> None:
        """What is over is short of nothing."""
        _review([booking.pk])

    def split(self, first: Booking, later: Booking) -> None:
        """Either part may be short of what the whole was short of."""
        _review([first.pk])

    def merged(self, kept: Booking, gone: Booking, apart: bool) -> None:
        """Who was late with the one is late with the whole."""
        LateReturn.objects.filter(booking=gone, settled_at=None).update(booking=kept)
        _review([kept.pk, gone.pk])


def _review(booking_ids: list[int]) -> None:
    open_ones = Shortage.objects.filter(closed_at=None, booking__in=booking_ids).values_list(
        "unit_id", "item_id"
    )
    about = list(open_ones)
    review([unit_id for unit_id, _ in about if unit_id], [item_id for _, item_id in about if item_id])
