"""What must hold for heights and lamps."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.rig import ceiling, heat


def test_a_beam_counts_before_the_ceiling():
    margin = ceiling.ceiling_margin(2.2, 0.45, ceiling_m=3.2, beam_m=2.6, clearance_m=0.1)
    assert (margin.limited_by, margin.top_m) == ("beam", pytest.approx(2.65))
    assert margin.margin_m == pytest.approx(-0.15)


@pytest.mark.parametrize("beam_m", [None, 3.2, 3.4])
def test_without_a_lower_beam_the_ceiling_counts(beam_m):
    margin = ceiling.ceiling_margin(2.2, 0.45, ceiling_m=3.2, beam_m=beam_m)
    assert (margin.limited_by, margin.margin_m) == ("ceiling", pytest.approx(0.55))


@given(st.floats(2.0, 5.0), st.floats(0.0, 1.0), st.floats(0.0, 0.5))
def test_the_highest_head_just_touches(ceiling_m, above_m, clearance_m):
    highest = ceiling.highest_head_m(ceiling_m, above_m, clearance_m)
    margin = ceiling.ceiling_margin(highest, above_m, ceiling_m, clearance_m=clearance_m)
    assert margin.margin_m == pytest.approx(0.0, abs=1e-9)


def test_where_no_air_is_asked_for_a_head_may_touch():
    assert ceiling.highest_head_m(3.0, 0.5) == pytest.approx(2.5)


def test_a_low_ceiling_leaves_no_height_at_all():
    assert ceiling.highest_head_m(0.5, 0.6) == 0.0


def test_a_level_softbox_stands_half_its_height_over_the_head():
    assert ceiling.modifier_above_head_m(0.9) == pytest.approx(0.45)
    assert ceiling.modifier_below_head_m(0.9) == pytest.approx(0.45)


@pytest.mark.parametrize("tilt_deg", [-60.0, 60.0])
def test_a_face_at_the_head_itself_only_turns(tilt_deg):
    assert ceiling.modifier_above_head_m(0.9, tilt_deg=tilt_deg) == pytest.approx(0.225)
    assert ceiling.modifier_below_head_m(0.9, tilt_deg=tilt_deg) == pytest.approx(0.225)


def test_tilting_down_lowers_the_top_and_the_bottom():
    assert ceiling.modifier_above_head_m(0.9, 0.4, 30.0) == pytest.approx(0.1897, abs=1e-4)
    assert ceiling.modifier_below_head_m(0.9, 0.4, 30.0) == pytest.approx(0.5897, abs=1e-4)


def test_a_softbox_facing_the_floor_stands_no_higher_than_its_head():
    assert ceiling.modifier_above_head_m(0.9, 0.4, 80.0) == 0.0


@given(st.floats(0.0, 3.0), st.floats(0.0, 1.0), st.floats(-90.0, 90.0))
def test_tilting_up_is_tilting_down_upside_down(height_m, depth_m, tilt_deg):
    up = ceiling.modifier_above_head_m(height_m, depth_m, -tilt_deg)
    assert ceiling.modifier_below_head_m(height_m, depth_m, tilt_deg) == pytest.approx(up)


@pytest.mark.parametrize(
    ("wanted_m", "margin_m", "nearest_m"),
    [(2.0, 0.6, 2.0), (2.8, -0.2, 2.6), (0.5, -0.4, 0.9), (0.9, 0.0, 0.9), (2.6005, -0.0005, 2.6)],
)
def test_a_stand_reaches_from_its_lowest_to_its_highest(wanted_m, margin_m, nearest_m):
    reach = ceiling.stand_reach(wanted_m, 0.9, 2.6)
    assert reach.wanted_m == wanted_m
    assert reach.margin_m == pytest.approx(margin_m)
    assert reach.nearest_m == pytest.approx(nearest_m)
    assert reach.reaches is (margin_m >= 0)


def test_a_stand_of_one_height_reaches_it():
    assert ceiling.stand_reach(0.9, 0.9, 0.9).reaches


@pytest.mark.parametrize("tilt_deg", [-91.0, 91.0])
def test_a_head_does_not_tilt_past_straight_up_or_down(tilt_deg):
    with pytest.raises(ValueError, match="tilt_deg is"):
        ceiling.modifier_above_head_m(0.9, 0.4, tilt_deg)


def test_a_stand_that_ends_below_where_it_begins_is_refused():
    with pytest.raises(ValueError, match="swap them"):
        ceiling.stand_reach(2.0, 2.6, 0.9)


def test_two_lamps_in_one_softbox_count_together():
    margin = heat.lamp_margin(250.0, 400.0, heads=2)
    assert (margin.lamp_w, margin.margin_w) == (500.0, -100.0)


@given(st.floats(1.0, 1000.0), st.floats(1.0, 1000.0), st.integers(1, 8))
def test_the_allowed_share_keeps_the_limit(lamp_w, limit_w, heads):
    allowed = heat.lamp_share_allowed(lamp_w, limit_w, float(heads))
    assert heat.lamp_margin(lamp_w, limit_w, heads, allowed).margin_w >= -1e-9 * limit_w


def test_a_head_without_lamp_may_burn_fully():
    assert heat.lamp_share_allowed(0.0, 100.0) == 1.0


def test_a_small_lamp_too_strong_for_its_modifier_burns_at_its_share():
    assert heat.lamp_share_allowed(0.8, 0.4) == pytest.approx(0.5)


def test_lamps_are_in_a_head():
    with pytest.raises(ValueError, match="heads is 0; give a whole number, 1 or more"):
        heat.lamp_margin(250.0, 400.0, heads=0)
