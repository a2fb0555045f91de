"""Units that go together: kits that share parts, jobs that exchange them, kits that are edited into each other."""

from __future__ import annotations

import os

import pytest

from gear.booking.models import Allocation
from gear.errors import Invalid
from gear.kits.services import save_kit
from studio.shoots import services as shoot_services
from studio.shoots.models import Assignment
from tests.builders import a_gear_type, a_person, a_unit
from tests.gear.kits.sets import a_kit, an_entry
from tests.race.audit import deadlocks
from tests.race.drills import kits_in_opposite_order
from tests.race.server import at_once
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

LONG = os.environ.get("FULLSTOP_LONG") == "1"
ROUNDS = 10
CLIENTS = 8


def test_two_kits_that_name_the_same_parts_in_opposite_order_meet_no_deadlock() -> None:
    assert kits_in_opposite_order(times=100_000 if LONG else 32) == []


def test_replacing_units_crosswise_meets_no_deadlock() -> None:
    manager = a_person()
    tags = [a_unit(a_gear_type(turnaround_minutes=0)).tag for _ in range(3)]
    places = [the_recipe(planned(by=manager, start=10 + 6 * n, end=12 + 6 * n)) for n in range(2)]
    before = deadlocks()

    def replace(number: int) -> int:
        done = 0
        for round_ in range(ROUNDS):
            tag = tags[(round_ * (1 if number else -1)) % len(tags)]
            shoot_services.assign_unit(places[number], "Key", "head", 1, tag, manager)
            done += 1
        return done

    assert at_once([lambda n=n: replace(n) for n in range(2)]) == [ROUNDS, ROUNDS]
    assert deadlocks() == before


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


def test_two_edits_at_once_do_not_close_a_loop() -> None:
    """Case 45, by two people who touch no kit in common: second is in third and fourth in first; now first gets third
    and second gets fourth."""
    unit = a_unit()
    for number in range(5):
        first, second = a_kit(unit, name=f"First {number}"), a_kit(unit, name=f"Second {number}")
        third, fourth = a_kit(second), a_kit(first)

        def put(outer, inner) -> str:
            try:
                save_kit(an_entry(inner, name=outer.name), None, pk=outer.pk)
            except Invalid as refused:
                return refused.code
            return "saved"

        answers = at_once([lambda a=first, b=third: put(a, b), lambda a=second, b=fourth: put(a, b)])
        assert sorted(answers) == ["kit-loop", "saved"]
