"""Stands and booms against statics, with standard gravity 9.80665 m/s^2 (CGPM 1901)."""

from __future__ import annotations

import pytest

from recipes.rig import boom, stand

EXACT = 1e-9
FEET = stand.Feet(0.55)
OWN = stand.Mass(6.0)
OVER_A_LEG = stand.Mass(4.0, 0.8, 0.0)
BETWEEN_LEGS = stand.Mass(4.0, 0.8, 60.0)


def test_moment_of_a_level_boom():
    # 3 kg at 1.4 m; a uniform boom of 2 kg and 2.1 m with 0.7 m behind the pivot.
    assert boom.boom_moment_nm(3.0, 1.40, 2.0, 2.10, 0.70, 0.0) == pytest.approx(48.05, abs=0.01)


def test_counterweight_of_that_boom():
    level = boom.level_moment_kg_m(3.0, 1.40, 2.0, 2.10, 0.70)
    assert boom.counterweight_kg(level, 0.70) == pytest.approx(7.00, rel=EXACT)


@pytest.mark.parametrize(("raised_deg", "moment_nm"), [(30, 41.61), (45, 33.98), (60, 24.03)])
def test_moment_of_the_raised_boom(raised_deg, moment_nm):
    moment = boom.boom_moment_nm(3.0, 1.40, 2.0, 2.10, 0.70, raised_deg)
    assert moment == pytest.approx(moment_nm, abs=0.01)


@pytest.mark.parametrize("raised_deg", [0, 30, 45, 60])
def test_the_counterweight_balances_at_every_angle(raised_deg):
    level = boom.level_moment_kg_m(3.0, 1.40, 2.0, 2.10, 0.70)
    assert boom.unbalanced_nm(level, 7.0, 0.70, raised_deg) == pytest.approx(0.0, abs=EXACT)


def test_the_tipping_arm_of_three_legs_is_half_the_foot_radius():
    # Geometry of the equilateral triangle: r cos 60 degrees; the nearest edge rules.
    assert stand.tipping_arm_m(0.55) == pytest.approx(0.275, rel=EXACT)


def test_a_load_over_a_leg_is_held_three_times_over():
    edge = stand.weakest_edge(FEET, [OWN, OVER_A_LEG])
    assert edge.restoring_kg_m == pytest.approx(1.65, rel=EXACT)
    assert edge.overturning_kg_m == pytest.approx(0.50, rel=EXACT)
    assert edge.ratio == pytest.approx(3.3, rel=EXACT)


def test_the_same_load_between_two_legs_tips_the_stand():
    edge = stand.weakest_edge(FEET, [OWN, BETWEEN_LEGS])
    assert edge.restoring_kg_m == pytest.approx(1.65, rel=EXACT)
    assert edge.overturning_kg_m == pytest.approx(2.10, rel=EXACT)
    assert edge.ratio == pytest.approx(0.786, abs=0.0005)
    assert edge.tips


def test_the_sandbag_at_the_column_for_a_ratio_of_1_5():
    assert stand.sandbag_kg(FEET, [OWN, BETWEEN_LEGS], 1.5) == pytest.approx(5.45, abs=0.01)


def test_the_sandbag_on_the_opposite_leg():
    needed = stand.sandbag_kg(FEET, [OWN, BETWEEN_LEGS], 1.5, 0.40, 240.0)
    assert needed == pytest.approx(2.22, abs=0.01)


def test_a_bag_that_rests_on_the_ground_holds_nothing():
    # A set-safety article's rule.
    assert stand.bag_that_counts_kg(10.0, clear_of_the_ground=False) == 0.0


def test_the_push_that_tips_a_stand_at_its_top():
    # m g arm / h.
    assert stand.push_that_tips_n(9.0, 0.275, 2.5) == pytest.approx(9.71, abs=0.01)


def test_the_ratio_this_house_asks_for():
    # Policy: an overturning factor of 1.5 is quoted in secondary texts only.
    assert stand.USUAL_TIPPING_RATIO == 1.5
