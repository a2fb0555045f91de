"""Headroom against ISO 12232 and an imaging library's values."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest

from recipes.light.headroom import (
    HEADROOM_OVER_WHITE_STOPS,
    LENS_FACTOR,
    MID_TONE_UNDER_CLIP_STOPS,
    clip_placement_incident_stops,
    clip_placement_spot_stops,
    clip_reflectance,
    dynamic_range_stops,
    exposure_index,
    focal_plane_exposure_lxs,
    fraction_of_saturation,
    lens_factor,
)
from recipes.light.tone import lightness, share_of_srgb_code, srgb_code, stops_from_white


def test_lens_factor():
    # ISO 12232, T 0.9, f_v 0.98, 10 degrees: colour-hdri q_factor.
    assert lens_factor(0.9, 0.98, 10.0) == pytest.approx(0.651574834, abs=1e-9)
    assert lens_factor(0.9, 0.98, 10.0) == LENS_FACTOR


def test_exposure_on_the_sensor_and_its_index():
    # ISO 12232: colour-hdri, L 4000, f/8, 1/250.
    exposure = focal_plane_exposure_lxs(4000.0, 8.0, 1 / 250)
    assert exposure == pytest.approx(0.1628937, abs=1e-6)
    assert exposure_index(exposure) == pytest.approx(61.3897, abs=1e-4)


def test_fraction_of_saturation():
    # colour-hdri saturation_based_speed_focal_plane_exposure: L 4000, f/8, 1/250, ISO 400, flare 0.0015.
    exposure = focal_plane_exposure_lxs(4000.0, 8.0, 1 / 250, flare_lxs=0.0015)
    assert fraction_of_saturation(exposure, 400.0) == pytest.approx(0.843045, abs=1e-6)


def test_half_a_stop_above_white():
    # ISO 12232: clip at 141.4 % reflectance, 41 % above a white of 100 %.
    assert abs(2**HEADROOM_OVER_WHITE_STOPS - 1.414) < 0.001


def test_mid_tone_under_saturation():
    # ISO 12232: 10 against 78 lx s.
    assert abs(MID_TONE_UNDER_CLIP_STOPS - 2.963) < 0.001
    assert fraction_of_saturation(10 / 100, 100.0) == pytest.approx(0.1282, abs=1e-4)


# ISO 2720 (C) and ISO 12232 (78, q) together.
@pytest.mark.parametrize(
    ("c_lxs", "reflectance", "over_white"),
    [(250, 1.504, 0.589), (330, 1.140, 0.189), (340, 1.106, 0.146), (355, 1.059, 0.083)],
)
def test_clip_after_an_incident_reading(c_lxs, reflectance, over_white):
    assert clip_reflectance(float(c_lxs)) == pytest.approx(reflectance, abs=0.001)
    assert clip_placement_incident_stops(1.0, c_lxs) == pytest.approx(over_white, abs=0.001)


@pytest.mark.parametrize(("k", "stops", "grey_card_clips_at"), [(12.5, 3.260, 1.72), (14, 3.096, 1.54)])
def test_clip_after_a_spot_reading(k, stops, grey_card_clips_at):
    assert clip_placement_spot_stops(float(k)) == pytest.approx(stops, abs=0.001)
    assert 0.18 * 2 ** clip_placement_spot_stops(float(k)) == pytest.approx(grey_card_clips_at, abs=0.005)


def test_grey_card_on_a_screen():
    # CIE 15 (L*), IEC 61966-2-1 (sRGB): 18 % of white.
    assert stops_from_white(0.18) == pytest.approx(-2.474, abs=0.001)
    assert lightness(0.18) == pytest.approx(49.50, abs=0.005)
    assert srgb_code(0.18) == pytest.approx(117.65, abs=0.01)


def test_grey_card_when_white_lies_half_a_stop_under_clipping():
    # ISO 12232 logic: 0.18 / sqrt 2.
    assert srgb_code(0.18 / math.sqrt(2)) == pytest.approx(99.95, abs=0.01)
    assert stops_from_white(0.18 / math.sqrt(2)) == pytest.approx(-2.973, abs=0.002)


def test_standard_output_level():
    # 117.6 of 255 is 17.97 % linear (IEC 61966-2-1).
    assert 100 * share_of_srgb_code(0.461 * 255) == pytest.approx(17.97, abs=0.1)


def test_reflectance_ladder_from_a_grey_card():
    # log2 arithmetic.
    ladder = np.array([0.127, 0.14, 0.157, 0.50, 0.90, 1.00, 1.41])
    expected = [-0.503, -0.363, -0.197, 1.474, 2.322, 2.474, 2.970]
    np.testing.assert_allclose(stops_from_white(ladder) - stops_from_white(0.18), expected, atol=0.001)


def test_engineering_dynamic_range():
    # log2 of full well over read noise.
    assert dynamic_range_stops(50_000.0, 3.0) == pytest.approx(14.02, abs=0.01)


def test_near_black_lightness_is_a_straight_line():
    # CIE 15: L* = 903.3 Y below 0.008856; 0.9033 at a thousandth, and the two branches meet.
    assert lightness(0.001) == pytest.approx(0.9033, abs=1e-4)
    assert lightness(0.008857) - lightness(0.008855) == pytest.approx(2e-6 * 903.3, rel=0.01)


@pytest.mark.parametrize(("linear", "code"), [(0.002, 6.5892), (0.0031308, 10.3149), (0.0033, 10.8543)])
def test_near_black_code_values_are_a_straight_line(linear, code):
    # IEC 61966-2-1: 12.92 times the linear value up to 0.0031308, a power above it.
    assert srgb_code(linear) == pytest.approx(code, abs=2e-3)
    assert share_of_srgb_code(code) == pytest.approx(linear, rel=5e-4)


def test_just_above_the_bend_lightness_goes_by_the_cube_root():
    # CIE 15, L* = 116 (Y/Yn)^(1/3) - 16 from (6/29)^3 = 0.008856 up; 903.3 Y/Yn would give 10.84 here.
    assert lightness(0.012) == pytest.approx(116 * 0.012 ** (1 / 3) - 16, abs=1e-9)
    assert lightness(0.012) == pytest.approx(10.557, abs=1e-3)


def test_tones_from_black_to_white_are_the_colour_library_s():
    # colour-science 0.4.7: lightness of CIE 1976, transfer functions of sRGB; thickest where the branches meet.
    with warnings.catch_warnings():
        # It warns of a plotting library that nothing here needs.
        warnings.simplefilter("ignore")
        import colour
    shares = np.concatenate([np.linspace(0.0, 0.012, 500), np.linspace(0.0, 1.0, 300)])
    np.testing.assert_allclose(
        lightness(shares), colour.colorimetry.lightness_CIE1976(100 * shares), rtol=1e-9, atol=1e-12
    )
    np.testing.assert_allclose(
        srgb_code(shares) / 255, colour.models.eotf_inverse_sRGB(shares), rtol=1e-12, atol=1e-15
    )
    codes = np.concatenate([np.linspace(0.0, 12.0, 500), np.linspace(0.0, 255.0, 300)])
    # The thresholds of the two directions differ in the eighth digit.
    np.testing.assert_allclose(share_of_srgb_code(codes), colour.models.eotf_sRGB(codes / 255), atol=3e-9)
