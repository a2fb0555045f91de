"""What does a use block of a unit, in the words of the database? One statement for any number of units.

`rules.blocked_for` says the same of a unit in hand.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from django.contrib.postgres.fields import DateTimeRangeField
from django.db import connection
from django.db.models import DateTimeField, DurationField, Func, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from gear.booking.interval import Interval

__all__ = [
    "blocked_by",
    "blocked_from",
    "blocked_to",
    "derive_anew",
    "end_at",
    "end_use",
    "instant",
    "stand_again",
    "stand_together",
    "wait_again",
]


def blocked_from(use: Interval, unit: str = "unit__") -> Combinable:
    """When a use begins to block: its start less the way there and the prep of the unit, else of its type.

    ``unit`` leads to the unit.
    """
    return instant(use.starts_at - use.travel) - _minutes(unit, "prep_minutes")


def blocked_to(use: Interval, unit: str = "unit__") -> Combinable:
    """When a use ceases to block: its end, the way back and the turnaround of the unit, else of its type."""
    return instant(use.ends_at + use.travel) + _minutes(unit, "turnaround_minutes")


def blocked_by(use: Interval, unit: str = "unit__") -> Func:
    """The range between the two."""
    return Func(
        blocked_from(use, unit),
        blocked_to(use, unit),
        function="tstzrange",
        output_field=DateTimeRangeField(),
    )


def instant(at: datetime) -> Value:
    """A moment as a value in a query."""
    return Value(at, output_field=DateTimeField())


def derive_anew(booking_ids: Collection[int], beside: Collection[tuple[int, int]] = ()) -> None:
    """Give every promise of these bookings the time that its booking says now, and ``beside`` them those of a booking
    and a unit, by their ids. What came back early stays back: its use ends when it came. What stays on set for another
    booking is blocked until that begins."""
    others, units = [booking_id for booking_id, _ in beside], [unit_id for _, unit_id in beside]
    _run(_ANEW, booking_ids=list(booking_ids), others=others, their_units=units)


def stand_again(booking_id: int, unit_ids: Collection[int]) -> None:
    """Let promises that a booking has of these units block again, for the time that it says now."""
    stand_together([booking_id], unit_ids)


def stand_together(booking_ids: Collection[int], unit_ids: Collection[int]) -> None:
    """The same for several bookings in one statement, so that only the end counts."""
    if unit_ids:
        _run(_STAND, booking_ids=list(booking_ids), unit_ids=list(unit_ids))


def wait_again(booking_id: int, unit_ids: Collection[int], at: datetime) -> None:
    """Let them wait in line from an instant on instead."""
    if unit_ids:
        _run(_WAIT, booking_ids=[booking_id], unit_ids=list(unit_ids), at=at)


def end_use(booking_id: int, unit_ids: Collection[int], at: datetime) -> None:
    """Let the running use of these units end at an instant; they keep the turnaround they were promised with. It only
    ever frees time, so that no other promise is in its way."""
    _run(_END, booking_id=booking_id, unit_ids=list(unit_ids), at=at)


def end_at(booking_id: int, unit_ids: Collection[int], at: datetime) -> None:
    """Let use and blocking of these units end at an instant, without turnaround: somebody else goes straight on."""
    _run(_CUT, booking_id=booking_id, unit_ids=list(unit_ids), at=at)


def _run(statement: str, **values: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def _minutes(unit: str, field: str) -> Func:
    own = Coalesce(f"{unit}{field}", f"{unit}gear_type__{field}")
    return Func(own, template="make_interval(mins => %(expressions)s)", output_field=DurationField())


_DERIVE = """
    UPDATE booking_allocation a
       SET use = tstzrange(b.starts_at, CASE WHEN {early} THEN a.returned_at ELSE b.ends_at END, '[)'),
           blocked = tstzrange(
               LEAST(CASE WHEN {still_out} THEN lower(a.blocked) END, CASE WHEN EXISTS (
                   SELECT FROM booking_allocation p JOIN booking_booking pb ON pb.id = p.booking_id
                    WHERE p.stays_for_id = b.id AND p.unit_id = a.unit_id AND p.active AND pb.ends_at <= b.starts_at)
               THEN b.starts_at
               ELSE b.starts_at - make_interval(
                   mins => b.travel_minutes + COALESCE(a.prep_given, u.prep_minutes, t.prep_minutes)) END),
               CASE WHEN {early} THEN a.returned_at + {after}
               ELSE COALESCE(
                   (SELECT n.starts_at FROM booking_booking n WHERE n.id = a.stays_for_id AND n.starts_at >= b.ends_at),
                   b.ends_at + {after}) END,
               '[)'){also}
      FROM booking_booking b, inventory_unit u, catalogue_geartype t
     WHERE a.booking_id = b.id AND u.id = a.unit_id AND t.id = u.gear_type_id
       AND {which}
"""
_AFTER = """make_interval(
    mins => b.travel_minutes + COALESCE(a.turnaround_given, u.turnaround_minutes, t.turnaround_minutes))"""
# Of one that left the store, nobody gets the time between its leaving and a later start.
_STILL_OUT = "a.pinned AND a.active AND a.returned_at IS NULL"
_OF_UNITS = "b.id = ANY(%(booking_ids)s) AND a.unit_id = ANY(%(unit_ids)s::bigint[])"
_ANEW = _DERIVE.format(
    which="""(b.id = ANY(%(booking_ids)s) OR (b.id, a.unit_id) IN (
        SELECT * FROM unnest(%(others)s::bigint[], %(their_units)s::bigint[])))""",
    early="a.returned_at > b.starts_at AND a.returned_at < b.ends_at",
    after=_AFTER,
    still_out=_STILL_OUT,
    also="",
)
_STAND = _DERIVE.format(
    which=_OF_UNITS,
    early="false",
    after=_AFTER,
    still_out=_STILL_OUT,
    also=", active = true, waits_since = NULL, lapses_at = NULL, returned_at = NULL",
)
_WAIT = _DERIVE.format(
    which=_OF_UNITS,
    early="false",
    after=_AFTER,
    still_out=_STILL_OUT,
    also=", active = false, waits_since = %(at)s, lapses_at = NULL, returned_at = NULL",
)
_END = """
    UPDATE booking_allocation
       SET use = tstzrange(lower(use), %(at)s, '[)'),
           blocked = tstzrange(lower(blocked), upper(blocked) - (upper(use) - %(at)s), '[)'),
           returned_at = %(at)s
     WHERE booking_id = %(booking_id)s AND unit_id = ANY(%(unit_ids)s) AND active
       AND lower(use) < %(at)s AND upper(use) > %(at)s
"""
_CUT = """
    UPDATE booking_allocation
       SET use = tstzrange(lower(use), %(at)s, '[)'), blocked = tstzrange(lower(blocked), %(at)s, '[)')
     WHERE booking_id = %(booking_id)s AND unit_id = ANY(%(unit_ids)s)
"""
