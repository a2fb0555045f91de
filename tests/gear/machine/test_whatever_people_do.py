"""Whatever people do in whatever order, the engine accepts exactly what a plain reckoning accepts, and what must always
be true is true after every step. Rules stand in `acts` and `store_acts`, what must be true in `always`."""

from __future__ import annotations

import os

import pytest

from tests.gear.machine.mutations import MUTATIONS
from tests.gear.machine.running import run_the_machine

LONG = os.environ.get("FULLSTOP_LONG") == "1"


@pytest.mark.django_db
@pytest.mark.parametrize("part", range(40 if LONG else 1))
def test_whatever_people_do_the_engine_and_the_plain_reckoning_agree(part: int) -> None:
    """The long run of a thousand lives comes in parts: what one transaction undoes makes it slower and slower."""
    run_the_machine(*((25, 60) if LONG else (20, 25)), shrink=LONG)


@pytest.mark.django_db
@pytest.mark.parametrize("rule", MUTATIONS if LONG else list(MUTATIONS)[:1])
def test_without_one_rule_of_the_engine_the_machine_goes_red(rule: str) -> None:
    """The machine is worth something only if it finds what it is there to find. In the short run it begins where it
    was seen to find it within four lives; by chance it takes up to a hundred."""
    with MUTATIONS[rule](), pytest.raises(Exception) as red:
        run_the_machine(150, 40, begin_with=None if LONG else 0)
    said = (str(red.value) or "it is not").splitlines()[0][:120]
    print(f"\n{rule}: {red.traceback[-1].name}: {type(red.value).__name__}: {said}")
