"""Headroom and tone: what must hold for any reading."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.headroom import (
    LENS_FACTOR,
    clip_placement_incident_stops,
    clip_placement_spot_stops,
    clip_reflectance,
    focal_plane_exposure_lxs,
    fraction_of_saturation,
    lens_factor,
    stops_to_clip,
)
from recipes.light.tone import lightness, share_of_srgb_code, srgb_code, stops_from_white

shares = st.floats(0.001, 1)
constants = st.floats(240, 540)


@settings(deadline=None)
@given(
    st.floats(10, 10_000), st.floats(1, 32), st.floats(1e-4, 10), st.floats(50, 6400), st.floats(10.6, 13.4)
)
def test_a_metered_luminance_clips_where_the_placement_says(luminance, n, t, iso, k):
    """Place a luminance by N^2/t = L S/K, then ask the sensor: both ways give the same stops to clipping."""
    placement = np.log2(iso * luminance * t / (k * n**2))
    full = fraction_of_saturation(float(focal_plane_exposure_lxs(luminance, n, t)), iso)
    left = stops_to_clip(float(placement), float(clip_placement_spot_stops(k)))
    assert left == pytest.approx(-np.log2(full), abs=1e-9)


@settings(deadline=None)
@given(st.floats(10, 1e5), st.floats(1, 32), st.floats(1e-4, 10), st.floats(50, 6400), constants, shares)
def test_a_lit_surface_clips_where_the_placement_says(lux, n, t, iso, c, reflectance):
    placement = np.log2(iso * lux * t / (c * n**2))
    full = fraction_of_saturation(float(focal_plane_exposure_lxs(lux * reflectance / np.pi, n, t)), iso)
    left = stops_to_clip(float(placement), float(clip_placement_incident_stops(reflectance, c)))
    assert left == pytest.approx(-np.log2(full), abs=1e-9)


@settings(deadline=None)
@given(constants, constants)
def test_a_higher_constant_leaves_less_over_white(one, other):
    low, high = sorted((one, other))
    assert clip_reflectance(high) <= clip_reflectance(low)


def test_a_placement_above_the_clip_is_negative_headroom():
    assert stops_to_clip(4.0, 3.26) == pytest.approx(-0.74)


def test_a_stop_of_nd_gives_a_stop_of_headroom():
    bright, dimmed = (fraction_of_saturation(h, 100.0) for h in (0.4, 0.2))
    assert np.log2(bright / dimmed) == pytest.approx(1)


def test_a_darker_lens_leaves_more():
    assert clip_reflectance(250.0, q=float(lens_factor(transmittance=0.8))) > clip_reflectance(
        250.0, q=LENS_FACTOR
    )


@settings(deadline=None)
@given(st.floats(0, 1))
def test_the_code_of_a_tone_gives_the_tone_back(share):
    assert share_of_srgb_code(float(srgb_code(share))) == pytest.approx(share, abs=1e-6)


@settings(deadline=None)
@given(st.floats(0, 1), st.floats(0, 1))
def test_lighter_is_lighter_on_every_scale(one, other):
    dark, light = sorted((one, other))
    assert lightness(dark) <= lightness(light)
    assert srgb_code(dark) <= srgb_code(light)


def test_ends_of_the_scales():
    assert (lightness(0.0), lightness(1.0)) == (0, pytest.approx(100))
    assert (srgb_code(0.0), srgb_code(1.0)) == (0, pytest.approx(255))
    assert stops_from_white(1.0) == 0


def test_tones_above_white_have_stops_but_no_code():
    assert stops_from_white(1.414) == pytest.approx(0.5, abs=0.001)
    with pytest.raises(ValueError, match=r"share_of_white is 1\.414"):
        srgb_code(1.414)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(
            lambda: focal_plane_exposure_lxs(-1.0, 8.0, 0.01), "luminance_cd_m2 is -1", id="luminance"
        ),
        pytest.param(lambda: focal_plane_exposure_lxs(1.0, 0.0, 0.01), "f_number is 0", id="aperture"),
        pytest.param(lambda: fraction_of_saturation(0.1, 0.0), "iso is 0", id="speed"),
        pytest.param(lambda: clip_placement_incident_stops(0.0, 250.0), "reflectance is 0", id="black"),
        pytest.param(lambda: lens_factor(1.2), "transmittance is 1.2", id="lens"),
        pytest.param(lambda: share_of_srgb_code(256.0), "code is", id="code"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
