"""Which rows does a decision lock, and in which order?

First the booking's row, then the rows of its units by id. Whoever changes promises of a unit holds that unit's lock, so
decisions about one unit come one after the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection

from gear.booking.models import Booking
from gear.booking.rows import Columns
from gear.catalogue.models import GearType
from gear.errors import Gone, StaleEdit
from gear.inventory.models import Unit

__all__ = ["locked", "locked_by_id", "locked_units", "refuse_stale", "unit_ids"]


def locked(booking: Booking, version: int | None = None) -> Booking:
    """The booking as it stands now, locked until the transaction ends. Raises `Gone`, `StaleEdit`."""
    return locked_by_id(booking.pk, version)


def locked_by_id(pk: int, version: int | None) -> Booking:
    """The same by its id."""
    with connection.cursor() as cursor:
        cursor.execute(_LOCK_BOOKING, [pk])
        row = cursor.fetchone()
    if row is None:
        raise Gone("That booking does not exist any more.")
    found = _BOOKING.object(row)
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
    wanted = list(unit_ids)
    if not wanted:
        return []
    with connection.cursor() as cursor:
        cursor.execute(_LOCK_UNITS, [wanted])
        return [_with_type(row) for row in cursor.fetchall()]


def _with_type(row: Sequence[Any]) -> Unit:
    unit = _UNIT.object(row[: len(_UNIT)])
    unit.gear_type = _TYPE.object(row[len(_UNIT) :])
    return unit


_BOOKING, _UNIT, _TYPE = Columns(Booking, "b"), Columns(Unit, "u"), Columns(GearType, "t", but=("spec",))
_LOCK_BOOKING = f"SELECT {_BOOKING.sql} FROM booking_booking b WHERE b.id = %s FOR NO KEY UPDATE"
_LOCK_UNITS = f"""
    SELECT {_UNIT.sql}, {_TYPE.sql} FROM inventory_unit u JOIN catalogue_geartype t ON t.id = u.gear_type_id
     WHERE u.id = ANY(%s::bigint[]) ORDER BY u.id FOR NO KEY UPDATE OF u
"""
