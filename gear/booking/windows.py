"""Is a unit that is somebody else's here for the whole of the time?"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from django.db import IntegrityError

from gear.booking.interval import Interval
from gear.booking.models import UnitWindow
from gear.booking.rules import blocked_for
from gear.booking.transactions import broken_constraint
from gear.booking.wall_time import say
from gear.errors import Conflict
from gear.inventory.models import Unit

__all__ = ["OutsideWindow", "refuse_longer_than_lent", "refuse_outside"]


class OutsideWindow(Conflict):
    """The unit belongs to somebody else and is not here for the whole of the time."""

    code = "outside-window"


def refuse_outside(units: Iterable[Unit], use: Interval, zone: str) -> None:
    """Each unit must be here for the whole of the use with its prep and turnaround. Raises `OutsideWindow`."""
    by_id = {unit.pk: unit for unit in units}
    if not by_id:
        return
    for window in UnitWindow.objects.filter(unit__in=by_id).order_by("unit_id"):
        unit = by_id[window.unit_id]
        blocked = blocked_for(unit, use)
        during = window.during
        if during.isempty:
            raise OutsideWindow(
                f"{unit.tag} ({unit.gear_type}) belongs to {window.owner} and is not lent to us any more. "
                "Choose another unit."
            )
        if during.lower <= blocked.starts_at and blocked.ends_at <= during.upper:
            continue
        first = during.lower + use.travel + timedelta(minutes=unit.prep)
        last = during.upper - use.travel - timedelta(minutes=unit.turnaround)
        ways = []
        if use.starts_at < last and last < use.ends_at:
            ways.append(f"End by {say(last, zone)}.")
        if first < use.ends_at and use.starts_at < first:
            ways.append(f"Start from {say(first, zone)}.")
        ways.append(f"Ask {window.owner} for a longer time, and enter the new date when it is agreed.")
        raise OutsideWindow(
            f"{unit.tag} ({unit.gear_type}) belongs to {window.owner} and must be back there by "
            f"{say(window.goes_back_at, zone)}: it can be used from {say(first, zone)} until {say(last, zone)}.",
            ways_out=tuple(ways),
        )


def refuse_longer_than_lent(error: IntegrityError) -> None:
    """Say kindly that the database refused what somebody else's unit would be blocked for, if that is it. Raises
    `OutsideWindow`."""
    if broken_constraint(error) == "booking_inside_the_window":
        raise OutsideWindow(
            "A unit that stays on set would be away for longer than its owner lends it. Choose other times, or enter "
            "the new date when a longer time is agreed."
        ) from None
