"""Facts about placement, adding lights and lifts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light.apex import Exposure, MeterProfile
from recipes.light.placement import (
    add_stops,
    ambient_share,
    incident_placement,
    key_and_fill_ratio,
    lift_stops,
    light_for_lift,
    luminance_placement,
)

METER = MeterProfile()
EXPOSURE = Exposure(5.6, 1 / 128, 200)
light = st.floats(1e-3, 1e6)


@given(light, light)
def test_twice_all_light_is_one_stop(lux, lxs):
    once, twice = (incident_placement(n * lux, n * lxs, EXPOSURE, METER) for n in (1, 2))
    assert twice - once == pytest.approx(1.0, abs=1e-9)


@given(light, light, st.floats(0, 10))
def test_a_filter_dims_ambient_and_flash_alike(lux, lxs, nd):
    dimmed = Exposure(5.6, 1 / 128, 200, nd)
    without = incident_placement(lux, lxs, EXPOSURE, METER)
    assert incident_placement(lux, lxs, dimmed, METER) == pytest.approx(without - nd, abs=1e-9)


@given(light)
def test_the_shutter_moves_ambient_and_leaves_flash(amount):
    longer = Exposure(5.6, 1 / 64, 200)
    assert incident_placement(amount, 0, longer, METER) == pytest.approx(
        incident_placement(amount, 0, EXPOSURE, METER) + 1, abs=1e-9
    )
    assert incident_placement(0, amount, longer, METER) == incident_placement(0, amount, EXPOSURE, METER)


def test_a_luminance_zone_goes_by_the_other_constant():
    ratio = incident_placement(100, 0, EXPOSURE, METER) - luminance_placement(100, 0, EXPOSURE, METER)
    assert ratio == pytest.approx(np.log2(12.5 / 250), abs=1e-9)


def test_the_dark_has_no_placement_and_no_share():
    assert incident_placement(0, 0, EXPOSURE, METER) == -np.inf
    assert np.isnan(ambient_share(0, 0, 0.01))


def test_zones_go_through_as_an_array():
    placements = incident_placement(np.array([100.0, 200.0]), np.zeros(2), EXPOSURE, METER)
    np.testing.assert_allclose(np.diff(placements), [1.0])


@given(st.floats(0.01, 1), light, light)
def test_shares_of_ambient_and_flash_make_the_whole(time_s, lux, lxs):
    flash_share = lxs / (lux * time_s + lxs)
    assert ambient_share(lux, lxs, time_s) + flash_share == pytest.approx(1.0)


@given(st.lists(st.floats(-20, 20), min_size=1, max_size=8))
def test_the_order_of_lights_does_not_matter(stops):
    assert add_stops(stops) == pytest.approx(add_stops(stops[::-1]), abs=1e-9)


def test_a_light_that_is_off_adds_nothing():
    assert add_stops([1.5, -np.inf]) == pytest.approx(1.5)


def test_stops_that_are_no_number_are_refused():
    with pytest.raises(ValueError, match="not a number"):
        add_stops([1.0, float("nan")])


@given(st.floats(-10, 10))
def test_a_lift_comes_back(over):
    assert light_for_lift(lift_stops(over)) == pytest.approx(over, abs=1e-6)


def test_added_light_never_darkens():
    with pytest.raises(ValueError, match="added light only lifts"):
        light_for_lift(0.0)


def test_equal_key_and_fill_make_two_to_one():
    assert key_and_fill_ratio(0.0) == 2.0


def test_lights_are_added_along_the_axis_that_is_named():
    # Two equal lights are a stop more, each zone by itself.
    np.testing.assert_allclose(add_stops(np.array([[0.0, 0.0], [-2.0, -2.0]]), axis=-1), [1.0, -1.0])


def test_one_lift_that_is_none_spoils_the_column():
    with pytest.raises(ValueError, match="lift"):
        light_for_lift(np.array([1.0, 0.0]))


@pytest.mark.parametrize(
    ("act", "names"),
    [
        (incident_placement, ("ambient_lux", "flash_lxs")),
        (luminance_placement, ("ambient_cd_m2", "flash_cds_m2")),
    ],
)
def test_light_below_nothing_has_no_placement(act, names):
    for place, name in enumerate(names):
        light = [10.0, 10.0]
        light[place] = -1.0
        with pytest.raises(ValueError, match=f"{name} is -1"):
            act(*light, Exposure(8.0, 1 / 125, 100), MeterProfile())
