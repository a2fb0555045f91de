"""What must hold for booms, and for the stands they are on."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.rig import boom
from recipes.rig.stand import Feet, Mass, weakest_edge

RIGGED = boom.Boom(3.0, 1.4, 2.0, 2.1, 0.7, 7.0, 0.7)


@given(st.floats(0.0, 50.0), st.floats(0.1, 2.0), st.floats(-90.0, 90.0))
def test_the_counterweight_leaves_nothing_for_the_lock_to_hold(moment, arm_m, raised_deg):
    weight = boom.counterweight_kg(moment, arm_m)
    assert boom.unbalanced_nm(moment, weight, arm_m, raised_deg) == pytest.approx(0.0, abs=1e-6)


def test_a_boom_that_is_heavier_behind_needs_no_counterweight():
    level = boom.level_moment_kg_m(0.1, 0.5, 4.0, 2.0, 1.5)
    assert level < 0
    assert boom.counterweight_kg(level, 0.5) == 0.0


def test_a_pivot_behind_the_boom_is_refused():
    with pytest.raises(ValueError, match=r"^rear_m is longer than the boom; give the length behind"):
        boom.level_moment_kg_m(3.0, 1.4, 2.0, 2.1, 2.2)


def test_one_pivot_behind_its_boom_spoils_the_column():
    with pytest.raises(ValueError, match="rear_m is longer than the boom"):
        boom.level_moment_kg_m(3.0, 1.4, 2.0, 2.1, np.array([0.7, 2.2]))


@pytest.mark.parametrize("arm_m", [0.0, -0.7])
def test_a_counterweight_at_the_pivot_or_before_it_balances_nothing(arm_m):
    with pytest.raises(ValueError, match="weight_arm_m is"):
        boom.counterweight_kg(4.9, arm_m)


@pytest.mark.parametrize(("raised_deg", "height_m"), [(30.0, 2.7), (0.0, 2.0), (-30.0, 1.3)])
def test_a_raised_boom_lifts_its_head_and_a_lowered_one_drops_it(raised_deg, height_m):
    assert boom.head_height_m(2.0, 1.4, raised_deg) == pytest.approx(height_m)


def test_the_counterweight_hangs_opposite_whichever_way_the_boom_points():
    assert (
        boom.boom_masses(boom.Boom(3.0, 1.4, 2.0, 2.1, 0.7, 7.0, 0.7, bearing_deg=270.0))[2].bearing_deg
        == 90.0
    )


def test_a_balanced_boom_pulls_its_stand_to_no_side():
    masses = boom.boom_masses(RIGGED)
    for bearing in range(0, 360, 30):
        assert sum(mass.mass_kg * mass.towards_m(bearing) for mass in masses) == pytest.approx(0.0, abs=1e-9)


def test_a_boom_heavier_behind_hangs_its_own_mass_on_the_other_side():
    masses = boom.boom_masses(boom.Boom(1.0, 0.5, 4.0, 2.0, 1.5, 0.0, 0.0, bearing_deg=90.0))
    assert masses[1].bearing_deg == 270.0
    assert masses[1].distance_m == pytest.approx(0.5)


def test_without_its_counterweight_the_boom_tips_a_light_stand():
    bare = boom.Boom(3.0, 1.4, 2.0, 2.1, 0.7, 0.0, 0.7, bearing_deg=60.0)
    balanced = boom.Boom(3.0, 1.4, 2.0, 2.1, 0.7, 7.0, 0.7, bearing_deg=60.0)
    assert weakest_edge(Feet(0.55), [Mass(6.0), *boom.boom_masses(bare)]).tips
    assert not weakest_edge(Feet(0.55), [Mass(6.0), *boom.boom_masses(balanced)]).tips


@given(st.floats(0.1, 3.0), st.floats(0.0, 90.0))
def test_reach_and_climb_make_up_the_arm(arm_m, raised_deg):
    climb = boom.head_height_m(2.0, arm_m, raised_deg) - 2.0
    assert boom.reach_m(arm_m, raised_deg) ** 2 + climb**2 == pytest.approx(arm_m**2)


def test_what_the_lock_holds_halves_at_60_degrees():
    level = boom.unbalanced_nm(4.9, 5.0, 0.7, 0.0)
    assert level == pytest.approx((4.9 - 3.5) * 9.80665)
    assert boom.unbalanced_nm(4.9, 5.0, 0.7, 60.0) == pytest.approx(level / 2)


@pytest.mark.parametrize("raised_deg", [-91.0, 91.0])
@pytest.mark.parametrize(
    "sum_of",
    [
        lambda angle: boom.boom_moment_nm(3.0, 1.4, 2.0, 2.1, 0.7, angle),
        lambda angle: boom.unbalanced_nm(4.9, 5.0, 0.7, angle),
        lambda angle: boom.reach_m(1.4, angle),
        lambda angle: boom.head_height_m(2.0, 1.4, angle),
    ],
)
def test_a_boom_does_not_fold_over(sum_of, raised_deg):
    with pytest.raises(ValueError, match="raised_deg is"):
        sum_of(raised_deg)


def test_a_boom_lies_level_and_points_to_bearing_0_when_nothing_else_is_said():
    assert boom.boom_masses(boom.Boom(3.0, 1.4, 2.0, 2.1, 0.7, 7.0, 0.7))[0] == Mass(3.0, 1.4, 0.0)


def test_a_boom_may_be_held_at_its_very_front():
    # All 2.1 m of it are behind: 2 kg at 1.05 m against 3 kg at 1.4 m.
    assert boom.level_moment_kg_m(3.0, 1.4, 2.0, 2.1, 2.1) == pytest.approx(4.2 - 2.1)
