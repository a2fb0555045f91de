"""What would clash if everything were promised with the prep and turnaround of today? Promises keep what they were made
with; a setting that was lengthened since shows here, and moves nobody."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db import connection

from gear.booking.models import Allocation
from gear.booking.rules import now

__all__ = ["WouldClash", "would_clash"]

MOST = 100


@dataclass(frozen=True)
class WouldClash:
    """Two promises of one unit, one after the other, that today's minutes would not leave room for; by how much is
    ``short_minutes``."""

    before: Allocation
    after: Allocation
    short_minutes: int


def would_clash(unit_ids: Collection[int], at: datetime | None = None) -> list[WouldClash]:
    """Of these units, in order of time. Granted minutes and what stays on set were agreed, and are not among them."""
    with connection.cursor() as cursor:
        cursor.execute(_SQL, {"units": list(unit_ids), "at": at or now(), "most": MOST})
        rows = cursor.fetchall()
    ids = {pk for first, later, _ in rows for pk in (first, later)}
    found = {
        promise.pk: promise
        for promise in Allocation.objects.filter(pk__in=ids).select_related(
            "unit__gear_type", "booking", "booking__asked_by"
        )
    }
    return [WouldClash(found[first], found[later], short) for first, later, short in rows]


_SQL = """
    WITH today AS (
        SELECT a.id, a.unit_id, a.stays_for_id, lower(a.use) AS starts,
               lower(a.use) - make_interval(
                   mins => b.travel_minutes + COALESCE(a.prep_given, u.prep_minutes, t.prep_minutes)) AS needs_from,
               upper(a.use) + make_interval(
                   mins => b.travel_minutes + COALESCE(
                       a.turnaround_given, u.turnaround_minutes, t.turnaround_minutes)) AS needs_to
          FROM booking_allocation a
          JOIN booking_booking b ON b.id = a.booking_id
          JOIN inventory_unit u ON u.id = a.unit_id
          JOIN catalogue_geartype t ON t.id = u.gear_type_id
         WHERE a.active AND a.unit_id = ANY(%(units)s) AND upper(a.blocked) > %(at)s
           AND NOT (b.state = 'hold' AND (b.hold_until <= %(at)s OR COALESCE(a.lapses_at <= %(at)s, false)))
    ), pairs AS (
        SELECT id, stays_for_id, starts, needs_to,
               lead(id) OVER next AS after, lead(needs_from) OVER next AS after_from
          FROM today WINDOW next AS (PARTITION BY unit_id ORDER BY starts)
    )
    SELECT id, after, (extract(epoch FROM needs_to - after_from) / 60)::int
      FROM pairs
     WHERE after IS NOT NULL AND stays_for_id IS NULL AND needs_to > after_from
     ORDER BY starts, id LIMIT %(most)s
"""
