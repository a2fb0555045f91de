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


@pytest.mark.parametrize(("frames", "status"), [(400, "ok"), (401, "tight"), (440, "tight"), (441, "gap")])
def test_a_tenth_to_spare_is_enough_and_none_to_spare_lasts(frames, status):
    # 100.6 Wh give 440 flashes; less than a tenth to spare is tight: common practice, no source.
    assert run(frames, a_battery(capacity_wh=100.6)).status == status


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


def test_one_battery_that_nobody_measured_makes_the_sum_an_estimate():
    assert run(300, a_battery("BA-1"), a_battery("BA-2", health=None)).estimated
    assert not run(300, a_battery("BA-1"), a_battery("BA-2")).estimated


def test_a_battery_measured_above_its_rating_counts_as_rated():
    assert run(300, a_battery(health=1.1)).value == 437.0


def test_a_battery_without_lithium_has_no_lithium_caution():
    lead = a_battery("BA-1", chemistry="lead-acid")
    assert run(300, lead).caution == ""
    assert "Lithium" in run(300, lead, a_battery("BA-2")).caution


@pytest.mark.parametrize(("chemistry", "warned"), [("lead-acid", False), ("lithium-ion", True)])
def test_burning_on_lithium_is_warned_of_too(chemistry, warned):
    assert ("Lithium" in burning(600, a_battery(chemistry=chemistry)).caution) is warned


def test_two_heads_empty_a_battery_in_half_the_time():
    assert burning(300, a_battery(), heads=2).value == pytest.approx(0.405)


def burning(frames, battery, heads=1):
    panels = tuple(
        a_panel(f"PA-{number}", supply="battery", battery_fit="rail-48", mains=None)
        for number in range(heads)
    )
    look = a_look(a_plan(source="continuous"), session={"frames": frames})
    return only(check(a_setup(look, heads=panels, units={"batteries": (battery,)}), a_prediction()))


def test_a_burning_light_is_counted_in_hours():
    # 100 · 0.9 · 0.9 / 100 W = 0.81 h against 600 frames once in 4 s: 0.667 h.
    finding = burning(600, a_battery())
    assert (finding.status, finding.unit, finding.value) == ("ok", "h", pytest.approx(0.81))


@pytest.mark.parametrize(("frames", "status"), [(655, "ok"), (670, "tight"), (700, "tight"), (900, "gap")])
def test_a_burning_light_that_hardly_or_not_lasts(frames, status):
    assert burning(frames, a_battery()).status == status


def test_without_a_battery_or_a_setting_it_is_unknown():
    assert only(check(a_setup(), a_prediction())).missing == "its batteries"
    assert run(300, a_battery(), setting=None).missing == "the setting of Key"


def test_heads_on_the_mains_ask_nothing():
    assert list(check(a_setup(heads=(a_mains_strobe(),)), a_prediction())) == []


def test_what_a_battery_gives():
    assert battery_wh(a_battery()) == pytest.approx(90.0)
    assert battery_wh(a_battery(), reserve=0.1) == pytest.approx(81.0)
    assert battery_wh(a_battery(temperature_c=-18.0)) == pytest.approx(45.0)
