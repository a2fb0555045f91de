"""Is anything promised that cannot be? Reckoned from the asked times and the plain figures of the gear, with none of
the code under test, so that it sees what the engine and its constraints would have to agree on to hide."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal

from django.db import connection

__all__ = ["deadlocks", "faults"]


def faults() -> list[str]:
    """Every fault in a sentence; empty when all is well."""
    looks = (_units_twice, _counted_beyond, _unfit, _standing_for_nobody, _kits_in_part, _jobs_unpromised)
    return [fault for look in looks for fault in look()]


def deadlocks() -> int:
    """How many this database has had. The server counts them with a delay of up to a second."""
    time.sleep(1.2)
    return int(_rows("SELECT deadlocks FROM pg_stat_database WHERE datname = current_database()")[0][0])


def _units_twice() -> Iterator[str]:
    last: dict[int, tuple[datetime, int]] = {}
    for unit, tag, start, end, prep, turnaround, booking in _rows(
        """SELECT u.id, u.tag, lower(a.use), upper(a.use), coalesce(u.prep_minutes, t.prep_minutes),
                  coalesce(u.turnaround_minutes, t.turnaround_minutes), a.booking_id
           FROM booking_allocation a JOIN inventory_unit u ON u.id = a.unit_id
           JOIN catalogue_geartype t ON t.id = u.gear_type_id WHERE a.active ORDER BY u.id, lower(a.use)"""
    ):
        ready, before = last.get(unit, (None, 0))
        if ready and start - timedelta(minutes=prep) < ready:
            yield f"{tag} is promised twice: booking {booking} needs it before {before} has it ready"
        last[unit] = (end + timedelta(minutes=turnaround), booking)


def _counted_beyond() -> Iterator[str]:
    changes: dict[tuple[int, str], list[tuple[datetime, Decimal]]] = {}
    for item, name, start, end, turnaround, quantity in _rows(
        """SELECT i.id, i.name, lower(p.use), upper(p.use), i.turnaround_minutes, p.quantity
           FROM stock_stockpromise p JOIN stock_stockitem i ON i.id = p.item_id WHERE p.active"""
    ):
        ours = changes.setdefault((item, name), [])
        ours += [(start, quantity), (end + timedelta(minutes=turnaround), -quantity)]
    there = dict(_rows("SELECT item_id, sum(quantity) FROM stock_stockmovement GROUP BY item_id"))
    for (item, name), steps in changes.items():
        level = peak = Decimal(0)
        for _, change in sorted(steps):
            level += change
            peak = max(peak, level)
        if peak > there.get(item, 0):
            yield f"{peak.normalize():f} of {name} are promised at once, {there.get(item, 0).normalize():f} are there"


def _unfit() -> Iterator[str]:
    for tag, booking in _rows(
        """SELECT u.tag, a.booking_id FROM booking_allocation a JOIN inventory_unit u ON u.id = a.unit_id
           JOIN booking_booking b ON b.id = a.booking_id
           WHERE a.active AND b.state IN ('hold', 'confirmed') AND u.condition <> 'ready' AND lower(a.use) > now()
           AND NOT EXISTS (SELECT FROM shortages_shortage s WHERE s.booking_id = a.booking_id
                           AND s.unit_id = a.unit_id AND s.closed_at IS NULL)"""
    ):
        yield f"{tag} cannot come to booking {booking}, and nobody is short of it"


def _standing_for_nobody() -> Iterator[str]:
    for table in ("booking_allocation", "stock_stockpromise"):
        for booking, state in _rows(
            f"""SELECT DISTINCT b.id, b.state FROM {table} a JOIN booking_booking b ON b.id = a.booking_id
                WHERE a.active AND b.state IN ('enquiry', 'cancelled')"""
        ):
            yield f"booking {booking} is {state} and still blocks something in {table}"


def _kits_in_part() -> Iterator[str]:
    for promise, booking, units, lines in _rows(
        """SELECT k.id, k.booking_id,
                  count(*) FILTER (WHERE t.unit_id IS NOT NULL AND NOT EXISTS (
                      SELECT FROM booking_allocation a WHERE a.booking_id = k.booking_id AND a.unit_id = t.unit_id)),
                  count(*) FILTER (WHERE t.item_id IS NOT NULL AND NOT EXISTS (
                      SELECT FROM stock_stockpromise p WHERE p.booking_id = k.booking_id AND p.item_id = t.item_id
                      AND p.source LIKE '%%#' || k.id))
           FROM kits_kitpromise k LEFT JOIN kits_kittaken t ON t.promise_id = k.id GROUP BY k.id"""
    ):
        if units or lines:
            yield f"kit {promise} of booking {booking} lacks {units} units and {lines} lines of it"
    for parts, whole, name in _rows(
        """SELECT count(t.id), (SELECT count(*) FROM kits_kitpart p WHERE p.kit_id = k.kit_id), k.name
           FROM kits_kitpromise k LEFT JOIN kits_kittaken t ON t.promise_id = k.id GROUP BY k.id"""
    ):
        if parts != whole:
            yield f"{name} was given with {parts} of {whole} parts"


def _jobs_unpromised() -> Iterator[str]:
    for tag, shoot in _rows(
        """SELECT u.tag, s.title FROM shoots_assignment j JOIN shoots_shootrecipe r ON r.id = j.shoot_recipe_id
           JOIN shoots_shoot s ON s.id = r.shoot_id JOIN inventory_unit u ON u.id = j.unit_id
           WHERE NOT EXISTS (SELECT FROM booking_allocation a
                             WHERE a.booking_id = s.booking_id AND a.unit_id = j.unit_id)"""
    ):
        yield f"{tag} has a job at {shoot} that was not promised it"


def _rows(sql: str) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(sql, [])
        return cursor.fetchall()
