"""Many people want the last unit in the same moment; one gets it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest

from gear.booking import services
from gear.booking.models import Allocation, Booking
from gear.errors import Conflict
from tests.builders import a_gear_type, a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import between
from tests.race.audit import faults
from tests.race.server import at_once, client_of, gunicorn
from tests.studio.shoots.plans import planned

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

CLIENTS = 64


def test_over_http_one_gets_201_and_all_others_409_with_who_has_it() -> None:
    manager, room, recipe = a_person(), a_room(), a_recipe()
    a_unit(tag="K-03")
    shoots = [planned(recipe, by=manager, room=room, title=f"Shoot {n}") for n in range(CLIENTS)]
    body = {"unit": "K-03", "recipe": 1, "light": "Key", "job": "head"}
    with gunicorn(workers=2, threads=CLIENTS // 2, alone=True) as address:
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
    assert faults() == []
    assert [promise.booking.shoot for promise in Allocation.objects.filter(active=True)] == [winner]


def test_of_two_ended_holds_confirmed_in_the_same_moment_one_wins() -> None:
    unit = a_unit(a_gear_type(turnaround_minutes=0))
    first, second = _open(1), _open(2)
    for held in (first, second):
        services.promise_units(held, [unit.pk], None)
        Booking.objects.filter(pk=held.pk).update(state="hold", hold_until=held.created_at)
    answers = at_once([lambda b=b: _done(lambda: services.confirm(b, None)) for b in (first, second)])
    assert Counter(answers) == {"promised": 1, "refused": 1}
    assert Booking.objects.filter(state="confirmed").count() == 1
    assert faults() == []


def _open(number: int) -> Booking:
    return services.open_booking(f"Booking {number}", between(10, 12), None, state="confirmed")


def _done(act: Callable[[], object]) -> str:
    try:
        act()
    except Conflict:
        return "refused"
    return "promised"
