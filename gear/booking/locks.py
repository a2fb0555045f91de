"""Which rows does a decision lock, and in which order?

First the booking's row, then the rows of its units by id. Whoever changes promises of a unit holds that unit's lock, so
decisions about one unit come one after the other.
"""

from __future__ import annotations

from collections.abc import Iterable

from gear.booking.models import Booking
from gear.errors import Gone, StaleEdit
from gear.inventory.models import Unit

__all__ = ["locked", "locked_by_id", "locked_units", "refuse_stale", "unit_ids"]


def locked(booking: Booking, version: int | None = None) -> Booking:
    """The booking as it stands now, locked until the transaction ends. Raises `Gone`, `StaleEdit`."""
    return locked_by_id(booking.pk, version)


def locked_by_id(pk: int, version: int | None) -> Booking:
    """The same by its id."""
    found = Booking.objects.select_for_update(no_key=True).filter(pk=pk).first()
    if found is None:
        raise Gone("That booking does not exist any more.")
    refuse_stale(found, version)
    return found


def refuse_stale(booking: Booking, version: int | None) -> None:
    """The version that the person saw must still be the one; None does not ask. Raises `StaleEdit`."""
    if version is not None and booking.version != version:
        raise StaleEdit(
            f"“{booking.title}” was changed by somebody else in the meantime; nothing was overwritten. "
            f"Look at what it says now, then make your change again."
        )


def unit_ids(booking: Booking) -> list[int]:
    """The units of a booking, by id."""
    return sorted(booking.allocations.values_list("unit_id", flat=True))


def locked_units(unit_ids: Iterable[int]) -> list[Unit]:
    """These units with their types, locked in the order of their ids."""
    locked = Unit.objects.select_for_update(no_key=True, of=("self",)).filter(pk__in=list(unit_ids))
    return list(locked.select_related("gear_type").order_by("pk"))
