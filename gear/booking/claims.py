"""How does a promise come to block its unit?

The caller holds the locks of the units. The look beforehand only makes the sentence kind; the exclusion constraint
decides.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from gear.booking.blocking import blocked_by, stand_again
from gear.booking.clashes import UnitTaken, in_the_way, instead_of, refuse_taken
from gear.booking.interval import Interval
from gear.booking.models import Allocation, Booking
from gear.booking.rules import blocked_for, now, refuse_unfit, use_of
from gear.booking.transactions import broken_constraint
from gear.changes import announce
from gear.errors import Conflict
from gear.inventory.models import Unit

__all__ = ["NO_UNIT_TWICE", "claim", "insert", "retire_lapsed"]

NO_UNIT_TWICE = "booking_no_unit_twice"


def claim(booking: Booking, units: list[Unit], by: Any, *, noted: Collection[int]) -> None:
    """Make active promises of these units, which are locked; the booking has a row already of those ``noted``. The look
    beforehand only makes the sentence kind."""
    if not units:
        return
    use = use_of(booking)
    refuse_unfit(units)
    retire_lapsed(units, use, now(), but=[booking.pk])
    refuse_taken(units, use, booking.zone, ignoring=[booking.pk])
    try:
        with transaction.atomic():
            insert(booking, [unit for unit in units if unit.pk not in noted], by, active=True)
            stand_again(booking.pk, [unit.pk for unit in units if unit.pk in noted])
    except IntegrityError as error:
        if broken_constraint(error) != NO_UNIT_TWICE:
            raise
        raise _lost_race(units, booking) from None


def _lost_race(units: list[Unit], booking: Booking) -> Conflict:
    use, ignoring = use_of(booking), [booking.pk]
    found = in_the_way(units, use, ignoring)
    if found:
        return UnitTaken(found, instead_of([one.unit for one in found], use, ignoring), use, booking.zone)
    tags = ", ".join(unit.tag for unit in units)
    return Conflict(f"Somebody else asked for {tags} in this moment. Try again.", code="unit-taken")


def insert(booking: Booking, units: Iterable[Unit], by: Any, *, active: bool) -> None:
    use = use_of(booking)
    Allocation.objects.bulk_create(
        Allocation(
            booking=booking,
            unit=unit,
            use=use.as_range,
            blocked=blocked_for(unit, use).as_range,
            active=active,
            promised_by=by,
        )
        for unit in units
    )


def retire_lapsed(units: Iterable[Unit], use: Interval, at: datetime, but: Iterable[int]) -> None:
    """Take what ended holds still keep out of the way; they come back only by a fresh check."""
    gone = (
        Allocation.objects.filter(
            unit__in=[unit.pk for unit in units],
            active=True,
            blocked__overlap=blocked_by(use),
            booking__state=Booking.State.HOLD,
            booking__hold_until__lte=at,
        )
        .exclude(booking__in=list(but))
        .values_list("pk", "unit_id")
    )
    if retired := dict(gone):
        Allocation.objects.filter(pk__in=retired).update(active=False)
        announce("unit", sorted(set(retired.values())))
