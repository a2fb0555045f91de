"""What must hold for numbers that come in and go out."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes import quantity


@pytest.mark.parametrize(
    ("check", "bad", "wanted"),
    [
        (quantity.finite, math.inf, "a finite number"),
        (quantity.above_zero, 0.0, "a number above 0"),
        (quantity.above_zero, math.inf, "a number above 0"),
        (quantity.at_least_zero, math.inf, "0 or a number above it"),
        (quantity.at_least_zero, -1e-9, "0 or a number above it"),
        (quantity.share, 0.0, "a share above 0"),
        (quantity.share, 1.01, "a share above 0"),
        (quantity.part, -0.1, "a part from 0 to 1"),
        (lambda name, value: quantity.within(name, value, 0, 90), 91.0, "a number from 0 to 90"),
    ],
)
def test_a_number_that_cannot_be_is_named_with_what_is_wanted(check, bad, wanted):
    with pytest.raises(ValueError, match=f"height_m is .*; give {wanted}"):
        check("height_m", bad)


def test_the_first_bad_number_of_a_column_is_named():
    with pytest.raises(ValueError, match="height_m is -2;"):
        quantity.above_zero("height_m", np.array([1.0, -2.0, -3.0]))


@pytest.mark.parametrize("bad", [1.5, -1, True])
def test_a_count_is_whole(bad):
    with pytest.raises(ValueError, match=r"frames is .*; give a whole number, 0 or more"):
        quantity.whole("frames", bad)


@given(st.integers(-(10**10), 10**10), st.floats(-1e-13, 1e-13))
def test_floating_point_dust_does_not_move_a_whole_number(number, dust):
    dusty = number + dust * max(1000, abs(number))
    assert quantity.round_down(dusty) == number
    assert quantity.round_up(dusty) == number


@pytest.mark.parametrize("number", [3.999_999, 3_999_999.999, 999_999_999.9])
def test_what_is_short_by_more_than_dust_is_short(number):
    assert quantity.round_down(number) < number
    assert quantity.round_up(-number) > -number


@pytest.mark.parametrize("end", [0.0, 90.0])
def test_both_ends_of_a_range_belong_to_it(end):
    assert quantity.within("tilt_deg", end, 0.0, 90.0) == end


def test_whole_numbers_come_in_as_floats():
    # A column of integers could not be raised to a negative power, nor hold half of one.
    np.testing.assert_array_equal(quantity.above_zero("distance_m", np.array([1, 2])) ** -1, [1.0, 0.5])
    np.testing.assert_array_equal(quantity.round_down(np.array([1, 2])) ** -1, [1.0, 0.5])
    np.testing.assert_array_equal(quantity.round_up(np.array([1, 2])) ** -1, [1.0, 0.5])


@given(st.floats(-1e6, 1e6))
def test_down_and_up_are_at_most_one_apart(number):
    assert 0 <= quantity.round_up(number) - quantity.round_down(number) <= 1


def test_a_number_stays_a_number_and_an_array_an_array():
    assert isinstance(quantity.plain(np.float64(2.0)), float)
    assert quantity.plain(np.zeros(3)).shape == (3,)
