"""What must hold for batteries."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.rig import battery

SHARES = st.floats(0.05, 1.0)


@given(st.integers(1, 5000), st.floats(1.0, 2400.0), SHARES)
def test_energy_for_exactly_n_flashes_gives_n_flashes(flashes, flash_ws, efficiency):
    exact_wh = flashes * flash_ws / efficiency / 3600.0
    assert battery.flashes_per_battery(exact_wh, flash_ws, efficiency) == flashes


@given(st.integers(1, 5000), st.floats(1.0, 2400.0), SHARES)
def test_a_thousandth_of_a_flash_short_is_a_flash_short(flashes, flash_ws, efficiency):
    short_wh = (flashes - 0.001) * flash_ws / efficiency / 3600.0
    assert battery.flashes_per_battery(short_wh, flash_ws, efficiency) == flashes - 1


@given(SHARES, SHARES, SHARES, st.floats(0.0, 1.0))
def test_age_cold_and_reserve_only_take_away(usable, health, cold, reserve):
    left = battery.usable_wh(100.0, usable, health, cold, reserve)
    assert 0.0 <= left <= 100.0 * min(usable, health, cold)


def test_a_fresh_warm_battery_gives_what_is_marked():
    assert battery.usable_wh(100.0) == 100.0
    assert battery.run_time_h(100.0, 50.0) == 2.0
    assert battery.mixed_duty_wh(0, 500.0, 0.8) == 0.0


@pytest.mark.parametrize("said", [{"lamp_w": 50.0}, {"lamp_h": 2.0}])
def test_a_lamp_takes_nothing_without_both_its_watts_and_its_hours(said):
    assert battery.mixed_duty_wh(0, 500.0, 0.8, **said) == 0.0


def test_what_is_lost_on_the_way_to_lamp_and_tube_comes_from_the_battery():
    # 50 W for 2 h are 100 Wh, 125 through 80 %; 180 flashes of 500 Ws are 25 Wh, 50 through 50 %.
    assert battery.mixed_duty_wh(
        180, 500.0, 0.5, lamp_w=50.0, lamp_h=2.0, lamp_efficiency=0.8
    ) == pytest.approx(175.0)


def test_a_cold_old_battery_with_a_reserve():
    assert battery.usable_wh(100.0, 0.9, 0.8, 0.75, 0.1) == pytest.approx(48.6)


@given(st.floats(-40.0, 60.0), st.floats(-40.0, 60.0))
def test_colder_never_gives_more(one, other):
    cold, warm = sorted((one, other))
    assert battery.temperature_factor(cold) <= battery.temperature_factor(warm)


def test_between_cold_and_warm_it_goes_straight():
    # Policy: halfway from -18 to 20 °C a battery has lost half of what it loses.
    assert battery.temperature_factor(1.0) == pytest.approx(0.75)


@pytest.mark.parametrize("chemistry", sorted(battery.COLD_TABLES))
def test_every_chemistry_of_a_battery_sheet_has_its_cold_table(chemistry):
    assert battery.temperature_factor(-18.0, chemistry) == 0.5
    assert battery.COLD_TABLES[chemistry].source


def test_an_unknown_chemistry_is_refused_with_the_known_ones():
    with pytest.raises(ValueError, match="give one of lead-acid, lithium-ion, "):
        battery.temperature_factor(0.0, "potato")


def test_settings_in_a_column_give_flashes_in_a_column():
    energies = np.array([500.0, 250.0, 125.0])
    np.testing.assert_array_equal(battery.flashes_per_battery(100.0, energies, 0.8), [576, 1152, 2304])


@pytest.mark.parametrize(
    ("job_wh", "each_wh", "needed"), [(82.22, 50.0, 2), (100.0, 50.0, 2), (0.0, 50.0, 0)]
)
def test_how_many_batteries_a_job_empties(job_wh, each_wh, needed):
    assert battery.batteries_needed(job_wh, each_wh) == needed


def test_the_last_half_flash_of_one_battery_does_not_help_the_next():
    margin = battery.flash_margin((291, 291), wanted=583)
    assert (margin.available, margin.margin, margin.lasts) == (582, -1, False)


def test_enough_flashes_last():
    assert battery.flash_margin([300, 300], wanted=600).lasts


def test_the_marked_rating_goes_before_the_product():
    assert battery.rating_wh(95.0, 14.4, 6.8) == 95.0


def test_without_a_marking_the_product_stands_in():
    assert battery.rating_wh(None, 14.4, 6.8) == pytest.approx(97.92)


@pytest.mark.parametrize(("volts", "ampere_hours"), [(None, 6.8), (14.4, None)])
def test_a_battery_without_any_rating_is_asked_for_one(volts, ampere_hours):
    with pytest.raises(ValueError, match=r"^the battery's rating is missing; give the marked Wh, or"):
        battery.rating_wh(None, volts, ampere_hours)


@pytest.mark.parametrize(("marked_wh", "disagrees"), [(98.0, False), (49.0, True), (196.0, True)])
def test_a_label_that_does_not_agree_with_itself(marked_wh, disagrees):
    assert battery.marking_disagrees(marked_wh, 14.4, 6.8) is disagrees


@pytest.mark.parametrize(("marked_wh", "disagrees"), [(102.0, False), (104.0, True)])
def test_a_label_may_be_off_by_a_twentieth(marked_wh, disagrees):
    # Common practice, no source: 14.4 V and 6.8 Ah are 97.92 Wh.
    assert battery.marking_disagrees(marked_wh, 14.4, 6.8) is disagrees


def test_a_label_that_is_off_by_just_the_tolerance_still_agrees():
    assert not battery.marking_disagrees(100.0, 15.0, 10.0, tolerance=0.5)


@pytest.mark.parametrize(
    ("ask", "sentence"),
    [
        (lambda: battery.usable_wh(0.0), "capacity_wh is 0"),
        (lambda: battery.usable_wh(-98.0), "capacity_wh is -98"),
        (lambda: battery.flashes_per_battery(98.0, 0.0, 0.8), "flash_energy_ws is 0"),
        (lambda: battery.flashes_per_battery(98.0, -500.0, 0.8), "flash_energy_ws is -500"),
        (lambda: battery.mixed_duty_wh(-1, 500.0, 0.8), "flashes is -1"),
        (lambda: battery.mixed_duty_wh(1, -500.0, 0.8), "flash_energy_ws is -500"),
    ],
)
def test_a_battery_and_a_flash_have_some_energy(ask, sentence):
    with pytest.raises(ValueError, match=sentence):
        ask()


@pytest.mark.parametrize("efficiency", [0.0, 1.2, float("nan")])
def test_an_efficiency_that_cannot_be_is_refused(efficiency):
    with pytest.raises(ValueError, match=r"efficiency is .*share above 0"):
        battery.flashes_per_battery(100.0, 500.0, efficiency)
