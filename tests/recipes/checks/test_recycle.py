"""Facts about recycling. The strobe is ready 1.2 s and full 1.6 s after full power, 0.3 and 0.4 s at -2."""

from __future__ import annotations

from dataclasses import replace

import pytest

from recipes.checks.recycle import check
from tests.recipes.checks.setups import a_look, a_plan, a_prediction, a_setting, a_setup, a_strobe


def session(**more):
    return a_setup(a_look(session=more))


def only(findings):
    (finding,) = findings
    return finding


@pytest.mark.parametrize(
    ("pace_s", "status", "margin"), [(2.0, "ok", 0.8), (1.5, "tight", 0.3), (1.0, "gap", -0.2)]
)
def test_the_ready_lamp_must_light_between_frames_and_full_charge_should(pace_s, status, margin):
    finding = only(check(session(pace_s=pace_s), a_prediction()))
    assert (finding.status, finding.margin, finding.unit) == (status, pytest.approx(margin), "s")


def test_full_just_in_time_is_in_time():
    assert only(check(session(pace_s=1.6), a_prediction())).status == "ok"


def test_two_frames_are_a_burst_already():
    assert len(list(check(session(burst_frames=2, burst_rate_hz=2.0), a_prediction()))) == 2


@pytest.mark.parametrize(("basis", "estimated"), [("maker", False), ("estimated", True)])
def test_a_table_that_is_a_guess_makes_the_answer_one(basis, estimated):
    strobe = a_strobe(sources={"recycle": {"basis": basis}})
    assert only(check(a_setup(heads=(strobe,)), a_prediction())).estimated is estimated


@pytest.mark.parametrize(
    ("table", "pace_s", "offered"),
    [
        # Ready in time, full too late: the next line.
        ([(0, 1.2, 1.6), (-1, 0.5, 0.9), (-2, 0.3, 0.4)], 0.8, "-2"),
        # Full just in time.
        ([(0, 1.2, 1.6), (-1, 0.5, 0.8), (-2, 0.3, 0.4)], 0.8, "-1"),
        # Where the full charge is not stated the ready lamp counts.
        ([(0, 1.2, None), (-1, 0.5, None), (-2, 0.3, None)], 0.4, "-2"),
    ],
)
def test_the_strongest_setting_that_is_full_in_time_is_offered(table, pace_s, offered):
    lines = [{"setting_stops": stops, "ready_s": ready, "full_s": full} for stops, ready, full in table]
    setup = a_setup(a_look(session={"pace_s": pace_s}), heads=(a_strobe(recycle=lines),))
    assert only(check(setup, a_prediction())).remedies[0].arguments[1] == ("setting_stops", offered)


def test_a_stronger_setting_is_never_offered():
    # At -2 it is full after 0.4 s; of full power the sheet says only when the lamp is ready.
    lines = [{"setting_stops": 0, "ready_s": 0.3}, {"setting_stops": -2, "ready_s": 0.3, "full_s": 0.4}]
    setup = a_setup(a_look(session={"pace_s": 0.35}), heads=(a_strobe(recycle=lines),))
    finding = only(check(setup, a_prediction(a_setting(setting_stops=-2.0))))
    assert finding.status == "tight"
    assert [remedy.action for remedy in finding.remedies] == ["edit_recipe", "assign"]


def test_a_frame_before_full_charge_is_darker():
    # log2(1.6 / 1.0) = 0.68 with the ready lamp at 0.9 s: energy balance of a constant-power charger.
    strobe = a_strobe(recycle=[{"setting_stops": 0, "ready_s": 0.9, "full_s": 1.6}])
    finding = only(check(a_setup(a_look(session={"pace_s": 1.0}), heads=(strobe,)), a_prediction()))
    assert "up to 0.7 stops darker" in finding.sentence


def test_too_slow_a_head_is_offered_the_setting_at_which_it_keeps_up():
    finding = only(check(session(pace_s=0.5), a_prediction()))
    assert finding.remedies[0].arguments == (("light", "Key"), ("setting_stops", "-2"))


def test_a_head_that_never_keeps_up_is_offered_no_setting():
    finding = only(check(session(pace_s=0.05), a_prediction()))
    assert len(finding.remedies) == 2


def test_a_burst_has_a_finding_of_its_own():
    # 2 frames a second leave 0.5 s; at -2 the head is full after 0.4 s, at full power not even ready.
    pace, burst = check(
        session(burst_frames=5, burst_rate_hz=2.0), a_prediction(a_setting(setting_stops=-2.0))
    )
    assert (pace.about, burst.about, burst.status, burst.limit) == ("Key", "Key in a burst", "ok", 0.5)
    _, burst = check(session(burst_frames=5, burst_rate_hz=2.0), a_prediction())
    assert burst.status == "gap"
    assert "Make shorter or slower bursts." in [remedy.sentence for remedy in burst.remedies]


def test_full_charge_that_is_not_stated_is_said_so():
    strobe = a_strobe(recycle=[{"setting_stops": 0, "ready_s": 1.2}])
    finding = only(check(a_setup(heads=(strobe,)), a_prediction()))
    assert finding.status == "ok"
    assert "not stated" in finding.sentence


@pytest.mark.parametrize(
    ("setting", "missing"),
    [(None, "the setting of Key"), (-3.0, "the recycling time of Plain strobe at -3.0 stops")],
)
def test_without_setting_or_table_it_is_unknown(setting, missing):
    strobe = a_strobe(recycle=[{"setting_stops": 0, "ready_s": 1.2}])
    finding = only(check(a_setup(heads=(strobe,)), a_prediction(a_setting(setting_stops=setting))))
    assert (finding.status, finding.missing) == ("unknown", missing)


def test_a_head_whose_setting_nobody_knows_does_not_hide_the_next_one():
    look = a_look(a_plan("Key"), a_plan("Rim"))
    setup = a_setup(look)
    heads = (a_strobe("ST-1"),)
    setup = replace(setup, lights=tuple(replace(light, heads=heads) for light in setup.lights))
    prediction = a_prediction(a_setting("Key", None), a_setting("Rim"))
    assert [(f.about, f.status) for f in check(setup, prediction)] == [("Key", "unknown"), ("Rim", "ok")]
    # Nor does one whose table nobody filled in.
    key, rim = setup.lights
    setup = replace(setup, lights=(replace(key, heads=(a_strobe("ST-2", recycle=[]),)), rim))
    prediction = a_prediction(a_setting("Key"), a_setting("Rim"))
    assert [(f.about, f.status) for f in check(setup, prediction)] == [("Key", "unknown"), ("Rim", "ok")]
