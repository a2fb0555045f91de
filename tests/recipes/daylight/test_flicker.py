"""Flicker and flashing: what must hold for any light and time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.flicker import (
    bands_across_frame,
    flicker_free_times_s,
    mains_flicker_hz,
    nearest_flicker_free_time_s,
    peak_to_peak_stops,
    pulse_width_range_stops,
    sine_range_stops,
    sine_residual,
)
from recipes.light.photosensitivity import (
    fastest_burst_hz,
    flash_caution,
    is_general_flash,
    risk_group_caution,
    screen_flashing_allowed,
)

frequencies = st.floats(10, 30_000)
shutters = st.floats(1 / 8000, 2)
duties = st.floats(0.01, 1)


@settings(deadline=None)
@given(frequencies, shutters, st.floats(0, 1))
def test_the_residual_never_exceeds_the_modulation(flicker_hz, shutter_s, modulation):
    assert 0 <= sine_residual(flicker_hz, shutter_s, modulation) <= modulation


@settings(deadline=None)
@given(frequencies, shutters, st.floats(0, 0.99), st.floats(0, 0.99))
def test_a_deeper_pulse_never_shows_less(flicker_hz, shutter_s, one, other):
    low, high = sorted((one, other))
    assert (
        sine_range_stops(flicker_hz, shutter_s, low) <= sine_range_stops(flicker_hz, shutter_s, high) + 1e-12
    )


@settings(deadline=None)
@given(frequencies, duties, st.floats(0, 0.9), st.integers(1, 50))
def test_whole_periods_show_nothing_of_any_light(flicker_hz, duty, off_level, periods):
    shutter_s = periods / flicker_hz
    assert sine_range_stops(flicker_hz, shutter_s) == pytest.approx(0, abs=1e-9)
    assert pulse_width_range_stops(flicker_hz, shutter_s, duty, off_level) == pytest.approx(0, abs=1e-6)


@settings(deadline=None)
@given(frequencies, shutters, duties, st.floats(0.01, 1))
def test_a_switched_light_never_shows_less_than_nothing(flicker_hz, shutter_s, duty, off_level):
    stops = pulse_width_range_stops(flicker_hz, shutter_s, duty, off_level)
    assert -1e-9 <= stops <= np.log2(1 / off_level) + 1e-6


def test_a_light_that_is_always_on_does_not_flicker():
    assert pulse_width_range_stops(240.0, 1 / 333, 1.0) == pytest.approx(0, abs=1e-12)


def test_a_frame_that_may_fall_into_the_dark():
    assert pulse_width_range_stops(100.0, 1 / 1000, 0.5) == np.inf
    assert peak_to_peak_stops(1.0) == np.inf


def test_longer_times_hide_a_fast_light():
    # Half a period too much each time, the worst case.
    times = np.array([1.5, 3.5, 9.5, 31.5]) / 2000
    assert (np.diff(pulse_width_range_stops(2000.0, times, 0.5)) < 0).all()
    assert (np.diff(sine_range_stops(2000.0, times)) < 0).all()


def test_arrays_of_times_come_back_as_arrays():
    np.testing.assert_allclose(sine_residual(100.0, np.array([1 / 100, 1 / 200])), [0, 2 / np.pi], atol=1e-12)


# Which times to choose.


def test_times_within_a_range():
    assert flicker_free_times_s(100, 1 / 60, 1 / 30) == pytest.approx((1 / 50, 1 / 33.333333))
    assert flicker_free_times_s(100, 1 / 250, 1 / 125) == ()


def test_both_ends_of_a_range_count_in_spite_of_rounding():
    # 0.07 times 100 is a little over 7 in binary, 0.29 times 100 a little under 29.
    times = flicker_free_times_s(100, 0.07, 0.29)
    assert (times[0], times[-1]) == (0.07, 0.29)


def test_nearest_is_meant_in_stops():
    # 1.45 periods: nearer to 1 in seconds, nearer to 2 in stops.
    assert nearest_flicker_free_time_s(100.0, 0.0145) == pytest.approx(0.02)


@settings(deadline=None)
@given(st.sampled_from([100.0, 120.0]), st.floats(1 / 1000, 1))
def test_the_nearest_time_is_a_whole_number_of_periods(flicker_hz, shutter_s):
    nearest = nearest_flicker_free_time_s(flicker_hz, shutter_s)
    assert sine_residual(flicker_hz, nearest) == pytest.approx(0, abs=1e-9)
    around = flicker_free_times_s(flicker_hz, 0, shutter_s * 2 + 2 / flicker_hz)
    best = min(around, key=lambda t: abs(np.log2(t / shutter_s)))
    assert abs(np.log2(nearest / shutter_s)) <= abs(np.log2(best / shutter_s)) + 1e-9


def test_a_time_too_short_for_a_period_goes_up_to_one():
    assert nearest_flicker_free_time_s(100.0, 1 / 4000) == pytest.approx(1 / 100)


def test_no_readout_time_has_no_bands():
    assert bands_across_frame(100.0, 0.0) == 0


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(lambda: mains_flicker_hz(0.0), "line_hz is 0", id="line"),
        pytest.param(lambda: sine_residual(100.0, 0.0), "shutter_s is 0", id="shutter"),
        pytest.param(lambda: sine_residual(100.0, 0.01, 1.5), "modulation is 1.5", id="modulation"),
        pytest.param(lambda: peak_to_peak_stops(2.0), "residual is 2", id="residual"),
        pytest.param(lambda: pulse_width_range_stops(100.0, 0.01, 0.0), "duty is 0", id="duty"),
        pytest.param(lambda: flash_caution(-1.0), "rate_hz is -1", id="rate"),
        pytest.param(lambda: fastest_burst_hz(10.0, 0), "strobes_in_turn is 0", id="strobes"),
        pytest.param(lambda: is_general_flash(1.2, 0.0), "first is 1.2", id="luminance"),
        pytest.param(lambda: screen_flashing_allowed(-1, 0.0), "flashes_in_a_second is -1", id="flashes"),
        pytest.param(
            lambda: risk_group_caution("4"), "risk group is '4'; give the one on the label", id="group"
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()


# Flashing.


def test_strobes_that_fire_in_turn_flash_faster_than_the_camera():
    assert fastest_burst_hz(5.0) == 5
    assert fastest_burst_hz(5.0, strobes_in_turn=3) == 15


@settings(deadline=None)
@given(st.floats(0, 500))
def test_no_rate_gets_an_all_clear(rate_hz):
    sentence = flash_caution(rate_hz).sentence
    assert "safe" not in sentence.lower()
    assert "rules of the place" in sentence


def test_a_caution_names_the_rate_and_the_event_limit():
    assert flash_caution(12.5).sentence.startswith("12.5 flashes a second")
    assert "limits strobes to 4 a second" in flash_caution(12.5).sentence
    assert "limits strobes" not in flash_caution(3.5).sentence


def test_no_risk_group_gets_an_all_clear():
    for group in ("exempt", "1", "2", "3"):
        assert "safe" not in risk_group_caution(group).lower()


def test_times_without_flicker_end_at_a_second_unless_told_otherwise():
    assert flicker_free_times_s(4.0) == (0.25, 0.5, 0.75, 1.0)
