"""Facts about heat limits. The strobe bears 60 full-power flashes in 5 minutes."""

from __future__ import annotations

import pytest

from recipes.checks.heat import check
from tests.recipes.checks.setups import a_look, a_prediction, a_setting, a_setup, a_strobe


def only(findings):
    (finding,) = findings
    return finding


@pytest.mark.parametrize(
    ("pace_s", "asked", "status"),
    # 300 s / pace flashes in the five minutes, of a run of 500.
    # Less than a tenth of the 60 to spare is tight: common practice, no source.
    [
        (10.0, 30.0, "ok"),
        (5.6, 54.0, "ok"),
        (5.5, 55.0, "tight"),
        (5.2, 58.0, "tight"),
        (5.0, 60.0, "tight"),
        (4.0, 75.0, "gap"),
    ],
)
def test_the_busiest_minutes_are_held_to_the_limit(pace_s, asked, status):
    look = a_look(session={"pace_s": pace_s, "frames": 500})
    finding = only(check(a_setup(look), a_prediction()))
    assert (finding.status, finding.value, finding.limit) == (status, asked, 60.0)


def test_a_flash_at_half_power_counts_half():
    # Heat follows energy: common practice, no source. 75 · 1/2 = 37.5.
    look = a_look(session={"pace_s": 4.0, "frames": 500})
    finding = only(check(a_setup(look), a_prediction(a_setting(setting_stops=-1.0))))
    assert (finding.status, finding.value) == ("ok", 37.5)


def test_a_short_run_is_counted_as_short():
    look = a_look(session={"pace_s": 1.0, "frames": 20})
    assert only(check(a_setup(look), a_prediction())).value == 20.0


def test_the_pace_that_never_overheats_is_offered():
    # 300 s / 60 flashes: one every 5 s.
    look = a_look(session={"pace_s": 4.0, "frames": 500})
    assert "every 5.0 s" in only(check(a_setup(look), a_prediction())).remedies[0].sentence


def test_at_half_power_half_that_pace_never_overheats():
    look = a_look(session={"pace_s": 2.0, "frames": 500})
    finding = only(check(a_setup(look), a_prediction(a_setting(setting_stops=-1.0))))
    assert "every 2.5 s" in finding.remedies[0].sentence


@pytest.mark.parametrize(("basis", "estimated"), [("maker", False), ("estimated", True)])
def test_a_heat_limit_that_is_a_guess_makes_the_answer_one(basis, estimated):
    strobe = a_strobe(sources={"thermal": {"basis": basis}})
    assert only(check(a_setup(heads=(strobe,)), a_prediction())).estimated is estimated


@pytest.mark.parametrize(
    ("strobe", "setting", "missing"),
    [
        (
            a_strobe(thermal=[]),
            0.0,
            "the heat limit of Plain strobe: flashes at full power in how many minutes",
        ),
        (a_strobe(), None, "the setting of Key"),
    ],
)
def test_without_a_limit_or_a_setting_it_is_unknown(strobe, setting, missing):
    finding = only(check(a_setup(heads=(strobe,)), a_prediction(a_setting(setting_stops=setting))))
    assert (finding.status, finding.missing) == ("unknown", missing)


@pytest.mark.parametrize(("pace_s", "warned"), [(10.0, False), (5.2, True), (4.0, True)])
def test_who_comes_near_the_limit_is_told_of_the_heat(pace_s, warned):
    look = a_look(session={"pace_s": pace_s, "frames": 500})
    assert bool(only(check(a_setup(look), a_prediction())).caution) is warned
