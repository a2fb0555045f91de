"""Kits that share units, asked for in opposite order: nobody ever sees a deadlock."""

from __future__ import annotations

import time

import pytest
from django.db import connection

from gear.booking import services
from gear.booking.models import Allocation
from gear.errors import Conflict
from studio.shoots import services as shoot_services
from studio.shoots.models import Assignment
from tests.builders import a_gear_type, a_person, a_unit
from tests.gear.booking.times import between
from tests.race.server import at_once, overlaps
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

ROUNDS = 25
CLIENTS = 8


def test_kits_in_opposite_order_meet_no_deadlock() -> None:
    kind = a_gear_type(turnaround_minutes=0)
    kit = [a_unit(kind).pk for _ in range(4)]
    bookings = [
        services.open_booking(f"Kit {n}", between(10, 12), None, state="confirmed") for n in range(CLIENTS)
    ]
    before = _deadlocks()

    def ask(number: int) -> tuple[int, int]:
        order = kit if number % 2 else kit[::-1]
        got = lost = 0
        for _ in range(ROUNDS):
            try:
                services.promise_units(bookings[number], order, None)
                services.release_units(bookings[number], order, None)
                got += 1
            except Conflict:
                lost += 1
        return got, lost

    answers = at_once([lambda n=n: ask(n) for n in range(CLIENTS)])
    assert sum(got + lost for got, lost in answers) == CLIENTS * ROUNDS
    assert sum(got for got, _ in answers) > 0
    assert _deadlocks() == before
    assert overlaps() == 0


def test_replacing_units_crosswise_meets_no_deadlock() -> None:
    manager = a_person()
    tags = [a_unit(a_gear_type(turnaround_minutes=0)).tag for _ in range(3)]
    places = [the_recipe(planned(by=manager, start=10 + 6 * n, end=12 + 6 * n)) for n in range(2)]
    before = _deadlocks()

    def replace(number: int) -> int:
        done = 0
        for round_ in range(ROUNDS):
            tag = tags[(round_ * (1 if number else -1)) % len(tags)]
            shoot_services.assign_unit(places[number], "Key", "head", 1, tag, manager)
            done += 1
        return done

    assert at_once([lambda n=n: replace(n) for n in range(2)]) == [ROUNDS, ROUNDS]
    assert _deadlocks() == before


def test_several_units_for_one_job_in_the_same_moment_leave_one_and_its_promise() -> None:
    manager, here = a_person(), the_recipe(planned())
    tags = [a_unit().tag for _ in range(CLIENTS)]
    at_once(
        [
            lambda tag=tag: shoot_services.assign_unit(here, "Key", "head", 1, tag, manager) and None
            for tag in tags
        ]
    )
    assigned = list(Assignment.objects.values_list("unit__tag", flat=True))
    promised = list(Allocation.objects.filter(active=True).values_list("unit__tag", flat=True))
    assert assigned == promised
    assert len(assigned) == 1


def _deadlocks() -> int:
    time.sleep(1.2)  # the server counts them with a delay of up to a second
    with connection.cursor() as cursor:
        cursor.execute("SELECT deadlocks FROM pg_stat_database WHERE datname = current_database()")
        return int(cursor.fetchone()[0])
