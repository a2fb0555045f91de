"""How fast is the calendar of 500 units over three months, against a hand-written query of the same rows?

Ratios inside one run; no test here fails on a time. ``python3 manage.py test tests/bench --benchmark-only -n 0 -s``
measures and prints; in the usual run every case is done once, so that it cannot rot.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from time import perf_counter
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from gear.booking.models import Allocation, Booking
from gear.booking.rules import use_of
from gear.inventory.models import Unit
from studio.calendar.queries import ROWS_A_PAGE, Asked, board
from studio.calendar.span import span_of
from studio.shoots.models import Shoot
from tests.builders import a_gear_type, a_person, a_room

pytestmark = pytest.mark.django_db

# Beside other tests nothing is measured: then a full page is enough.
UNITS, GROUP, EVERY_DAYS, DAYS = 80 if "PYTEST_XDIST_WORKER" in os.environ else 500, 20, 6, 90
FIRST = datetime(2026, 11, 1, 8, tzinfo=UTC)
SPAN = span_of("quarter", date(2026, 11, 1), "Europe/Paris")
BY_HAND = """
    SELECT a.unit_id, b.id, b.title, b.state, b.hold_until, b.zone, s.id, lower(a.use), upper(a.use),
           lower(a.blocked), upper(a.blocked), a.active
      FROM booking_allocation a
      JOIN booking_booking b ON b.id = a.booking_id
      LEFT JOIN shoots_shoot s ON s.booking_id = b.id
     WHERE a.unit_id IN (SELECT id FROM inventory_unit ORDER BY tag LIMIT %s)
       AND a.blocked && tstzrange(%s, %s, '[)')
"""


@pytest.fixture
def a_busy_store(db: None) -> int:
    """Five hundred units, each out every sixth day in a shoot of twenty units; how many promises a page shows."""
    kind, room = a_gear_type(), a_room()
    units = Unit.objects.bulk_create(Unit(tag=f"U-{n:04d}", gear_type=kind) for n in range(UNITS))
    for start in range(0, UNITS, GROUP):
        starts = [FIRST + timedelta(days=day, hours=start % 7) for day in range(0, DAYS, EVERY_DAYS)]
        bookings = Booking.objects.bulk_create(
            Booking(
                title=f"Shoot {at:%j} {start}",
                state="confirmed",
                starts_at=at,
                ends_at=at + timedelta(hours=9),
                zone="Europe/Paris",
            )
            for at in starts
        )
        Shoot.objects.bulk_create(Shoot(title=one.title, room=room, booking=one) for one in bookings)
        Allocation.objects.bulk_create(
            Allocation(booking=one, unit=unit, use=use_of(one).as_range, blocked=use_of(one).as_range)
            for one in bookings
            for unit in units[start : start + GROUP]
        )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return ROWS_A_PAGE * len(range(0, DAYS, EVERY_DAYS))


def fetched_by_hand() -> list[Any]:
    with connection.cursor() as cursor:
        cursor.execute(BY_HAND, [ROWS_A_PAGE, SPAN.starts_at, SPAN.ends_at])
        return cursor.fetchall()


def best_of(times: int, act: Callable[[], object]) -> float:
    """The quickest of some runs, in seconds."""
    found = []
    for _ in range(times):
        begun = perf_counter()
        act()
        found.append(perf_counter() - begun)
    return min(found)


def test_the_page_of_units_over_three_months(benchmark: Any, a_busy_store: int) -> None:
    client = Client()
    client.force_login(a_person())
    answer = benchmark(client.get, "/calendar/?view=quarter&date=2026-11-01")
    assert answer.content.count(b'class="say"') == a_busy_store


def test_the_rows_by_hand(benchmark: Any, a_busy_store: int) -> None:
    assert len(benchmark(fetched_by_hand)) == a_busy_store


def test_the_board_and_the_page_against_the_rows_by_hand(capsys: Any, a_busy_store: int) -> None:
    client = Client()
    client.force_login(a_person())
    answer = client.get("/calendar/?view=quarter&date=2026-11-01")
    by_hand = best_of(5, fetched_by_hand)
    rows = best_of(5, lambda: board(Asked("units", show="busy"), SPAN))
    page = best_of(3, lambda: client.get("/calendar/?view=quarter&date=2026-11-01"))
    with capsys.disabled():
        print(
            f"\n  {a_busy_store} of {UNITS * DAYS // EVERY_DAYS} promises: by hand {by_hand * 1e3:.1f} ms, "
            f"board {rows / by_hand:.1f} times that, page {page / by_hand:.1f} times ({page * 1e3:.0f} ms, "
            f"{len(answer.content) / 1e3:.0f} kB)"
        )
    assert sum(len(row.bars) for row in answer.context["board"].rows) == a_busy_store
