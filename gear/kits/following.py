"""Kits of a booking that becomes two, or of two that become one; and whose units are exchanged."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any

from gear.booking.models import Booking
from gear.errors import Conflict
from gear.inventory.models import Unit
from gear.kits.models import KitPromise, KitTaken
from gear.stock.models import StockPromise

__all__ = ["KitsOfBooking", "UnitsOfKits"]


class KitsOfBooking:
    """The companion that keeps what a booking was given as a kit known as one. The booking itself promises what is in
    it, so that there is nothing to hold here."""

    def lock(self, booking_ids: Collection[int]) -> None:
        """Nothing: a kit is changed under the lock of its booking."""

    def stand(self, booking: Booking, by: Any) -> None:
        """Its units and counted things stand."""

    def let_go(self, booking: Booking) -> None:
        """What was given stays written down."""

    def moved(self, bookings: Sequence[Booking]) -> None:
        """What was given stays given."""

    def closed(self, booking: Booking, at: datetime) -> None:
        """What was given stays written down."""

    def split(self, first: Booking, later: Booking) -> None:
        """Both parts have the kit as it was given."""
        for promise in first.kits.prefetch_related("taken"):
            _copied(promise, later)

    def merged(self, kept: Booking, gone: Booking, apart: bool) -> None:
        """The kit that both were given, of the same things, is one; any other is taken over."""
        known = {_given(promise) for promise in kept.kits.prefetch_related("taken")}
        for promise in gone.kits.prefetch_related("taken"):
            if _given(promise) in known:
                # its counted things are those of the other: they must not be added to them
                StockPromise.objects.filter(booking=gone, source=promise.source).delete()
            else:
                _copied(promise, kept, gone)


class UnitsOfKits:
    """The follower that knows what a kit brought when another unit goes instead."""

    def lock(self, booking: Booking) -> None:
        """Nothing: a kit is changed under the lock of its booking."""

    def swapped(self, booking: Booking, old: Unit, new: Unit | None) -> None:
        """The new one stands in for the old one; without one the place is empty. Raises `Conflict` when the new one
        fills another place already."""
        taken = KitTaken.objects.filter(promise__booking=booking, unit=old)
        if new is None:
            taken.delete()
            return
        other = KitTaken.objects.filter(promise__booking=booking, unit=new).select_related("promise").first()
        if other is not None and taken.exists():
            raise Conflict(
                f"{new.tag} has its place in “{other.promise.name}” already, so it cannot stand in for {old.tag}. "
                f"Choose another unit, or go without.",
                code="in-a-kit",
            )
        taken.update(unit=new, instead_of=old.tag)


def _given(promise: KitPromise) -> tuple[Any, ...]:
    taken = sorted((one.unit_id or 0, one.item_id or 0, one.quantity) for one in promise.taken.all())
    return promise.kit_id, promise.name, tuple(taken)


def _copied(promise: KitPromise, to: Booking, stock_of: Booking | None = None) -> None:
    made = KitPromise.objects.create(
        booking=to,
        kit_id=promise.kit_id,
        name=promise.name,
        kit_version=promise.kit_version,
        promised_by_id=promise.promised_by_id,
    )
    KitTaken.objects.bulk_create(
        KitTaken(
            promise=made,
            part=one.part,
            unit_id=one.unit_id,
            item_id=one.item_id,
            quantity=one.quantity,
            instead_of=one.instead_of,
            was_there=one.was_there,
            back_at=one.back_at,
        )
        for one in promise.taken.all()
    )
    StockPromise.objects.filter(booking=stock_of or to, source=promise.source).update(source=made.source)
