"""Does the inspection of a unit fall due before a shoot is over? Said when it is booked, and a stop at the door."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

from gear.booking.models import Booking
from gear.inventory.models import Unit

__all__ = ["inspection_said", "is_due_before_the_end", "last_day"]


def last_day(held: Booking) -> date:
    """The day on which it ends, on the wall of its place; without a return date that on which it is looked at again."""
    return (held.review_at or held.ends_at).astimezone(ZoneInfo(held.zone)).date()


def is_due_before_the_end(unit: Unit, held: Booking) -> bool:
    """An inspection falls due at the end of its day."""
    return unit.inspection_due is not None and unit.inspection_due < last_day(held)


def inspection_said(unit: Unit, held: Booking) -> tuple[str, ...]:
    """A clause that warns, or nothing."""
    if not is_due_before_the_end(unit, held):
        return ()
    return (f"its inspection is due on {unit.inspection_due:%Y-%m-%d}, before the shoot ends",)
