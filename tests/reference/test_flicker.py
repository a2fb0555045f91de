"""Flicker against derivations confirmed by quadrature, and cautions against public guidance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from recipes.light.flicker import (
    bands_across_frame,
    flicker_free_times_s,
    mains_flicker_hz,
    peak_to_peak_stops,
    pulse_width_range_stops,
    sine_range_stops,
    sine_residual,
)
from recipes.light.photosensitivity import (
    flash_caution,
    is_general_flash,
    is_red_flash,
    risk_group_caution,
    screen_flashing_allowed,
)


def test_mains_light_pulses_twice_a_period():
    # Textbook; published oscilloscope measurements.
    assert (mains_flicker_hz(50.0), mains_flicker_hz(60.0)) == (100, 120)


def test_times_without_flicker_are_whole_periods():
    # A photo-spectroscopy article: at 1/100 s under 50 Hz no difference between frames.
    assert flicker_free_times_s(100, longest_s=1 / 25) == pytest.approx((1 / 100, 1 / 50, 3 / 100, 1 / 25))
    assert flicker_free_times_s(120, longest_s=1 / 30) == pytest.approx((1 / 120, 1 / 60, 1 / 40, 1 / 30))


def test_half_a_period_differs_by_almost_a_stop_for_a_lamp_that_keeps_some_glow():
    # Same article: at 1/200 s successive frames differ by almost 1 EV; a modulation near a half gives that.
    assert 0.8 < sine_range_stops(100.0, 1 / 200, 0.5) < 1.0


# Derivation m |sinc(fT)|, confirmed by quadrature below.
@pytest.mark.parametrize(
    ("flicker_hz", "shutter_s", "residual", "stops"),
    [
        (100, 1 / 60, 0.16540, 0.482),
        (100, 1 / 125, 0.23387, 0.688),
        (100, 1 / 250, 0.75683, 2.853),
        (120, 1 / 50, 0.12614, 0.366),
        (120, 1 / 100, 0.15591, 0.454),
    ],
)
def test_residual_of_a_full_sine(flicker_hz, shutter_s, residual, stops):
    assert sine_residual(float(flicker_hz), shutter_s) == pytest.approx(residual, abs=1e-4)
    assert peak_to_peak_stops(residual) == pytest.approx(stops, abs=0.001)


@pytest.mark.parametrize(("shutter_s", "stops"), [(1 / 60, 0.143), (1 / 125, 0.203), (1 / 250, 0.667)])
def test_a_lamp_that_pulses_by_a_third(shutter_s, stops):
    assert sine_range_stops(100.0, shutter_s, 0.3) == pytest.approx(stops, abs=0.001)


@pytest.mark.parametrize(("flicker_hz", "shutter_s"), [(100, 1 / 50), (100, 1 / 100), (120, 1 / 60)])
def test_no_residual_at_whole_periods(flicker_hz, shutter_s):
    assert sine_residual(float(flicker_hz), shutter_s) == pytest.approx(0, abs=1e-9)


def test_a_marked_sixtieth_may_be_a_sixty_fourth():
    # ISO 516 markings: 1/60 stands for 1/64 on a camera that counts in exact stops; fT 1.875.
    assert sine_residual(120.0, 1 / 64) == pytest.approx(0.065, abs=0.001)
    assert sine_range_stops(120.0, 1 / 64) == pytest.approx(0.19, abs=0.005)


# Derivation: extremes of the on-time in floor and remainder of f T.
@pytest.mark.parametrize(
    ("flicker_hz", "shutter_s", "duty", "stops"),
    [
        (1000, 1 / 320, 0.5, 0.1155),
        (25_000, 1 / 8000, 0.1, 0.415),
        (500, 1 / 160, 0.25, 0.222),
        (240, 1 / 200, 0.5, 0.485),
        (2000, 1 / 3000, 0.5, 1.585),
    ],
)
def test_pulse_width_range(flicker_hz, shutter_s, duty, stops):
    # 0.1155 is 0.11548; 240 Hz at 1/200 gives log2(0.7 / 0.5).
    assert pulse_width_range_stops(float(flicker_hz), shutter_s, duty) == pytest.approx(stops, abs=0.001)


def test_sine_residual_by_quadrature():
    """The brightest start by brute force: integrate 1 + m sin over the shutter from many starts."""
    f, t, m = 100.0, 1 / 60, 0.7
    means = [
        quad(lambda x: 1 + m * math.sin(2 * math.pi * f * x), s, s + t)[0] / t
        for s in np.linspace(0, 1 / f, 721)
    ]
    assert (max(means) - min(means)) / 2 == pytest.approx(sine_residual(f, t, m), abs=1e-5)


def test_pulse_width_range_by_brute_force():
    """On-time from many starts, counted on a fine grid; a lamp that keeps 20 % when off."""
    f, duty, off = 240.0, 0.35, 0.2
    shutter_s = 1 / 130
    clock = np.arange(0, 3 / f, 1e-7)
    level = np.where((clock * f) % 1 < duty, 1.0, off)
    light = np.concatenate([[0.0], np.cumsum(level)])
    window = round(shutter_s / 1e-7)
    starts = np.arange(0, round(1 / f / 1e-7), 20)
    seen = light[starts + window] - light[starts]
    expected = math.log2(seen.max() / seen.min())
    assert pulse_width_range_stops(f, shutter_s, duty, off) == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("flicker_hz", "readout_s", "bands"), [(100, 1 / 30, 3.33), (120, 1 / 20, 6), (1000, 1 / 60, 16.7)]
)
def test_bands_in_a_rolling_readout(flicker_hz, readout_s, bands):
    # Derivation f * T_readout.
    assert bands_across_frame(float(flicker_hz), readout_s) == pytest.approx(bands, abs=0.05)


# Epilepsy charities' public pages (read second hand): warn from more than 3 Hz to 60 Hz, strongest 15 to 25 Hz,
# common 3 to 30 Hz; UK events guidance limits strobes to 4 Hz.
@pytest.mark.parametrize(
    ("rate_hz", "level", "due", "over_limit"),
    [
        (1, "below", False, False),
        (3, "below", False, False),
        (3.5, "common", True, False),
        (4, "common", True, False),
        (10, "common", True, True),
        (15, "strongest", True, True),
        (25, "strongest", True, True),
        (30, "common", True, True),
        (45, "warn", True, True),
        (60, "warn", True, True),
        (61, "above", False, True),
    ],
)
def test_rates_to_warn_of(rate_hz, level, due, over_limit):
    caution = flash_caution(rate_hz)
    assert (caution.level, caution.due, caution.over_event_limit) == (level, due, over_limit)


def test_bands_of_public_guidance_end_where_they_say():
    # Most reactions from 3 to 30 a second, warned of up to 60, events limited to 4 a second (same pages).
    assert [flash_caution(rate).level for rate in (30.0, 30.5)] == ["common", "warn"]
    assert [flash_caution(rate).over_event_limit for rate in (4.0, 4.5)] == [False, True]


def test_screen_flashing():
    # WCAG 2.x, success criterion 2.3.1 and its definitions.
    assert screen_flashing_allowed(3, 1.0)
    assert screen_flashing_allowed(10, 0.006)
    assert not screen_flashing_allowed(4, 0.0061)


def test_general_and_red_flashes():
    # WCAG 2.x definition; wording of ISO 9241-391 for the red flash.
    assert is_general_flash(0.70, 0.80)
    assert not is_general_flash(0.70, 0.79)
    assert not is_general_flash(0.80, 0.95)
    assert is_red_flash(0.8, 0.21)
    assert not is_red_flash(0.79, 0.21)
    assert not is_red_flash(0.8, 0.2)


@pytest.mark.parametrize(
    ("group", "says"),
    [
        ("exempt", "no photobiological hazard"),
        ("1", "normal behaviour"),
        ("2", "looking away"),
        ("3", "at a glance"),
    ],
)
def test_risk_groups(group, says):
    # IEC 62471:2006: none; none under normal behaviour; aversion response protects; hazardous even momentarily.
    assert says in risk_group_caution(group)
