"""What must hold for stands."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.rig import stand, wind
from recipes.rig.stand import Feet, Mass, Push

FEET = st.builds(Feet, st.floats(0.2, 1.5), st.integers(3, 5), st.floats(0.0, 360.0))
MASSES = st.lists(
    st.builds(Mass, st.floats(0.1, 20.0), st.floats(0.0, 2.0), st.floats(0.0, 360.0)), min_size=1, max_size=4
)


@given(FEET, MASSES, st.floats(0.0, 360.0))
def test_turning_stand_and_load_together_changes_nothing(feet, masses, turn_deg):
    turned_feet = Feet(feet.foot_radius_m, feet.legs, feet.first_leg_deg + turn_deg)
    turned = [Mass(mass.mass_kg, mass.distance_m, mass.bearing_deg + turn_deg) for mass in masses]
    before = sorted(edge.margin_kg_m for edge in stand.tipping_edges(feet, masses))
    after = sorted(edge.margin_kg_m for edge in stand.tipping_edges(turned_feet, turned))
    assert after == pytest.approx(before, abs=1e-6)


@given(FEET, MASSES, st.floats(0.1, 10.0))
def test_masses_all_heavier_alike_keep_the_ratio(feet, masses, times):
    heavier = [Mass(mass.mass_kg * times, mass.distance_m, mass.bearing_deg) for mass in masses]
    before, after = stand.weakest_edge(feet, masses), stand.weakest_edge(feet, heavier)
    if before.overturning_kg_m > 1e-9:
        assert after.ratio == pytest.approx(before.ratio, rel=1e-6)


@given(FEET, MASSES)
def test_it_tips_exactly_when_the_common_centre_is_outside_the_feet(feet, masses):
    total = sum(mass.mass_kg for mass in masses)
    x = sum(m.mass_kg * m.distance_m * math.sin(math.radians(m.bearing_deg)) for m in masses) / total
    y = sum(m.mass_kg * m.distance_m * math.cos(math.radians(m.bearing_deg)) for m in masses) / total
    corners = [
        (feet.foot_radius_m * math.sin(angle), feet.foot_radius_m * math.cos(angle))
        for angle in (math.radians(feet.first_leg_deg + 360 / feet.legs * leg) for leg in range(feet.legs))
    ]
    # Clockwise polygon: inside is to the right of every side.
    sides = [
        (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)
        for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    if min(abs(side) for side in sides) > 1e-6:
        outside = max(sides) > 0
        assert any(edge.tips for edge in stand.tipping_edges(feet, masses)) == outside


@given(FEET, MASSES, st.floats(1.0, 3.0))
def test_the_sandbag_brings_the_weakest_side_exactly_to_the_ratio(feet, masses, ratio):
    bag = stand.sandbag_kg(feet, masses, ratio)
    with_bag = stand.weakest_edge(feet, [*masses, Mass(bag)])
    assert with_bag.ratio >= ratio * (1 - 1e-6)
    if bag > 1e-6:
        assert with_bag.ratio == pytest.approx(ratio, rel=1e-6)


def test_a_centred_load_overturns_nothing():
    edge = stand.weakest_edge(Feet(0.5), [Mass(8.0)])
    assert edge.ratio == math.inf
    assert not edge.tips


def test_a_bag_hung_outside_the_feet_is_refused():
    with pytest.raises(ValueError, match="hang it at the column or on a leg"):
        stand.sandbag_kg(Feet(0.55), [Mass(6.0), Mass(4.0, 0.8)], bag_distance_m=0.4, bag_bearing_deg=60.0)


def test_a_bag_hung_just_on_the_line_between_two_feet_is_refused():
    with pytest.raises(ValueError, match="on or beyond the line between two feet"):
        stand.sandbag_kg(
            Feet(0.5),
            [Mass(6.0)],
            bag_distance_m=stand.tipping_arm_m(0.5),
            bag_bearing_deg=Feet(0.5).edge_bearings_deg[0],
        )


def test_a_stand_falls_halfway_between_its_feet():
    assert sorted(Feet(0.5, 3, 30.0).edge_bearings_deg) == pytest.approx([90.0, 210.0, 330.0])


@pytest.mark.parametrize(("over_deg", "part"), [(70.0, 1.0), (10.0, 0.5), (160.0, 0.0), (250.0, 0.0)])
def test_a_push_turns_the_stand_over_a_line_with_the_part_that_points_there(over_deg, part):
    # 50 N at 2 m are 100 N m, 10.2 kg m; cos 60° of it over a line 60° aside, nothing across or backwards.
    assert Push(50.0, 2.0, 70.0).overturning_kg_m(over_deg) == pytest.approx(10.197 * part, abs=1e-3)


@given(st.floats(0.1, 2.0), st.integers(3, 8))
def test_more_legs_on_the_same_circle_stand_firmer(radius, legs):
    assert stand.tipping_arm_m(radius, legs) < stand.tipping_arm_m(radius, legs + 1) < radius


def test_two_legs_do_not_make_a_stand():
    with pytest.raises(ValueError, match="legs is 2; give a whole number, 3 or more"):
        stand.tipping_arm_m(0.5, 2)
    with pytest.raises(ValueError, match="legs is 2; give a whole number, 3 or more"):
        Feet(0.5, 2)


@pytest.mark.parametrize("mass_kg", [float("nan"), -1.0])
def test_one_thing_on_the_stand_whose_mass_cannot_be_is_refused(mass_kg):
    with pytest.raises(ValueError, match=f"masses_kg is {mass_kg:g}"):
        stand.load_margin([3.0, mass_kg], 5.0)


def test_a_push_on_the_floor_tips_nothing_and_is_refused():
    with pytest.raises(ValueError, match="height_m is 0"):
        stand.push_that_tips_n(10.0, 0.3, 0.0)


def test_a_push_from_under_the_floor_is_refused():
    with pytest.raises(ValueError, match="height_m is -1"):
        Push(10.0, -1.0)


def test_a_mass_hangs_out_by_the_part_that_points_there():
    # cos 60°, cos 0° and cos 120°.
    hangs = [Mass(4.0, 0.8, 30.0).towards_m(bearing) for bearing in (90.0, 30.0, 150.0)]
    assert hangs == pytest.approx([0.4, 0.8, -0.4])


def test_what_hangs_out_or_stands_without_a_stated_direction_does_so_at_bearing_0():
    assert Mass(4.0, 0.8).towards_m(0.0) == 0.8
    assert Feet(0.5).edge_bearings_deg == (60.0, 180.0, 300.0)
    assert stand.sandbag_kg(Feet(0.55), [Mass(4.0, 0.8)], bag_distance_m=0.2) == pytest.approx(
        stand.sandbag_kg(Feet(0.55), [Mass(4.0, 0.8)], 1.5, 0.2, 0.0)
    )


@given(st.floats(1.0, 50.0), st.floats(0.1, 1.0), st.floats(0.5, 4.0))
def test_a_higher_push_tips_more_easily(mass_kg, arm_m, height_m):
    low = stand.push_that_tips_n(mass_kg, arm_m, height_m)
    assert stand.push_that_tips_n(mass_kg, arm_m, 2 * height_m) == pytest.approx(low / 2)


def test_a_bag_that_hangs_clear_counts_whole():
    assert stand.bag_that_counts_kg(10.0, clear_of_the_ground=True) == 10.0


def test_everything_above_the_spigot_counts_against_the_rated_load():
    margin = stand.load_margin([3.0, 1.2, 0.4], 5.0)
    assert (margin.load_kg, margin.margin_kg) == (pytest.approx(4.6), pytest.approx(0.4))


@given(st.floats(2.0, 40.0), st.floats(0.2, 1.5), st.floats(0.5, 4.0))
def test_the_push_that_tips_is_where_the_moments_are_even(mass_kg, radius_m, height_m):
    push_n = stand.push_that_tips_n(mass_kg, stand.tipping_arm_m(radius_m), height_m)
    edge = stand.weakest_edge(Feet(radius_m), [Mass(mass_kg)], [Push(push_n, height_m)])
    assert edge.ratio == pytest.approx(1.0)


@given(st.floats(1.0, 200.0), st.floats(0.5, 4.0), st.floats(1.0, 2.0))
def test_wind_and_stand_ask_for_the_same_ballast(force_n, height_m, factor):
    bag = stand.sandbag_kg(Feet(0.55), [Mass(8.0)], factor, pushes=[Push(force_n, height_m)])
    assert bag == pytest.approx(wind.ballast_kg(force_n, height_m, 0.275, 8.0, factor))


@given(st.floats(1.0, 200.0), st.floats(0.0, 360.0))
def test_no_stated_direction_is_the_worst_direction(force_n, bearing_deg):
    masses = [Mass(6.0), Mass(3.0, 0.5, 20.0)]
    worst = stand.weakest_edge(Feet(0.55), masses, [Push(force_n, 2.0)])
    stated = stand.weakest_edge(Feet(0.55), masses, [Push(force_n, 2.0, bearing_deg)])
    assert worst.ratio <= stated.ratio + 1e-9


def test_a_push_from_the_other_side_does_not_hold_the_stand_up():
    falling = [Mass(6.0), Mass(4.0, 0.8, 60.0)]
    calm = stand.weakest_edge(Feet(0.55), falling)
    held = stand.weakest_edge(Feet(0.55), falling, [Push(50.0, 2.0, 240.0)])
    assert held.ratio <= calm.ratio


@pytest.mark.parametrize("arm_m", [0.0, -0.4])
def test_a_stand_without_a_foot_is_refused_and_not_pushed_over_by_nothing(arm_m):
    with pytest.raises(ValueError, match="arm_m"):
        stand.push_that_tips_n(10.0, arm_m, 2.0)
