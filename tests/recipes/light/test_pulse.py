"""What must hold for flash durations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import pulse


def test_a_published_t01_is_taken_as_it_is():
    estimate = pulse.FlashDuration(1 / 800, "t0.1").as_t01()
    assert (estimate.shortest_s, estimate.likely_s, estimate.longest_s) == (1 / 800,) * 3
    assert not estimate.estimated


def test_a_t01_guessed_from_t05_says_that_it_is_a_guess():
    estimate = pulse.FlashDuration(1 / 3000, "t0.5").as_t01()
    assert estimate.estimated
    assert estimate.likely_s == pytest.approx(1 / 1000)
    assert estimate.shortest_s == pytest.approx(2.2 / 3000)
    assert estimate.longest_s == pytest.approx(3.3219 / 3000, rel=1e-4)


@pytest.mark.parametrize(
    ("part", "ratio"),
    # A discharge cut at T = -ln(1 - f) decay times: half of the light or less ends both at the cut; of three quarters
    # T is 2 ln 2 and t0.5 still ln 2; from 0.9 on the cut ends neither, and practice says 3.
    [(1 / 16, 1.0), (1 / 2, 1.0), (3 / 4, 2.0), (0.95, 3.0), (1.0, 3.0)],
)
def test_t01_of_a_cut_flash_hangs_on_where_it_is_cut(part, ratio):
    estimate = pulse.FlashDuration(1 / 3000, "t0.5").as_t01(cut_at=part)
    assert estimate.likely_s == pytest.approx(ratio / 3000)
    assert estimate.shortest_s == pytest.approx(1 / 3000)
    assert estimate.longest_s == pytest.approx(pulse.EXPONENTIAL_RATIO / 3000)


@given(st.floats(1e-6, 0.1), st.floats(1e-6, 0.1))
def test_comparing_two_durations_is_symmetric(one_s, other_s):
    one, other = pulse.FlashDuration(one_s, "t0.1"), pulse.FlashDuration(other_s, "t0.1")
    assert one.stops_longer_than(other) == pytest.approx(-other.stops_longer_than(one), abs=1e-9)


@pytest.mark.parametrize(("seconds", "criterion"), [(0.0, "t0.1"), (-1.0, "t0.5"), (0.001, "t0.3")])
def test_a_duration_that_cannot_be_is_refused(seconds, criterion):
    with pytest.raises(ValueError, match="give"):
        pulse.FlashDuration(seconds, criterion)


@given(st.floats(0.01, 20.0), st.floats(0.01, 20.0))
def test_a_later_cut_never_lowers_the_ratio(one, other):
    early, late = sorted((one, other))
    assert pulse.truncated_ratio(early) <= pulse.truncated_ratio(late) + 1e-12


@given(st.floats(1e-4, 0.999))
def test_the_light_up_to_the_cut_is_the_fraction_it_was_cut_for(fraction):
    cut = pulse.cut_time_over_decay(fraction)
    assert 2 ** -pulse.light_lost_stops(cut, math.log(10)) == pytest.approx(fraction, rel=1e-9)


def test_the_full_flash_is_never_cut():
    assert pulse.cut_time_over_decay(1.0) == math.inf


def test_a_closed_shutter_keeps_nothing_and_a_long_open_one_everything():
    assert pulse.light_lost_stops(0.0, 1.0) == math.inf
    assert f"{pulse.light_lost_stops(100.0, 1.0):g}" == "0"


def test_an_open_time_that_is_not_a_number_is_refused():
    with pytest.raises(ValueError, match="open_s is nan"):
        pulse.light_lost_stops(math.nan, 1.0)


@given(st.floats(0.01, 0.5), st.floats(0.01, 0.5))
def test_a_slower_rise_never_raises_the_ratio(one, other):
    quick, slow = sorted((one, other))
    assert pulse.ratio_with_rise(slow) <= pulse.ratio_with_rise(quick) + 1e-9


def test_a_rise_as_slow_as_the_decay_is_refused():
    with pytest.raises(ValueError, match="rise shorter than the decay"):
        pulse.ratio_with_rise(1.0)


def test_a_recorded_flash_agrees_with_the_solved_one():
    times = np.linspace(-1.0, 12.0, 400_001)
    after = np.maximum(times, 0.0)
    half, tenth = pulse.durations_from_trace(times, np.exp(-after) - np.exp(-after / 0.2))
    assert tenth.seconds / half.seconds == pytest.approx(pulse.ratio_with_rise(0.2), abs=1e-5)


def test_of_three_samples_the_times_are_those_of_a_triangle():
    half, tenth = pulse.durations_from_trace(np.array([0.0, 1.0, 3.0]), np.array([0.0, 4.0, 0.0]))
    assert (half.seconds, tenth.seconds) == (pytest.approx(1.5), pytest.approx(2.7))


@pytest.mark.parametrize(
    ("time_s", "light", "sentence"),
    [
        ([0.0, 1.0], [0.0, 1.0, 0.0], "do not pair up"),
        ([], [], "do not pair up"),
        ([[0.0, 1.0]], [[0.0, 1.0]], "do not pair up"),
        ([0.0, 1.0, 1.0], [0.0, 1.0, 0.0], "does not rise"),
        ([0.0, 1.0, 2.0], [0.0, 0.0, 0.0], "dark throughout"),
        ([0.0], [1.0], "begins or ends above"),
        ([0.0, 1.0, 2.0], [1.0, 0.2, 0.0], "begins or ends above"),
        ([0.0, 1.0, 2.0], [0.0, 0.2, 1.0], "begins or ends above"),
        ([0.0, 1.0, 2.0], [0.0, -1.0, 0.0], "intensity is -1"),
    ],
)
def test_a_recording_that_shows_no_whole_flash_is_refused(time_s, light, sentence):
    with pytest.raises(ValueError, match=sentence):
        pulse.durations_from_trace(np.array(time_s), np.array(light))
