"""What must hold for motion blur."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import blur
from recipes.light.pulse import FlashDuration

SPEEDS = st.floats(0.01, 30.0)
TIMES = st.floats(1e-5, 1.0)
RATIOS = st.floats(1e-4, 2.0)
ANGLES = st.floats(1.0, 179.0)


@given(SPEEDS, RATIOS, ANGLES, st.floats(1e-3, 1.0))
def test_the_longest_time_blurs_exactly_as_much_as_allowed(speed, ratio, angle_deg, allowed_mm):
    longest = blur.longest_time_s(allowed_mm, speed, ratio, angle_deg)
    assert blur.blur_mm(speed, longest, ratio, angle_deg) == pytest.approx(allowed_mm, rel=1e-9)


@given(SPEEDS, TIMES, RATIOS, ANGLES)
def test_coming_and_going_blur_alike(speed, time_s, ratio, angle_deg):
    coming = blur.blur_mm(speed, time_s, ratio, angle_deg)
    assert blur.blur_mm(speed, time_s, ratio, 180.0 - angle_deg) == pytest.approx(coming, rel=1e-9)


@given(SPEEDS, TIMES, RATIOS)
def test_twice_the_time_smears_twice_as_far(speed, time_s, ratio):
    once = blur.blur_mm(speed, time_s, ratio)
    assert blur.blur_mm(speed, 2 * time_s, ratio) == pytest.approx(2 * once, rel=1e-12)


@pytest.mark.parametrize(("speed", "angle_deg"), [(0.0, 90.0), (3.0, 0.0), (3.0, 180.0)])
def test_what_does_not_cross_the_picture_may_take_for_ever(speed, angle_deg):
    assert blur.longest_time_s(0.03, speed, 0.05, angle_deg) == math.inf


def test_a_column_of_speeds_gives_a_column_of_times():
    longest = blur.longest_time_s(0.03, np.array([0.0, 1.0, 2.0]), 0.05)
    np.testing.assert_allclose(longest, [np.inf, 6e-4, 3e-4])


def test_a_short_flash_freezes():
    margin = blur.freeze_margin(FlashDuration(1 / 2000, "t0.1"), 1 / 1000)
    assert margin.freezes
    assert margin.margin_stops == pytest.approx(1.0)
    assert margin.worst_margin_stops == margin.margin_stops


@pytest.mark.parametrize(("over", "freezes"), [(1.0, True), (1.0005, False)])
def test_a_flash_exactly_as_long_as_allowed_freezes_and_one_a_hair_longer_does_not(over, freezes):
    assert blur.freeze_margin(FlashDuration(over / 1000, "t0.1"), 1 / 1000).freezes is freezes


def test_a_flash_known_by_t05_only_must_freeze_at_the_long_end_of_its_band():
    margin = blur.freeze_margin(FlashDuration(1 / 3200, "t0.5"), 1 / 1000)
    assert margin.estimated
    assert margin.margin_stops > 0 > margin.worst_margin_stops
    assert not margin.freezes


def test_a_still_subject_is_frozen_by_any_flash():
    assert blur.freeze_margin(FlashDuration(1.0, "t0.1"), math.inf).freezes


@pytest.mark.parametrize("longest_s", [0.0, -1.0, math.nan])
def test_a_longest_time_that_cannot_be_is_refused(longest_s):
    with pytest.raises(ValueError, match="longest_s is"):
        blur.freeze_margin(FlashDuration(0.001, "t0.1"), longest_s)


@given(st.floats(-20.0, 20.0))
def test_ambient_and_flash_share_the_exposure(stops):
    assert blur.ambient_share(stops) + blur.ambient_share(-stops) == pytest.approx(1.0)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("under_stops", [60.0, 1200.0, 5000.0])
def test_hardly_any_ambient_leaves_a_finite_number_of_stops_and_no_warning(under_stops):
    mixed = blur.mixed_blur(1.0, 1 / 1000, 1 / 100, 0.05, -under_stops)
    assert mixed.picture_over_smear_stops == pytest.approx(under_stops)
    assert mixed.weighted_mm == pytest.approx(mixed.flash_mm)


def test_even_ambient_and_flash_make_half_a_smear():
    mixed = blur.mixed_blur(1.0, 1 / 1000, 1 / 100, 0.05, 0.0)
    assert mixed.ambient_share == pytest.approx(0.5)
    assert mixed.weighted_mm == pytest.approx((mixed.flash_mm + mixed.ambient_mm) / 2)
    assert mixed.picture_over_smear_stops == pytest.approx(1.0)


def test_a_movement_of_which_nothing_else_is_said_goes_across_the_picture():
    # 1 m/s for 1 ms is 1 mm there, 0.05 mm on the sensor; ten times as much in ten times the time.
    mixed = blur.mixed_blur(1.0, 1 / 1000, 1 / 100, 0.05, 0.0)
    assert [mixed.flash_mm, mixed.ambient_mm] == pytest.approx([0.05, 0.5])


@given(st.floats(-10.0, 9.0))
def test_more_ambient_light_smears_more(stops):
    less = blur.mixed_blur(1.0, 1 / 1000, 1 / 100, 0.05, stops)
    more = blur.mixed_blur(1.0, 1 / 1000, 1 / 100, 0.05, stops + 1.0)
    assert more.weighted_mm > less.weighted_mm
    assert more.picture_over_smear_stops < less.picture_over_smear_stops


@pytest.mark.parametrize("angle_deg", [-1.0, 181.0])
def test_an_angle_that_no_movement_has_is_refused(angle_deg):
    with pytest.raises(ValueError, match="angle_to_axis_deg is"):
        blur.blur_mm(1.0, 0.01, 0.05, angle_deg)
