"""What must hold for recycling, bursts and heat."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import recycle


@dataclass(frozen=True)
class Line:
    setting_stops: float
    ready_s: float
    full_s: float | None = None


@dataclass(frozen=True)
class Limit:
    flashes: int
    minutes: float


TABLE = (Line(0.0, 1.6, 2.0), Line(-2.0, 0.4, 0.5), Line(-6.0, 0.1))


def test_a_line_of_the_table_is_given_as_it_stands():
    assert recycle.table_recycle_s(TABLE, -2.0, "ready lamp") == pytest.approx(0.4)


def test_between_two_lines_the_time_runs_straight_in_stops():
    assert recycle.table_recycle_s(TABLE, -1.0, "ready lamp") == pytest.approx(0.8)


def test_ready_lamp_and_full_charge_are_two_figures():
    assert recycle.table_recycle_s(TABLE, 0.0, "ready lamp") == pytest.approx(1.6)
    assert recycle.table_recycle_s(TABLE, 0.0, "full charge") == pytest.approx(2.0)


def test_full_charge_is_unknown_where_no_line_states_it():
    assert recycle.table_recycle_s(TABLE, -4.0, "full charge") is None


@pytest.mark.parametrize("setting", [-6.1, 0.1])
def test_outside_its_table_the_recycle_time_is_unknown(setting):
    assert recycle.table_recycle_s(TABLE, setting, "ready lamp") is None


def test_without_a_table_the_recycle_time_is_unknown():
    assert recycle.table_recycle_s((), 0.0, "ready lamp") is None


def test_a_line_of_zero_seconds_is_joined_by_a_straight_line():
    table = (Line(0.0, 1.0), Line(-4.0, 0.0))
    assert recycle.table_recycle_s(table, -2.0, "ready lamp") == pytest.approx(0.5)


@given(st.floats(-6.0, 0.0), st.floats(-6.0, 0.0))
def test_more_power_never_recycles_sooner_in_a_table_that_rises(one, other):
    low, high = sorted((one, other))
    shorter = recycle.table_recycle_s(TABLE, low, "ready lamp")
    longer = recycle.table_recycle_s(TABLE, high, "ready lamp")
    assert shorter is not None
    assert longer is not None
    assert shorter <= longer + 1e-12


@given(st.floats(1.0, 3000.0), st.floats(-8.0, -1.0))
def test_a_stop_down_halves_the_energy(full_ws, setting):
    lower = recycle.flash_energy_ws(full_ws, setting)
    assert recycle.flash_energy_ws(full_ws, setting + 1.0) == pytest.approx(2 * lower)


def test_more_than_full_power_is_refused():
    with pytest.raises(ValueError, match=r"setting_stops is 0\.5; settings count down from full power"):
        recycle.flash_energy_ws(500.0, 0.5)


@pytest.mark.parametrize(("gap_s", "shift"), [(1.0, -1.0), (2.0, 0.0), (5.0, 0.0)])
def test_a_frame_before_full_charge_gets_less(gap_s, shift):
    assert recycle.early_shot_stops(gap_s, 2.0) == pytest.approx(shift)


def test_a_pace_twice_as_slow_as_the_recycling_has_a_doubling_to_spare():
    margin = recycle.pace_margin(3.0, 1.5)
    assert margin.keeps_up
    assert (margin.margin_s, margin.margin_stops) == (1.5, 1.0)


def test_a_pace_quicker_than_the_recycling_does_not_keep_up():
    margin = recycle.pace_margin(1.0, 2.0)
    assert not margin.keeps_up
    assert margin.margin_stops == -1.0


def test_a_unit_that_needs_no_time_keeps_any_pace():
    assert recycle.pace_margin(0.1, 0.0).margin_stops == math.inf


@pytest.mark.parametrize(
    ("stored_ws", "flash_ws", "rate_hz", "charging_w", "frames"),
    [
        pytest.param(400.0, 100.0, 10.0, 0.0, 4.0, id="bank alone"),
        pytest.param(400.0, 100.0, 10.0, 500.0, 7.0, id="half is put back each time"),
        pytest.param(400.0, 100.0, 10.0, 1000.0, math.inf, id="all is put back"),
        pytest.param(100.0, 400.0, 10.0, 100.0, 0.0, id="more than the bank holds"),
        pytest.param(0.3, 0.1, 1.0, 0.0, 3.0, id="floating-point dust"),
    ],
)
def test_frames_of_a_burst(stored_ws, flash_ws, rate_hz, charging_w, frames):
    assert recycle.burst_frames(stored_ws, flash_ws, rate_hz, charging_w) == frames


@given(
    stored_ws=st.integers(10, 2000),
    flash_ws=st.integers(1, 500),
    back_ws=st.integers(0, 500),
)
def test_the_burst_agrees_with_counting_frame_by_frame(stored_ws, flash_ws, back_ws):
    frames = recycle.burst_frames(float(stored_ws), float(flash_ws), 1.0, float(back_ws))
    bank, counted = stored_ws, 0
    while bank >= flash_ws and counted <= 5000:
        bank = min(stored_ws, bank - flash_ws + back_ws)
        counted += 1
    assert frames == (math.inf if counted > 5000 else counted)


def test_heat_limit_of_a_quick_session():
    # 60 full flashes in 5 minutes; a frame every 4 s is 75 in the busiest 5 minutes.
    margin = recycle.heat_margin([Limit(60, 5.0)], pace_s=4.0, frames=500)
    assert margin is not None
    assert not margin.keeps_cool
    assert (margin.asked_flashes, margin.margin_flashes) == (75.0, -15.0)


def test_a_short_run_may_be_quick():
    margin = recycle.heat_margin([Limit(60, 5.0)], pace_s=1.0, frames=60)
    assert margin is not None
    assert margin.keeps_cool


def test_the_tightest_limit_answers():
    margin = recycle.heat_margin([Limit(30, 1.0), Limit(100, 10.0)], pace_s=3.0, frames=1000)
    assert margin is not None
    assert (margin.minutes, margin.allowed_flashes) == (10.0, 100)


def test_the_tightest_limit_is_the_one_overrun_by_the_largest_share():
    # 12 in a minute against 10, and 105 in 525 seconds against 100.
    margin = recycle.heat_margin([Limit(100, 8.75), Limit(10, 1.0)], pace_s=5.0, frames=1000)
    assert margin is not None
    assert (margin.allowed_flashes, margin.margin_flashes) == (10, -2.0)


def test_part_power_heats_in_part():
    margin = recycle.heat_margin([Limit(60, 5.0)], pace_s=4.0, frames=500, energy_share=0.5)
    assert margin is not None
    assert margin.keeps_cool


def test_without_a_stated_limit_nothing_is_said():
    assert recycle.heat_margin([], pace_s=1.0, frames=10) is None
    assert recycle.shortest_sustained_pace_s([]) == 0.0


@given(
    flashes=st.integers(1, 500),
    minutes=st.floats(0.5, 60.0),
    energy_share=st.sampled_from([1.0, 0.7, 0.5, 0.25, 1 / 64]),
)
def test_the_shortest_sustained_pace_is_borne_without_end(flashes, minutes, energy_share):
    limits = [Limit(flashes, minutes)]
    pace = recycle.shortest_sustained_pace_s(limits, energy_share)
    borne = recycle.heat_margin(limits, pace, 10_000_000, energy_share)
    quicker = recycle.heat_margin(limits, pace * 0.9 / (1 + 1 / flashes), 10_000_000, energy_share)
    assert borne is not None
    assert borne.keeps_cool
    assert quicker is not None
    assert not quicker.keeps_cool


def test_of_two_heat_limits_the_slower_pace_holds():
    # 60 in 5 minutes is one every 5 s, 150 in half an hour one every 12 s.
    limits = [Limit(60, 5.0), Limit(150, 30.0)]
    assert recycle.shortest_sustained_pace_s(limits[:1]) == pytest.approx(5.0)
    assert recycle.shortest_sustained_pace_s(limits) == pytest.approx(12.0)


def test_a_unit_that_is_ready_just_in_time_keeps_up():
    assert recycle.pace_margin(0.3, 0.1 + 0.2).keeps_up
    assert not recycle.pace_margin(0.3, 0.301).keeps_up


def test_one_setting_above_full_power_spoils_the_column():
    with pytest.raises(ValueError, match=r"setting_stops is 0\.5; settings count down"):
        recycle.flash_energy_ws(500.0, np.array([-1.0, 0.5]))
