"""Many people want the last unit in the same moment; one gets it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import psycopg
import pytest
from django.db import connection

from gear.booking import claims, services
from gear.booking.models import Allocation, Booking
from gear.errors import Conflict
from gear.inventory.models import Unit
from tests.builders import a_booking, a_gear_type, a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import at, between
from tests.race.server import at_once, client_of, gunicorn, overlaps
from tests.studio.shoots.plans import planned

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

CLIENTS = 32


def test_over_http_one_gets_201_and_all_others_409_with_who_has_it() -> None:
    manager, room, recipe = a_person(), a_room(), a_recipe()
    a_unit(tag="K-03")
    shoots = [planned(recipe, by=manager, room=room, title=f"Shoot {n}") for n in range(CLIENTS)]
    body = {"unit": "K-03", "recipe": 1, "light": "Key", "job": "head"}
    with gunicorn() as address:
        clients = [client_of(manager, address) for _ in shoots]
        answers = at_once(
            [
                lambda client=client, shoot=shoot: client.post(f"/api/shoots/{shoot.pk}/units", json=body)
                for client, shoot in zip(clients, shoots, strict=True)
            ]
        )
    assert Counter(answer.status_code for answer in answers) == {201: 1, 409: CLIENTS - 1}
    (winner,) = [shoot for shoot, answer in zip(shoots, answers, strict=True) if answer.status_code == 201]
    for answer in answers:
        if answer.status_code == 409:
            assert f"“{winner.title}”" in answer.json()["sentence"]
    assert overlaps() == 0
    assert [promise.booking.shoot for promise in Allocation.objects.filter(active=True)] == [winner]


@pytest.mark.parametrize("locks", [True, False], ids=["with locks", "without locks"])
def test_with_the_python_check_taken_out_one_still_gets_it(
    monkeypatch: pytest.MonkeyPatch, locks: bool
) -> None:
    monkeypatch.setattr(claims, "refuse_taken", lambda *args, **kwargs: None)
    if not locks:
        monkeypatch.setattr(
            services,
            "locked_units",
            lambda ids: list(Unit.objects.filter(pk__in=list(ids)).select_related("gear_type")),
        )
    unit = a_unit()
    bookings = [_open(n) for n in range(CLIENTS)]
    answers = at_once([lambda b=b: _promised(b, [unit.pk]) for b in bookings])
    assert Counter(answers) == {"promised": 1, "refused": CLIENTS - 1}
    assert overlaps() == 0


def test_straight_into_the_table_one_row_gets_in() -> None:
    unit, bookings = a_unit(), [a_booking() for _ in range(CLIENTS)]
    where = {k: v for k, v in connection.get_connection_params().items() if k in _WHERE}

    def insert(booking: Booking) -> str:
        with psycopg.connect(**where) as line:
            try:
                line.execute(
                    "INSERT INTO booking_allocation (booking_id, unit_id, use, blocked, active, pinned, created_at) "
                    "VALUES (%s, %s, tstzrange(%s, %s), tstzrange(%s, %s), true, false, now())",
                    [booking.pk, unit.pk, at(10), at(12), at(10), at(12)],
                )
            except (psycopg.errors.ExclusionViolation, psycopg.errors.DeadlockDetected):
                line.rollback()
                return "refused"
        return "in"

    answers = at_once([lambda b=b: insert(b) for b in bookings])
    assert Counter(answers) == {"in": 1, "refused": CLIENTS - 1}
    assert overlaps() == 0


def test_of_two_ended_holds_confirmed_in_the_same_moment_one_wins() -> None:
    unit = a_unit(a_gear_type(turnaround_minutes=0))
    first, second = _open(1), _open(2)
    for held in (first, second):
        services.promise_units(held, [unit.pk], None)
        Booking.objects.filter(pk=held.pk).update(state="hold", hold_until=held.created_at)
    answers = at_once([lambda b=b: _done(lambda: services.confirm(b, None)) for b in (first, second)])
    assert Counter(answers) == {"promised": 1, "refused": 1}
    assert Booking.objects.filter(state="confirmed").count() == 1
    assert overlaps() == 0


_WHERE = {"dbname", "user", "password", "host", "port"}


def _open(number: int) -> Booking:
    return services.open_booking(f"Booking {number}", between(10, 12), None, state="confirmed")


def _promised(booking: Booking, units: list[int]) -> str:
    return _done(lambda: services.promise_units(booking, units, None))


def _done(act: Callable[[], object]) -> str:
    try:
        act()
    except Conflict:
        return "refused"
    return "promised"
