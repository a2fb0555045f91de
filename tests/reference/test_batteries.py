"""Batteries against outside values: energy balance, 49 CFR 171.8 for the rating, a public table for the cold."""

from __future__ import annotations

import pytest

from recipes.rig import battery


@pytest.mark.parametrize(
    ("capacity_wh", "flash_ws", "efficiency", "usable", "flashes"),
    # floor(Wh x 3600 x eta x DoD / E).
    [
        (100, 500, 0.8, 1.0, 576),
        (72, 600, 0.75, 0.9, 291),
        (160, 1000, 0.8, 0.9, 414),
        (95, 200, 0.7, 0.85, 1017),
    ],
)
def test_flashes_from_a_battery(capacity_wh, flash_ws, efficiency, usable, flashes):
    assert battery.flashes_per_battery(capacity_wh, flash_ws, efficiency, usable) == flashes


@pytest.mark.parametrize(
    ("volts", "ampere_hours", "watt_hours"),
    # Wh = V x Ah: 49 CFR 171.8.
    [(14.4, 6.8, 97.92), (11.1, 9.0, 99.90), (26.1, 6.0, 156.60)],
)
def test_rating_from_volts_and_ampere_hours(volts, ampere_hours, watt_hours):
    assert battery.rated_wh(volts, ampere_hours) == pytest.approx(watt_hours, abs=0.01)


def test_modelling_light_and_flashes_together():
    # 30 W for 2 h, and 150 flashes of 400 J at 75 %.
    assert battery.mixed_duty_wh(150, 400, 0.75, lamp_w=30, lamp_h=2) == pytest.approx(82.22, abs=0.01)


def test_a_continuous_light_of_300_watts_burns_half_an_hour():
    assert battery.run_time_h(160, 300, 0.9) == pytest.approx(0.48, rel=1e-9)


@pytest.mark.parametrize(("temperature_c", "factor"), [(27.0, 1.0), (20.0, 1.0), (-18.0, 0.5)])
def test_half_the_capacity_is_left_at_18_below(temperature_c, factor):
    # Battery University, BU-502 Discharging at High and Low Temperatures, for 27 and -18 degrees; cells are rated
    # at 20 (IEC 61960-3, from memory).
    assert battery.temperature_factor(temperature_c) == pytest.approx(factor, rel=1e-9)
