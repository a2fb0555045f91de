"""Flash duration, sync and recycling against outside values.

Durations: ISO 2827:1988 defines t0.5 (above half of the peak) and t0.1 (above a tenth). Shutter terms: ISO 516:2019.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from recipes.light import pulse, recycle, sync

EXACT = 1e-9


def test_an_ideal_discharge_burns_3_3219_times_longer_above_a_tenth_than_above_half():
    # ISO 2827's definitions applied to exp(-t/tau): ln 10 / ln 2.
    assert pytest.approx(3.3219, abs=5e-5) == pulse.EXPONENTIAL_RATIO
    assert pulse.decay_time_s(math.log(10)) == pytest.approx(1.0, rel=EXACT)


@pytest.mark.parametrize(("open_over_decay", "kept"), [(math.log(2), 0.5), (math.log(10), 0.9)])
def test_half_the_light_falls_within_t05_and_nine_tenths_within_t01(open_over_decay, kept):
    # ISO 2827's definitions applied to exp(-t/tau).
    lost = pulse.light_lost_stops(open_over_decay, math.log(10))
    assert 2**-lost == pytest.approx(kept, rel=EXACT)


@pytest.mark.parametrize(
    ("rise_over_decay", "ratio"),
    # Double exponential, solved by root finding: derivation from ISO 2827's definitions.
    [(0.05, 2.870), (0.1, 2.646), (0.2, 2.375), (0.3, 2.217)],
)
def test_a_finite_rise_brings_the_ratio_down_to_between_2_2_and_3(rise_over_decay, ratio):
    assert pulse.ratio_with_rise(rise_over_decay) == pytest.approx(ratio, abs=0.002)


@pytest.mark.parametrize(
    ("cut", "ratio"),
    # Truncated exponential: derivation from ISO 2827's definitions.
    [
        (0.1, 1.0),
        (math.log(2), 1.0),
        (1.0, 1.4427),
        (1.5, 2.1640),
        (2.0, 2.8854),
        (math.log(10), 3.3219),
        (5.0, 3.3219),
    ],
)
def test_a_flash_that_is_cut_off_has_a_ratio_between_1_and_3_3(cut, ratio):
    assert pulse.truncated_ratio(cut) == pytest.approx(ratio, abs=0.0005)


@pytest.mark.parametrize(
    ("fraction", "cut"),
    # T = -tau ln(1 - f): derivation.
    [
        (1 / 2, 0.69315),
        (1 / 4, 0.28768),
        (1 / 8, 0.13353),
        (1 / 16, 0.06454),
        (1 / 32, 0.03175),
        (1 / 64, 0.01575),
        (1 / 128, 0.00784),
    ],
)
def test_when_a_switched_flash_is_cut_for_a_fraction_of_its_light(fraction, cut):
    assert pulse.cut_time_over_decay(fraction) == pytest.approx(cut, abs=1e-5)


@pytest.mark.parametrize(
    ("open_over_decay", "lost"),
    # -log2(1 - exp(-x)): derivation.
    [(0.5, 1.346), (1.0, 0.662), (2.0, 0.210), (3.0, 0.0737)],
)
def test_light_lost_when_the_shutter_closes_before_the_flash_ends(open_over_decay, lost):
    assert pulse.light_lost_stops(open_over_decay, math.log(10)) == pytest.approx(lost, abs=0.0005)


@pytest.mark.parametrize(
    ("shutter_s", "lost"),
    # Leaf or global shutter, t0.1 of 1/500: the same derivation.
    [(1 / 250, 0.014), (1 / 500, 0.152), (1 / 800, 0.391), (1 / 1000, 0.548), (1 / 1600, 0.963)],
)
def test_a_leaf_shutter_cuts_the_tail_of_a_slow_flash(shutter_s, lost):
    assert sync.late_closing_loss_stops(shutter_s, 1 / 500) == pytest.approx(lost, abs=0.001)


@pytest.mark.parametrize(
    ("shutter_s", "window_ms"),
    # Window = time - curtain travel, terms of ISO 516:2019; curtain travel 1/300 s.
    [(1 / 250, 0.667), (1 / 200, 1.667), (1 / 125, 4.667)],
)
def test_how_long_a_focal_plane_shutter_holds_the_whole_frame_open(shutter_s, window_ms):
    assert sync.open_window_s(shutter_s, 1 / 300) * 1000 == pytest.approx(window_ms, abs=0.001)


def test_a_marked_sync_speed_does_not_take_in_every_flash():
    # Same curtain at 1/250: 0.667 ms of window hold a flash of 1/2000, not one of 1/1000.
    assert sync.sync_margin(1 / 250, 1 / 2000, curtain_travel_s=1 / 300).holds
    assert not sync.sync_margin(1 / 250, 1 / 1000, curtain_travel_s=1 / 300).holds


@pytest.mark.parametrize(
    ("shutter_s", "lit"),
    # t / Tc with curtain travel 1/250: derivation.
    [(1 / 500, 0.5), (1 / 1000, 0.25), (1 / 4000, 0.0625)],
)
def test_above_sync_a_flash_lights_part_of_the_frame(shutter_s, lit):
    assert sync.fully_lit_part(shutter_s, 1 / 250) == pytest.approx(lit, rel=EXACT)


@pytest.mark.parametrize(
    ("shutter_s", "lost"),
    # log2((Tc + t) / t) with curtain travel 1/250, constant power: derivation.
    [(1 / 250, 1.0), (1 / 500, 1.585), (1 / 1000, 2.322), (1 / 4000, 4.087)],
)
def test_the_least_that_high_speed_sync_loses(shutter_s, lost):
    assert sync.high_speed_sync_loss_stops(shutter_s, 1 / 250) == pytest.approx(lost, abs=0.001)


@pytest.mark.parametrize(
    ("energy_share", "shift"),
    # ISO 2827:1988 has recycle time and ready indication as separate figures; log2 of the share.
    [(0.85, -0.234), (0.70, -0.515), (1.0, 0.0)],
)
def test_a_ready_lamp_that_lights_early_costs_light(energy_share, shift):
    assert recycle.ready_lamp_shift_stops(energy_share) == pytest.approx(shift, abs=0.0005)


def test_a_constant_power_charger_puts_500_joules_back_in_1_5625_seconds():
    # t = E / (eta P): energy balance.
    assert recycle.charger_recycle_s(500, 400, 0.80) == pytest.approx(1.5625, rel=EXACT)


TIMES = np.linspace(-5.0, 10.0, 300_001)


@pytest.mark.parametrize(
    ("light", "ratio"),
    # ISO 2827's definitions applied to known shapes: derivation.
    [
        pytest.param(np.where((TIMES >= 0) & (TIMES <= 1), 1.0, 0.0), 1.0, id="rectangle"),
        pytest.param(np.where(TIMES >= 0, np.clip(1 - TIMES, 0, 1), 0.0), 1.8, id="straight decay"),
        pytest.param(np.exp(-(TIMES**2)), 1.8226, id="bell"),
        pytest.param(np.where(TIMES >= 0, np.exp(-TIMES), 0.0), 3.3219, id="ideal discharge"),
    ],
)
def test_durations_read_off_a_recorded_flash(light, ratio):
    half, tenth = pulse.durations_from_trace(TIMES, light)
    assert (half.criterion, tenth.criterion) == ("t0.5", "t0.1")
    assert tenth.seconds / half.seconds == pytest.approx(ratio, abs=0.0005)


def test_every_sum_takes_a_whole_column_of_times():
    times = np.array([1 / 500, 1 / 1000, 1 / 4000])
    np.testing.assert_allclose(sync.fully_lit_part(times, 1 / 250), [0.5, 0.25, 0.0625], rtol=EXACT)
