"""What does the history that the database keeps cost? Ratios inside one run, with its triggers on and off; no test here
fails on a time.

``python3 manage.py test tests/bench/test_history.py -n 0 -s`` measures and prints.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from statistics import median
from time import perf_counter

import pytest
from django.db import connection, transaction

from gear.booking import services
from gear.booking.models import Allocation, Booking
from gear.inventory.models import Unit
from studio.history.models import Event
from tests.builders import a_booking, a_gear_type, a_unit
from tests.gear.booking.times import between

pytestmark = pytest.mark.django_db(transaction=True)

LONG = os.environ.get("FULLSTOP_LONG") == "1"
ROUNDS = 60 if LONG else 8
WATCHED = ("booking_booking", "booking_allocation")


@contextmanager
def unwatched() -> Iterator[None]:
    """As if the history were not kept: its triggers on promises are off."""
    _triggers("DISABLE")
    try:
        yield
    finally:
        _triggers("ENABLE")


def _triggers(word: str) -> None:
    with connection.cursor() as cursor:
        for table in WATCHED:
            for act in ("insert", "update", "delete"):
                cursor.execute(f"ALTER TABLE {table} {word} TRIGGER history_{act}")


def compared(name: str, act: Callable[[], object]) -> None:
    """Time ``act`` with and without, in turn, so that a busy machine slows both; each is rolled back."""
    found: dict[bool, list[float]] = {True: [], False: []}
    kept: dict[bool, int] = {}
    for _ in range(ROUNDS):
        for on in (True, False):
            if on:
                found[on].append(_timed(act, kept, on))
            else:
                with unwatched():
                    found[on].append(_timed(act, kept, on))
    with_it, without = (median(found[on]) for on in (True, False))
    print(
        f"\n{name}: {with_it * 1e3:.2f} ms with history, {without * 1e3:.2f} without: {with_it / without:.2f}x"
    )
    assert kept[True] > 0 == kept[False]


def _timed(act: Callable[[], object], kept: dict[bool, int], on: bool) -> float:
    with transaction.atomic():
        before = Event.objects.filter(table__in=WATCHED).count()
        begun = perf_counter()
        act()
        took = perf_counter() - begun
        kept[on] = Event.objects.filter(table__in=WATCHED).count() - before
        transaction.set_rollback(True)
    return took


def test_a_booking_straight_into_its_table() -> None:
    compared("one booking row", lambda: a_booking())


def test_a_unit_promised_as_a_service_does_it() -> None:
    unit = a_unit()

    def promise() -> None:
        services.promise_units(services.open_booking("Portraits", between(10, 12), None), [unit.pk], None)

    compared("a hold with one unit, by the service", promise)


def test_a_thousand_promises_in_one_statement() -> None:
    kind, booking = a_gear_type(), a_booking()
    count = 1000 if LONG else 100
    units = Unit.objects.bulk_create(Unit(tag=f"B-{n:04d}", gear_type=kind) for n in range(count))
    time = (booking.starts_at, booking.ends_at + timedelta(hours=1))
    compared(
        f"{count} promises in one statement",
        lambda: Allocation.objects.bulk_create(
            Allocation(booking=booking, unit=unit, use=time, blocked=time) for unit in units
        ),
    )


def test_a_shift_of_many_bookings_in_one_statement() -> None:
    for _ in range(200 if LONG else 50):
        a_booking()
    compared("many bookings changed at once", lambda: Booking.objects.update(zone="Europe/Lisbon"))
