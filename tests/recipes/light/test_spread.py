"""Facts about spreads and what they let one decide."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light.spread import combined_stops, decides, difference_spread_stops, sum_spread_stops

spreads = st.floats(0, 2)


def test_three_and_four_make_five():
    assert combined_stops(0.3, 0.4) == pytest.approx(0.5)
    assert combined_stops() == 0.0


@given(st.lists(st.tuples(st.floats(0.01, 1e4), spreads), min_size=1, max_size=6))
def test_a_sum_is_never_less_sure_than_its_least_sure_part(parts):
    amounts, own = zip(*parts, strict=True)
    assert sum_spread_stops(amounts, own) <= max(own) + 1e-9


def test_two_equal_lights_are_surer_together_than_each():
    assert sum_spread_stops([1, 1], [0.2, 0.2]) == pytest.approx(0.2 / np.sqrt(2))


def test_what_all_have_in_common_does_not_average_out():
    assert sum_spread_stops([1, 1], [0, 0], shared_stops=0.15) == pytest.approx(0.15)


def test_a_light_with_no_share_has_no_say():
    assert sum_spread_stops([1, 0], [0.1, 2.0]) == pytest.approx(0.1)


def test_in_the_dark_only_the_shared_part_is_left():
    assert sum_spread_stops([0, 0], [0.3, 0.3], shared_stops=0.1) == pytest.approx(0.1)


@given(st.floats(0.01, 0.3))
def test_first_order_agrees_with_what_shifts_do(spread):
    # Two lights of 3 and 1: push each by its spread and look at the sum.
    shifts = [np.log2((3 * 2**spread + 1) / 4), np.log2((3 + 2**spread) / 4)]
    assert sum_spread_stops([3, 1], [spread, spread]) == pytest.approx(np.hypot(*shifts), rel=0.1)


def test_spreads_go_along_an_axis():
    both = sum_spread_stops(np.array([[1.0, 3.0], [1.0, 1.0]]), np.array([[0.2], [0.2]]))
    np.testing.assert_allclose(both, [0.2 / np.sqrt(2), 0.2 * np.sqrt(10) / 4])


def test_a_margin_within_the_spread_decides_nothing():
    assert [decides(0.2, 0.3), decides(-0.2, 0.3), decides(0.3, 0.3), decides(-1, 0.3)] == [
        False,
        False,
        True,
        True,
    ]


def test_a_negative_spread_is_refused():
    with pytest.raises(ValueError, match="give 0 or a number above it"):
        combined_stops(-0.1)


def test_no_light_takes_away_from_a_sum():
    with pytest.raises(ValueError, match="amounts is -1"):
        sum_spread_stops([2.0, -1.0], [0.1, 0.1])
    with pytest.raises(ValueError, match=r"spreads_stops is -0\.1"):
        sum_spread_stops([2.0, 1.0], [0.1, -0.1])


def test_each_zone_has_a_spread_of_its_own():
    # Two zones of two lights: equal shares of 0.3 and 0.4 make 0.25; a light alone keeps its own.
    spreads = sum_spread_stops(np.array([[1.0, 1.0], [3.0, 0.0]]), np.array([0.3, 0.4]), axis=1)
    np.testing.assert_allclose(spreads, [0.25, 0.3])


def test_in_a_difference_only_what_makes_up_another_share_is_left():
    # Three quarters and a quarter against halves: a quarter of 0.3 and of 0.4, together a quarter of 0.5.
    assert difference_spread_stops([0.75, 0.25], [0.5, 0.5], [0.3, 0.4]) == pytest.approx(0.125)
    assert difference_spread_stops([1.0], [1.0], [0.4]) == 0.0
    two = difference_spread_stops([[1.0, 0.5], [0.0, 0.5]], [[0.5], [0.5]], [[0.3], [0.4]])
    np.testing.assert_allclose(two, [0.25, 0.0])


def test_a_margin_as_wide_as_its_spread_decides():
    assert decides(0.5, 0.5)
    assert decides(-0.5, 0.5)
