"""Facts about what hangs on which stand, and about weights that are shared out between boom and column."""

from __future__ import annotations

import pytest

from recipes.checks.rigged import counterbalance, front_moment_kg_m, rear_m, rigs
from tests.recipes.checks.setups import a_board, a_boom, a_look, a_plan, a_setup, a_stand, a_weight


def masses(weights):
    return [weight.spec.mass_kg for weight in weights]


def test_what_is_not_needed_behind_the_boom_stays_at_the_column():
    weights = tuple(a_weight(mass, f"WE-{number}") for number, mass in enumerate((4.0, 7.0, 2.0)))
    behind, column = counterbalance(weights, 7.0)
    assert (masses(behind), masses(column)) == ([7.0], [4.0, 2.0])
    assert counterbalance(weights, 0.0) == ((), weights)


def test_of_many_weights_the_heavy_ones_are_tried():
    weights = tuple(a_weight(mass, f"WE-{number}") for number, mass in enumerate([*[0.5] * 12, 7.0]))
    behind, _ = counterbalance(weights, 7.0)
    assert masses(behind) == [7.0]


def test_a_boom_that_reaches_beyond_its_own_length_has_nothing_behind():
    assert rear_m(a_boom(length_m=2.1).spec, 1.4) == pytest.approx(0.7)
    assert rear_m(a_boom(length_m=1.0).spec, 1.4) == 0.0


def test_what_nobody_weighed_weighs_nothing_here():
    # The checks ask for it themselves.
    assert front_moment_kg_m(3.0, a_boom(mass_kg=None).spec, 1.4) == pytest.approx(4.2)
    (rig,) = rigs(a_setup(units={"stand": a_stand(mass_kg=None)}))
    assert rig.stand_kg == 0.0


@pytest.mark.parametrize(
    ("units", "names"),
    [
        ({"board": a_board()}, []),
        ({"board_stand": a_stand()}, []),
        ({"board": a_board(), "board_stand": a_stand()}, ["board of Key"]),
    ],
)
def test_a_board_is_on_a_stand_when_there_are_both(units, names):
    assert [rig.name for rig in rigs(a_setup(a_look(a_plan()), units=units))] == names
