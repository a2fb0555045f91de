"""What must hold for sync at any shutter and any flash."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import sync

TIMES = st.floats(1 / 16_000, 1.0)
SHORT = st.floats(1 / 40_000, 1 / 50)
DELAYS = st.floats(0.0, 0.005)


@given(shutter_s=TIMES, t01_s=SHORT, delay_s=DELAYS, travel_s=SHORT)
def test_the_whole_frame_is_lit_exactly_when_sync_holds(shutter_s, t01_s, delay_s, travel_s):
    margin = sync.sync_margin(shutter_s, t01_s, delay_s, curtain_travel_s=travel_s)
    if abs(margin.margin_s) > 1e-9:
        assert margin.holds == (margin.unlit_part == 0.0)


@given(shutter_s=TIMES, t01_s=SHORT, delay_s=DELAYS, travel_s=SHORT)
def test_the_margin_in_stops_leads_to_the_shortest_time(shutter_s, t01_s, delay_s, travel_s):
    margin = sync.sync_margin(shutter_s, t01_s, delay_s, curtain_travel_s=travel_s)
    assert shutter_s / 2**margin.margin_stops == pytest.approx(margin.shortest_time_s, rel=1e-9)


@given(shutter_s=TIMES, t01_s=SHORT, travel_s=SHORT, delay_s=DELAYS, more_s=DELAYS)
def test_a_slower_trigger_never_helps(shutter_s, t01_s, travel_s, delay_s, more_s):
    quick = sync.sync_margin(shutter_s, t01_s, delay_s, curtain_travel_s=travel_s)
    slow = sync.sync_margin(shutter_s, t01_s, delay_s + more_s, curtain_travel_s=travel_s)
    assert slow.margin_s <= quick.margin_s
    assert slow.unlit_part >= quick.unlit_part


@pytest.mark.parametrize("shutter", ["leaf", "global"])
def test_a_shutter_without_curtain_is_open_for_all_of_its_time(shutter):
    margin = sync.sync_margin(1 / 500, 1 / 600, shutter=shutter, curtain_travel_s=1 / 300)
    assert margin.window_s == pytest.approx(1 / 500)
    assert margin.holds


def test_a_leaf_shutter_that_closes_on_the_flash_lights_no_row_wholly():
    assert sync.sync_margin(1 / 1000, 1 / 500, shutter="leaf").unlit_part == 1.0


def test_a_focal_plane_shutter_without_its_curtain_travel_is_asked_for_it():
    with pytest.raises(ValueError, match="curtain_travel_s is missing"):
        sync.sync_margin(1 / 200, 1 / 1000)


def test_without_a_curtain_the_window_is_the_shutter_time():
    assert sync.open_window_s(1 / 500) == pytest.approx(1 / 500)


def test_a_curtain_that_takes_no_time_leaves_the_whole_shutter_time():
    assert sync.sync_margin(1 / 500, 1 / 600, curtain_travel_s=0.0).window_s == pytest.approx(1 / 500)


@pytest.mark.parametrize("delay_s", [1 / 500, 1 / 100])
def test_a_flash_after_the_shutter_has_closed_is_lost_altogether(delay_s):
    assert sync.late_closing_loss_stops(1 / 500, 1 / 1000, delay_s) == math.inf


@given(shutter_s=TIMES, longer=st.floats(1.0, 8.0), travel_s=SHORT)
def test_high_speed_sync_loses_less_at_longer_times(shutter_s, longer, travel_s):
    short = sync.high_speed_sync_loss_stops(shutter_s, travel_s)
    assert 0 < sync.high_speed_sync_loss_stops(shutter_s * longer, travel_s) <= short + 1e-12


def test_numbers_give_numbers_and_arrays_give_arrays():
    assert isinstance(sync.open_window_s(1 / 200, 1 / 300), float)
    assert sync.open_window_s(np.full((2, 3), 1 / 200), 1 / 300).shape == (2, 3)


@pytest.mark.parametrize("shutter_s", [0.0, -0.01, math.nan, math.inf])
def test_a_shutter_time_that_cannot_be_is_refused_with_a_sentence(shutter_s):
    with pytest.raises(ValueError, match=r"shutter_s is .*; give a number above 0"):
        sync.open_window_s(shutter_s)


def test_a_leaf_shutter_lights_all_of_the_frame_or_nothing():
    assert sync.fully_lit_part(0.002, 0.0, 0.001, 0.001) == 1.0
    assert sync.fully_lit_part(0.002, 0.0, 0.001, 0.0015) == 0.0


def test_a_curtain_shutter_never_lights_more_than_the_frame():
    assert sync.fully_lit_part(0.02, 0.003, 0.001) == 1.0
    # 3 ms open, 1.5 ms of flash, 3 ms of travel: half of the height.
    assert sync.fully_lit_part(0.003, 0.003, 0.0015) == pytest.approx(0.5)
