"""The races are worth something only if they fail when the engine is broken. One thing is taken out at a time, and the
race that guards it must say so; beside it, the same race without sabotage finds nothing."""

from __future__ import annotations

import contextlib
import re

import pytest

from tests.race import drills
from tests.race.sabotage import SABOTAGES

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

DRILLS = [
    drills.last_unit,
    drills.straight_into_the_table,
    drills.chain_that_touches,
    drills.within_the_turnaround,
    drills.bags_of_ten,
    drills.units_in_opposite_order,
    drills.broken_meanwhile,
    drills.ways_out_and_facts,
    drills.cancelled_meanwhile,
]

RED = [
    ("booking lock dropped", drills.cancelled_meanwhile, "is cancelled and still blocks"),
    ("unit lock dropped", drills.broken_meanwhile, "nobody is short of it"),
    ("locks in the order asked", drills.kits_in_opposite_order, "waited for each other"),
    ("stock lock dropped", drills.bags_of_ten, "of Sandbag .* are promised at once, 10 are there"),
    ("stock checked before its lock", drills.bags_of_ten, "of Sandbag .* are promised at once, 10 are there"),
    ("shortage locked before its unit", drills.ways_out_and_facts, "waited for each other"),
    ("constraint dropped", drills.straight_into_the_table, "is promised twice"),
    ("ends included", drills.chain_that_touches, "expected {'done': 12}, came"),
    ("buffers dropped", drills.within_the_turnaround, "is promised twice"),
]


RUNS = 5


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.__name__)
def test_as_it_is_a_race_finds_nothing(drill) -> None:
    assert drill() == []


@pytest.mark.parametrize(
    ("sabotage", "drill", "says"), RED, ids=lambda one: one if isinstance(one, str) else ""
)
def test_a_race_goes_red_when_the_engine_is_broken(sabotage, drill, says) -> None:
    # Two that never meet on the way do each other no harm, so a race that found nothing is run once more.
    for _ in range(RUNS):
        with SABOTAGES[sabotage]():
            found = drill()
        if found:
            break
    assert any(re.search(says, fault) for fault in found), found


@pytest.mark.parametrize("dropped", [["look beforehand"], ["look beforehand", "unit lock"]], ids=" and ".join)
def test_without_the_look_beforehand_and_without_locks_the_constraint_still_decides(dropped) -> None:
    with contextlib.ExitStack() as without:
        for one in dropped:
            without.enter_context(SABOTAGES[f"{one} dropped"]())
        assert drills.last_unit() == []


def test_without_the_constraint_the_locks_and_the_look_still_hold_for_the_services() -> None:
    with SABOTAGES["constraint dropped"]():
        assert drills.last_unit() == []
