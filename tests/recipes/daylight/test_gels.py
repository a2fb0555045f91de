"""Choosing a gel: nearest, cheapest, and never past the bluest light."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.gels import (
    GelSheet,
    closest_gel,
    density_stops,
    gel_matches,
    ideal_transmittance,
    mired,
    shift_between_mired,
    shifted_cct_k,
    stack,
    stops_lost,
)

FULL_ORANGE = GelSheet("full orange", 131, 0.55)
HALF_ORANGE = GelSheet("half orange", 81, 0.71)
QUARTER_ORANGE = GelSheet("quarter orange", 42, 0.81)
FULL_BLUE = GelSheet("full blue", -137, 0.30)
HALF_BLUE = GelSheet("half blue", -78, 0.52)
DRAWER = (FULL_ORANGE, HALF_ORANGE, QUARTER_ORANGE, FULL_BLUE, HALF_BLUE)

temperatures = st.floats(2000, 10_000)


@settings(deadline=None)
@given(temperatures, temperatures)
def test_the_shift_between_two_lights_turns_one_into_the_other(first, second):
    assert shifted_cct_k(first, float(shift_between_mired(first, second))) == pytest.approx(second)


@settings(deadline=None)
@given(temperatures, st.floats(-60, 200), st.floats(-30, 200))
def test_shifts_add(cct_k, one, other):
    assert shifted_cct_k(float(shifted_cct_k(cct_k, one)), other) == pytest.approx(
        shifted_cct_k(cct_k, one + other)
    )


def test_shifts_of_many_lights_at_once():
    np.testing.assert_allclose(shifted_cct_k(np.array([5000.0, 4000.0]), 50.0), [4000, 1e6 / 300])


def test_orange_on_flash_in_a_room_with_lamps():
    match = closest_gel(5500.0, 3200.0, DRAWER)
    assert match.gels == (FULL_ORANGE,)
    assert match.off_mired == pytest.approx(131 - 130.68, abs=0.01)
    assert match.loss_stops == pytest.approx(-np.log2(0.55))


def test_blue_on_a_lamp_before_a_window():
    assert closest_gel(3200.0, 5600.0, DRAWER).gels == (FULL_BLUE,)


def test_no_gel_when_the_source_is_already_nearest():
    match = closest_gel(5500.0, 5300.0, DRAWER)
    assert match.gels == ()
    assert match.loss_stops == 0


def test_two_layers_may_come_nearer():
    one = closest_gel(6500.0, 2900.0, DRAWER)
    two = closest_gel(6500.0, 2900.0, DRAWER, layers=2)
    assert abs(two.off_mired) < abs(one.off_mired)
    assert len(two.gels) == 2


def test_a_sheet_is_there_once():
    # Half the way from 5500 to 3200 K: two of them would go all of it.
    half = GelSheet("half", 65.34, 0.7)
    assert closest_gel(5500.0, 3200.0, [half], layers=2).gels == (half,)
    assert closest_gel(5500.0, 3200.0, [half, half], layers=2).gels == (half, half)


def test_good_enough_and_brighter_goes_first():
    """For a shift of 115 full orange is 16 mired off and half orange 34, at half the cost in stops."""
    target_k = 1e6 / (1e6 / 5500 + 115)
    assert closest_gel(5500.0, target_k, DRAWER).gels == (FULL_ORANGE,)
    assert closest_gel(5500.0, target_k, DRAWER, good_enough_mired=40).gels == (HALF_ORANGE,)


def test_nothing_good_enough_leaves_the_nearest():
    assert closest_gel(5500.0, 2500.0, DRAWER, good_enough_mired=5).gels == (FULL_ORANGE,)


def test_as_good_as_asked_for_is_good_enough():
    # 5000 K is 200 mired and 4000 K 250: of 50 mired the brighter gel is 10 short.
    drawer = [GelSheet("exact", 50, 0.7), GelSheet("short", 40, 0.8)]
    assert closest_gel(5000.0, 4000.0, drawer, good_enough_mired=10.0).gels == (drawer[1],)
    assert closest_gel(5000.0, 4000.0, drawer, good_enough_mired=9.9).gels == (drawer[0],)


def test_unless_told_otherwise_half_a_mired_nearer_goes_before_brighter():
    drawer = [GelSheet("exact", 50, 0.7), GelSheet("brighter", 49.5, 0.8)]
    assert closest_gel(5000.0, 4000.0, drawer).gels == (drawer[0],)


def test_an_empty_drawer_leaves_the_bare_light():
    assert closest_gel(5500.0, 3200.0, ()).gels == ()


@settings(deadline=None)
@given(temperatures, temperatures)
def test_matches_are_sorted_and_the_first_is_the_nearest(source, target):
    matches = gel_matches(source, target, DRAWER, layers=2)
    off = [abs(m.off_mired) for m in matches]
    assert off == pytest.approx(sorted(off), abs=1e-5)
    assert closest_gel(source, target, DRAWER, layers=2) == matches[0]
    assert all(m.result_k > 0 for m in matches)


def test_choices_past_the_bluest_light_are_left_out():
    # 8000 K is 125 mired: full blue would go below zero.
    assert all(FULL_BLUE not in m.gels for m in gel_matches(8000.0, 20_000.0, DRAWER))


def test_bluer_than_any_light_counts_as_past_it():
    # 5500 K is 181.8 mired; 175 less is 6.8, or 147 000 K.
    deep = GelSheet("deep blue", -175, 0.05)
    assert closest_gel(5500.0, 90_000.0, (deep,)).gels == ()


def test_among_equals_the_brighter_one():
    dull = GelSheet("dull orange", 131, 0.40)
    assert closest_gel(5500.0, 3200.0, (dull, FULL_ORANGE)).gels == (FULL_ORANGE,)


def test_a_stack_of_nothing_changes_nothing():
    nothing = stack(())
    assert (nothing.mired_shift, nothing.transmittance, nothing.loss_stops) == (0, 1, 0)


@settings(deadline=None)
@given(st.lists(st.sampled_from(DRAWER), max_size=4))
def test_losses_of_a_stack_add_in_stops(gels):
    assert stack(gels).loss_stops == pytest.approx(sum(gel.loss_stops for gel in gels))


def test_doubling_density_doubles_the_stops():
    assert density_stops(1.2) == pytest.approx(2 * density_stops(0.6))
    assert stops_lost(10**-0.6) == pytest.approx(density_stops(0.6))


@settings(deadline=None)
@given(temperatures, temperatures)
def test_no_conversion_passes_more_than_all_of_the_light(source, target):
    assert 0 < ideal_transmittance(source, target) <= 1 + 1e-12


def test_no_conversion_costs_nothing():
    assert ideal_transmittance(5500.0, 5500.0) == pytest.approx(1)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(lambda: GelSheet("black", 0, 0.0), "transmittance is 0", id="opaque"),
        pytest.param(lambda: GelSheet("?", float("nan"), 0.5), "mired_shift is nan", id="shift"),
        pytest.param(lambda: mired(0.0), "cct_k is 0", id="kelvin"),
        pytest.param(lambda: shifted_cct_k(5500.0, -180.0), "takes this source past 100000 K", id="too blue"),
        pytest.param(lambda: closest_gel(0.0, 3200.0, DRAWER), "source_k is 0", id="source"),
        pytest.param(lambda: closest_gel(5500.0, -1.0, DRAWER), "target_k is -1", id="target"),
        pytest.param(lambda: gel_matches(5500.0, 3200.0, DRAWER, layers=-1), "layers is -1", id="layers"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()


def test_one_shift_past_the_bluest_light_spoils_the_column():
    with pytest.raises(ValueError, match="which no light has"):
        shifted_cct_k(5600.0, np.array([-20.0, -180.0]))


def test_a_match_says_what_it_makes_of_the_source():
    # 10^6 / 3200 - 131 = 181.5 mired, 5510 K, 0.3 mired short of 5500 K.
    match = closest_gel(3200.0, 5500.0, [GelSheet("full blue", -131.0, 0.34)])
    assert (match.result_k, match.off_mired) == (
        pytest.approx(5509.6, abs=0.1),
        pytest.approx(-0.318, abs=1e-3),
    )


def test_among_those_good_enough_and_as_bright_the_nearest_goes_first():
    drawer = [GelSheet("too blue", -140.0, 0.4), GelSheet("nearly", -127.0, 0.4)]
    match = closest_gel(3200.0, 5500.0, drawer, good_enough_mired=12.0)
    assert [gel.label for gel in match.gels] == ["nearly"]


def test_nothing_is_nearer_than_on_the_spot():
    with pytest.raises(ValueError, match="good_enough_mired is -1"):
        closest_gel(5500, 3200, [], good_enough_mired=-1.0)
