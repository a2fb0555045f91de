"""What the engine says is free is free in every single minute, over changes of the clocks as well."""

from __future__ import annotations

import os

import pytest
from django.db import transaction

from gear.booking.queries import free_units
from gear.kits.queries import is_free
from gear.stock.queries import availability, free_of_model
from tests.gear.machine.by_the_minute import CHANGES, Schedule, next_change

LONG = os.environ.get("FULLSTOP_LONG") == "1"
SCHEDULES, QUESTIONS = (100, 20) if LONG else (1, 12)


@pytest.mark.django_db
@pytest.mark.parametrize(("zone", "later"), CHANGES)
def test_whatever_is_promised_the_answer_is_that_of_looking_at_every_minute(zone: str, later: int) -> None:
    change = next_change(zone, later)
    for seed in range(SCHEDULES):
        with transaction.atomic():
            schedule = Schedule.around(change, zone, seed)
            said = [_ask(schedule, schedule.asked(36 * 60).interval) for _ in range(QUESTIONS)]
            assert {True, False} <= set().union(*said), "a schedule in which everything is free asks nothing"
            transaction.set_rollback(True)


def _ask(schedule: Schedule, use) -> set[bool]:
    free = {unit.tag for unit in schedule.units if schedule.unit_is_free(unit, use)}
    assert {unit.tag for unit in free_units(use)} == free, use
    for item in schedule.items:
        found = availability(item, use)
        assert found.free == schedule.free_of(item, use), (item, use)
        assert found.there == schedule.free_of(item, use, over=False), (item, use)
    for kind in {unit.gear_type for unit in schedule.units}:
        tags = {unit.tag for unit in schedule.units if unit.gear_type == kind and unit.tag in free}
        counted = [item for item in schedule.items if item.gear_type == kind]
        found = free_of_model(kind, use)
        assert set(found.units) == tags
        assert found.counted == sum(schedule.free_of(item, use, over=False) for item in counted)
    for kit, places in schedule.kits:
        assert is_free(kit, use) == schedule.kit_is_free(places, use), (kit, use)
    return {unit.tag in free for unit in schedule.units}
