"""Which shoots stand back to back with one, and shifting them all in one step."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.db import connection

from gear.booking.interval import Interval, Period
from gear.booking.models import Booking
from gear.booking.services import Move, move_bookings
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import OPEN_END, wall_of
from gear.errors import FieldProblem, Gone, Invalid
from studio.shoots.locks import changed, locked
from studio.shoots.models import Shoot

__all__ = ["MOST_IN_A_CHAIN", "chain_of", "shift_shoots"]

MOST_IN_A_CHAIN = 40
_MOST_MINUTES = 60 * 24 * 60


def chain_of(shoot: Shoot) -> list[Shoot]:
    """The shoots that follow this one so closely that shifting it by anything would meet them: each shares a unit with
    one before it, and its blocked time begins where that of the other ends. In order of time, this one first."""
    with connection.cursor() as cursor:
        cursor.execute(_CHAIN, [shoot.booking_id, MOST_IN_A_CHAIN])
        bookings = [booking_id for (booking_id,) in cursor.fetchall()]
    others = Shoot.objects.filter(booking__in=bookings).exclude(pk=shoot.pk).select_related("booking")
    return sorted([shoot, *others], key=lambda one: (one.booking.starts_at, one.pk))


# Nearest first, so that a chain that is too long is cut off at its end.
_CHAIN = """
    WITH RECURSIVE chain(booking_id) AS (
        SELECT %s::bigint
        UNION
        SELECT following.booking_id
          FROM chain
          JOIN booking_allocation mine ON mine.booking_id = chain.booking_id AND mine.active
          JOIN booking_allocation following ON following.unit_id = mine.unit_id AND following.active
               AND following.blocked && tstzrange(upper(mine.blocked), upper(mine.blocked), '[]')
               AND lower(following.blocked) = upper(mine.blocked)
          JOIN booking_booking b ON b.id = following.booking_id AND b.state IN ('hold', 'confirmed')
          JOIN shoots_shoot s ON s.booking_id = b.id
    )
    SELECT booking_id FROM chain LIMIT %s
"""


@in_one_transaction
def shift_shoots(shoot_ids: Sequence[int], minutes: int, by: Any) -> list[Shoot]:
    """Move several shoots by as many minutes, earlier when negative, in one step: they may go into each other's old
    time. All of them or none. Raises `UnitTaken`, `Invalid`, `NotAllowed`."""
    ids = sorted(set(shoot_ids))
    if not ids or len(ids) > MOST_IN_A_CHAIN:
        raise Invalid(
            f"Choose 1 to {MOST_IN_A_CHAIN} shoots to shift.", (FieldProblem("shoots", "ids of shoots"),)
        )
    if not minutes or abs(minutes) > _MOST_MINUTES:
        raise Invalid(
            "Say by how many minutes, at most sixty days; a minus shifts to an earlier time.",
            (FieldProblem("minutes", "a whole number other than 0"),),
        )
    if Shoot.objects.filter(pk__in=ids).count() < len(ids):
        raise Gone("One of these shoots does not exist any more. Look again, then choose.")
    shoots = [locked(pk, by, "change") for pk in ids]
    by_booking = {shoot.booking_id: shoot for shoot in shoots}
    for moved in move_bookings([Move(s.booking_id, _shifted(s.booking, minutes)) for s in shoots], by):
        by_booking[moved.pk].booking = moved
        changed(by_booking[moved.pk])
    return shoots


def _shifted(booking: Booking, minutes: int) -> Period:
    by = timedelta(minutes=minutes)
    ends = booking.ends_at if booking.ends_at >= OPEN_END else booking.ends_at + by
    then = Interval(booking.starts_at + by, ends)
    return Period(
        then, booking.zone, wall_of(then.starts_at, booking.zone), wall_of(then.ends_at, booking.zone)
    )
