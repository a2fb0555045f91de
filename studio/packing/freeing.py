"""What a scan at the door does to the promise: what is back early is free after its turnaround."""

from __future__ import annotations

from datetime import datetime

from django.db import IntegrityError, transaction

from gear.booking.blocking import stand_again
from gear.booking.locks import locked, locked_units
from gear.booking.returns import return_units
from gear.changes import announce
from gear.errors import Conflict
from gear.kits.models import KitTaken
from studio.packing.models import PackingLine

__all__ = ["free_from", "needed_again"]


def free_from(line: PackingLine, at: datetime) -> None:
    """The unit of a line came back at this instant. The kit that it came with is not whole by that; what comes back
    before the use has begun keeps its promise, since it may go out again."""
    booking = line.shoot.booking
    if booking.starts_at < at < booking.ends_at:
        return_units(booking, [line.unit_id], at)
    KitTaken.objects.filter(promise__booking=booking, unit=line.unit, back_at=None).update(back_at=at)


def needed_again(line: PackingLine) -> None:
    """It was not back after all. Raises `Conflict` when it was promised to somebody else since."""
    booking = locked(line.shoot.booking)
    locked_units([line.unit_id])
    active = booking.allocations.filter(unit=line.unit, active=True)
    if active.filter(use__endswith__lt=booking.ends_at).exists():
        try:
            with transaction.atomic():
                stand_again(booking.pk, [line.unit_id])
        except IntegrityError:
            raise Conflict(
                f"{line.unit.tag} was promised to somebody else since it came back; it stays as it is."
            ) from None
        announce("unit", [line.unit_id])
    KitTaken.objects.filter(promise__booking=booking, unit=line.unit).update(back_at=None)
