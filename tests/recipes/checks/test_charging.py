"""Facts about charging. 60 frames of 500 Ws through 0.75 take 11.1 of 90 Wh: an eighth of two hours."""

from __future__ import annotations

from dataclasses import replace

import pytest

from recipes.checks import charging
from recipes.checks.charging import check
from recipes.rig.charging import plan_charging
from tests.recipes.checks.setups import (
    a_battery,
    a_look,
    a_panel,
    a_plan,
    a_prediction,
    a_setting,
    a_setup,
    a_unit,
)


def a_charger(slots=1, fits=("rail-48",)):
    return a_unit("charger", "CH-1", fits=fits, slots=slots)


def before(hours, *batteries, chargers=None, frames=60, heads=None, plan=None):
    return a_setup(
        a_look(plan or a_plan(), session={"frames": frames}),
        heads=heads,
        units={"batteries": batteries or (a_battery(),)},
        chargers=(a_charger(),) if chargers is None else chargers,
        hours_until_next_shoot=hours,
    )


def only(findings):
    (finding,) = findings
    return finding


def test_a_battery_charges_what_it_lost():
    # 60 · 500 / 0.75 / 3600 = 11.11 Wh of 90 Wh: 0.1235 · 2 h = 0.247 h.
    finding = only(check(before(10.0), a_prediction()))
    assert (finding.status, finding.value) == ("ok", pytest.approx(0.2469, abs=1e-4))
    assert "Lithium" in finding.caution


@pytest.mark.parametrize(
    ("hours", "status", "margin"),
    # Less than a tenth of the time to spare is tight: common practice, no source.
    [(5.0, "ok", 1.0), (4.5, "ok", 0.5), (4.2, "tight", 0.2), (3.0, "gap", -1.0), (0.5, "gap", -2.0)],
)
def test_two_empty_batteries_share_one_slot(hours, status, margin):
    # 1000 frames empty both: 2 h each, one after the other.
    batteries = (a_battery("BA-1"), a_battery("BA-2"))
    finding = only(check(before(hours, *batteries, frames=2000), a_prediction()))
    assert (finding.status, finding.margin) == (status, pytest.approx(margin))


def test_the_battery_that_lacks_most_is_named():
    # In half an hour the first gets a quarter of its two hours, the second none.
    finding = only(check(before(0.5, a_battery("BA-1"), a_battery("BA-2"), frames=2000), a_prediction()))
    assert "2 of 2 batteries" in finding.sentence
    assert "BA-2 lacks 2.0 h (no slot is free in time)" in finding.sentence


def test_batteries_of_a_light_without_a_head_stay_full():
    finding = only(check(before(10.0, heads=()), a_prediction()))
    assert (finding.status, finding.value, finding.margin) == ("ok", 0.0, 10.0)


def test_two_slots_charge_both_at_once():
    batteries = (a_battery("BA-1"), a_battery("BA-2"))
    finding = only(check(before(3.0, *batteries, frames=2000, chargers=(a_charger(2),)), a_prediction()))
    assert (finding.status, finding.value) == ("ok", pytest.approx(2.0))


def test_a_charger_that_does_not_fit_is_a_gap():
    finding = only(check(before(10.0, chargers=(a_charger(fits=("clip-14",)),)), a_prediction()))
    assert finding.status == "gap"
    assert "no charger here fits rail-48" in finding.sentence


def test_a_setting_that_nobody_knows_counts_as_empty():
    finding = only(check(before(10.0), a_prediction(a_setting(setting_stops=None))))
    assert finding.value == pytest.approx(2.0)


def test_a_burning_light_takes_watts_times_hours():
    # 100 W · 60 · 4 s = 6.67 Wh of 90 Wh: 0.148 h.
    panel = a_panel(supply="battery", battery_fit="rail-48", mains=None)
    setup = before(10.0, heads=(panel,), plan=a_plan(source="continuous"))
    assert only(check(setup, a_prediction())).value == pytest.approx(0.1481, abs=1e-4)


def test_a_shortage_that_is_not_proven_is_tight(monkeypatch):
    # The planner gives up on very long puzzles; then nobody knows that it cannot be done.
    monkeypatch.setattr(charging, "plan_charging", lambda *args: replace(plan_charging(*args), proven=False))
    finding = only(check(before(0.1, frames=2000), a_prediction()))
    assert (finding.status, finding.margin, finding.value) == ("tight", None, None)


@pytest.mark.parametrize(
    ("battery", "chargers", "missing"),
    [
        (a_battery(charge_hours=None), None, "the charging time of Plain battery"),
        (a_battery(), (), "a charger"),
    ],
)
def test_without_a_charging_time_or_a_charger_it_is_unknown(battery, chargers, missing):
    finding = only(check(before(10.0, battery, chargers=chargers), a_prediction()))
    assert (finding.status, finding.missing) == ("unknown", missing)


def test_without_a_next_shoot_or_without_batteries_there_is_no_question():
    assert list(check(before(None), a_prediction())) == []
    assert list(check(a_setup(hours_until_next_shoot=5.0), a_prediction())) == []
