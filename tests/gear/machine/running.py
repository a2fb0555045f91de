"""Letting the machine run."""

from __future__ import annotations

from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.gear.machine import records
from tests.gear.machine.store_acts import Studio
from tests.gear.machine.world import the_world

__all__ = ["run_the_machine"]


def run_the_machine(
    examples: int, steps: int, *, shrink: bool = False, begin_with: int | None = None
) -> None:
    """So many lives of a studio, of so many steps at most; by chance, or the same ones for a number to ``begin_with``.
    To make a failure smaller takes minutes on a database."""
    before = records.last_event()

    class Run(Studio):
        world, events_before = the_world(), before

    run_state_machine_as_test(
        Run if begin_with is None else seed(begin_with)(Run),
        settings=settings(
            max_examples=examples,
            stateful_step_count=steps,
            deadline=None,
            print_blob=True,
            suppress_health_check=list(HealthCheck),
            database=None,
            phases=list(Phase) if shrink else [Phase.explicit, Phase.generate],
        ),
    )
