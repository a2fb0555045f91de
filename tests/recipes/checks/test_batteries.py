"""Facts about batteries: 100 Wh · 0.9 · 3600 · 0.75 / 500 Ws, less a tenth in reserve, are 437 flashes."""

from __future__ import annotations

import pytest

from recipes.checks.batteries import battery_wh, check
from tests.recipes.checks.setups import (
    a_battery,
    a_look,
    a_mains_strobe,
    a_panel,
    a_plan,
    a_prediction,
    a_setting,
    a_setup,
)


def only(findings):
    (finding,) = findings
    return finding


def run(frames, *batteries, setting=0.0, heads=None):
    look = a_look(session={"frames": frames})
    setup = a_setup(look, heads=heads, units={"batteries": batteries})
    return only(check(setup, a_prediction(a_setting(setting_stops=setting))))


@pytest.mark.parametrize(
    ("frames", "status"),
    [(300, "ok"), (395, "ok"), (400, "tight"), (437, "tight"), (438, "gap"), (500, "gap")],
)
def test_flashes_of_a_battery_against_the_frames(frames, status):
    # Energy balance: 100 · 0.9 · 0.9 · 3600 · 0.75 / 500 = 437.4.
    finding = run(frames, a_battery())
    assert (finding.status, finding.value, finding.margin) == (status, 437.0, 437.0 - frames)
    assert "Lithium" in finding.caution


def test_half_power_gives_twice_the_flashes_and_two_batteries_twice_again():
    assert run(300, a_battery(), setting=-1.0).value == 874.0
    assert run(300, a_battery("BA-1"), a_battery("BA-2"), setting=-1.0).value == 1748.0


def test_age_and_cold_take_their_share():
    # Health 0.8 of 437.4: 349. At -18 °C half is left: 218 (Battery University BU-502).
    assert run(300, a_battery(health=0.8)).value == 349.0
    assert run(100, a_battery(temperature_c=-18.0)).value == 218.0


def test_a_health_or_a_temperature_that_nobody_measured_counts_as_good():
    finding = run(300, a_battery(health=None, temperature_c=None))
    assert (finding.value, finding.estimated) == (437.0, True)


def test_a_battery_without_lithium_has_no_lithium_caution():
    assert run(300, a_battery(chemistry="lead-acid")).caution == ""


def test_a_burning_light_is_counted_in_hours():
    # 100 · 0.9 · 0.9 / 100 W = 0.81 h against 600 frames once in 4 s: 0.667 h.
    panel = a_panel(supply="battery", battery_fit="rail-48", mains=None)
    look = a_look(a_plan(source="continuous"), session={"frames": 600})
    setup = a_setup(look, heads=(panel,), units={"batteries": (a_battery(),)})
    finding = only(check(setup, a_prediction()))
    assert (finding.status, finding.unit, finding.value) == ("ok", "h", pytest.approx(0.81))


@pytest.mark.parametrize(("frames", "status"), [(655, "ok"), (670, "tight"), (700, "tight"), (900, "gap")])
def test_a_burning_light_that_hardly_or_not_lasts(frames, status):
    panel = a_panel(supply="battery", battery_fit="rail-48", mains=None)
    look = a_look(a_plan(source="continuous"), session={"frames": frames})
    setup = a_setup(look, heads=(panel,), units={"batteries": (a_battery(),)})
    assert only(check(setup, a_prediction())).status == status


def test_without_a_battery_or_a_setting_it_is_unknown():
    assert only(check(a_setup(), a_prediction())).missing == "its batteries"
    assert run(300, a_battery(), setting=None).missing == "the setting of Key"


def test_heads_on_the_mains_ask_nothing():
    assert list(check(a_setup(heads=(a_mains_strobe(),)), a_prediction())) == []


def test_what_a_battery_gives():
    assert battery_wh(a_battery()) == pytest.approx(90.0)
    assert battery_wh(a_battery(), reserve=0.1) == pytest.approx(81.0)
    assert battery_wh(a_battery(temperature_c=-18.0)) == pytest.approx(45.0)
