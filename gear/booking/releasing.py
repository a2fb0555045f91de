"""Units of a booking go again. The caller holds the locks of the booking and of the units, and announces it."""

from __future__ import annotations

from datetime import datetime

from django.db import connection

from gear.booking.challenge_ends import end_challenges
from gear.booking.models import Booking, Challenge
from gear.booking.promotion import promote
from gear.booking.rules import refuse_out
from gear.booking.staying_ends import end_stays, onward, prepare_again
from gear.inventory.models import Unit

__all__ = ["let_go_units"]


def let_go_units(booking: Booking, units: list[Unit], at: datetime) -> int:
    """How many of these the booking had, noted ones included; whoever is next in line gets them. Raises `Conflict` for
    what has left the store."""
    if not units:
        return 0
    ids = [unit.pk for unit in units]
    gone = _untouched_ones(booking, ids)
    if gone:
        return gone
    refuse_out(booking, booking.allocations.filter(unit__in=ids, pinned=True).select_related("unit"))
    end_challenges(Challenge.Outcome.LET_GO, at, first=booking, unit__in=ids)
    end_challenges(Challenge.Outcome.WITHDRAWN, at, later=booking, unit__in=ids)
    next_ones = onward(booking.pk, ids)
    gone, _ = booking.allocations.filter(unit__in=ids).delete()
    end_stays([booking.pk], at, ids)
    prepare_again(next_ones, at)
    if gone:
        promote(units, at)
    return gone


def _untouched_ones(booking: Booking, unit_ids: list[int]) -> int:
    """How many went at once: all, when none is packed or was, none stays on set for this booking or from it, nobody is
    asked to decide and nobody waits, so that it is no matter of anybody else; otherwise none, and nothing was done.

    That is how most units go, in one look instead of all that the long way asks.
    """
    with connection.cursor() as cursor:
        cursor.execute(_DELETE_UNTOUCHED, {"booking": booking.pk, "units": unit_ids})
        return cursor.rowcount


# All or none, and each part of the look is answered by its own index.
_DELETE_UNTOUCHED = """
    DELETE FROM booking_allocation
     WHERE booking_id = %(booking)s AND unit_id = ANY(%(units)s) AND NOT (SELECT
           EXISTS (SELECT FROM booking_allocation WHERE unit_id = ANY(%(units)s) AND booking_id = %(booking)s
                      AND (pinned OR stays_for_id IS NOT NULL))
        OR EXISTS (SELECT FROM booking_allocation WHERE unit_id = ANY(%(units)s) AND stays_for_id = %(booking)s)
        OR EXISTS (SELECT FROM booking_allocation WHERE unit_id = ANY(%(units)s) AND waits_since IS NOT NULL)
        OR EXISTS (SELECT FROM booking_challenge WHERE unit_id = ANY(%(units)s) AND ended_at IS NULL
                      AND (first_id = %(booking)s OR later_id = %(booking)s)))
"""
