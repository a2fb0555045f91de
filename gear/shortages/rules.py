"""Who goes short first, and who may see to it."""

from __future__ import annotations

from typing import Any

from gear.booking.models import Booking
from gear.inventory.models import Condition
from gear.shortages.models import Cause

__all__ = ["CAUSE_OF", "claim"]

CAUSE_OF = {
    Condition.QUARANTINE: Cause.DAMAGE,
    Condition.REPAIR: Cause.DAMAGE,
    Condition.LOST: Cause.LOSS,
    Condition.WRITTEN_OFF: Cause.LOSS,
}

_FIRMNESS = {Booking.State.ENQUIRY: 0, Booking.State.HOLD: 1, Booking.State.CONFIRMED: 2}


def claim(booking: Booking) -> tuple[Any, ...]:
    """The written rule: the lowest claim goes short first. An enquiry before a hold, a hold before what is confirmed;
    among equals the one that was made later."""
    return (_FIRMNESS.get(Booking.State(booking.state), 2), -booking.created_at.timestamp(), -booking.pk)
