"""What must hold for wind."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.rig import wind

MASSES = st.floats(1.0, 60.0)
ARMS = st.floats(0.1, 1.0)
HEIGHTS = st.floats(0.5, 4.0)
AREAS = st.floats(0.05, 8.0)
DRAGS = st.floats(0.5, 2.5)


@given(MASSES, ARMS, HEIGHTS, AREAS, DRAGS)
def test_at_the_tipping_wind_no_ballast_is_needed_and_beyond_it_some_is(mass, arm, height, area, drag):
    tips_at = wind.tipping_wind_m_per_s(mass, arm, height, area, drag)
    at = wind.wind_force_n(area, tips_at, drag)
    beyond = wind.wind_force_n(area, tips_at * 1.05, drag)
    assert wind.ballast_kg(at, height, arm, mass, 1.0) == pytest.approx(0.0, abs=1e-6)
    assert wind.ballast_kg(beyond, height, arm, mass, 1.0) > 0


@given(MASSES, ARMS, HEIGHTS, AREAS, DRAGS)
def test_the_ballast_raises_the_tipping_wind_to_the_wind_there_is(mass, arm, height, area, drag):
    blows = 12.0
    added = wind.ballast_kg(wind.wind_force_n(area, blows, drag), height, arm, mass, 1.0)
    assert wind.tipping_wind_m_per_s(mass + added, arm, height, area, drag) >= blows * (1 - 1e-9)


@given(MASSES, AREAS, DRAGS)
def test_at_the_sliding_wind_the_feet_just_hold(mass, area, drag):
    slides_at = wind.sliding_wind_m_per_s(mass, area, drag)
    assert wind.wind_force_n(area, slides_at, drag) == pytest.approx(wind.friction_hold_n(mass), rel=1e-9)


@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0))
def test_more_wind_never_has_a_lower_number(one, other):
    low, high = sorted((one, other))
    assert 0 <= wind.beaufort(low) <= wind.beaufort(high) <= 12


def test_a_wind_between_two_printed_tenths_goes_to_the_nearer():
    assert (wind.beaufort(5.44), wind.beaufort(5.46)) == (3, 4)


def test_a_rig_that_slides_first():
    margin = wind.wind_margin(5.0, 0.81, 1.17, height_m=0.5, arm_m=0.275, mass_kg=8.0)
    assert margin.gives_way_by == "sliding"
    assert margin.margin_m_per_s == pytest.approx(margin.slides_at_m_per_s - 5.0)


def test_a_rig_that_tips_first():
    margin = wind.wind_margin(5.4, 0.81, 1.17, height_m=2.2, arm_m=0.275, mass_kg=8.0, gust_factor=1.0)
    assert margin.gives_way_by == "tipping"
    assert margin.force_n == pytest.approx(16.93, abs=0.01)
    assert margin.tips_at_m_per_s == pytest.approx(4.11, abs=0.01)
    assert margin.ratio == pytest.approx((4.11 / 5.4) ** 2, rel=0.01)
    assert margin.ballast_kg == pytest.approx(12.71, abs=0.01)


def test_gusts_tip_at_a_lower_mean_wind():
    steady = wind.wind_margin(3.0, 0.81, 1.17, 2.2, 0.275, 8.0, gust_factor=1.0)
    gusty = wind.wind_margin(3.0, 0.81, 1.17, 2.2, 0.275, 8.0, gust_factor=1.4)
    assert gusty.tips_at_m_per_s == pytest.approx(steady.tips_at_m_per_s / 1.4)


def test_in_still_air_nothing_overturns():
    assert wind.wind_margin(0.0, 0.81, 1.17, 2.2, 0.275, 8.0).ratio == math.inf


def test_a_breath_of_wind_overturns_a_little():
    # 0.5 m/s on 0.81 m² push with 0.145 N: 8 kg on an arm of 0.275 m hold 68 times its moment at 2.2 m.
    margin = wind.wind_margin(0.5, 0.81, 1.17, 2.2, 0.275, 8.0, gust_factor=1.0)
    assert margin.ratio == pytest.approx(67.6, abs=0.1)


def test_a_column_of_winds_gives_a_column_of_forces():
    forces = wind.wind_force_n(0.81, np.array([0.0, 5.4, 7.9]), 1.17)
    np.testing.assert_allclose(forces, [0.0, 16.93, 36.23], atol=0.01)


def test_what_the_handbook_does_not_draw_goes_by_what_is_like_it():
    # Policy: an umbrella is a bowl, a strip a long plate, a softbox something between a plate and a bowl.
    drag = {shape: row.coefficient for shape, row in wind.DRAG.items()}
    assert drag["umbrella"] == drag["open hemisphere"]
    assert drag["strip or flag"] == drag["long plate"]
    assert drag["square plate"] < drag["softbox"] < drag["open hemisphere"]


@pytest.mark.parametrize("shape", sorted(wind.DRAG))
def test_every_drag_coefficient_has_its_source(shape):
    assert wind.DRAG[shape].source
    assert 1.0 < wind.DRAG[shape].coefficient < 2.5
