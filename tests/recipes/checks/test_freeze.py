"""Facts about movement. m = 85 / (3000 - 85) = 0.02916; 3 m/s and 0.03 mm allow 0.03 / (3000 · 0.02916) = 0.3429 ms."""

from __future__ import annotations

import pytest

from recipes.checks.freeze import check
from tests.recipes.checks.setups import a_look, a_prediction, a_setting, a_setup, a_strobe, a_zone

RUNNER = {"movement_m_per_s": 3.0}


def moving(**subject):
    return a_look(subject={**RUNNER, **subject})


def only(findings):
    (finding,) = findings
    return finding


def test_a_short_flash_freezes():
    # 1/12800 s = 0.0781 ms.
    finding = only(check(a_setup(moving()), a_prediction(a_setting(setting_stops=-6.0))))
    assert (finding.status, finding.value, finding.limit) == (
        "ok",
        pytest.approx(0.078125),
        pytest.approx(0.34294, abs=1e-5),
    )


def test_a_long_flash_does_not_and_a_lower_setting_is_offered():
    # 2.5 ms / 0.3429 ms is 2.87 stops. Of the lines of the table only 1/12800 s at -6 is short enough.
    finding = only(check(a_setup(moving()), a_prediction()))
    assert finding.status == "gap"
    assert "2.9 stops too long" in finding.sentence
    assert finding.remedies[0].arguments == (("light", "Key"), ("setting_stops", "-6"))


def test_no_setting_is_offered_when_no_line_of_the_table_is_short_enough():
    strobe = a_strobe(durations=[{"setting_stops": 0, "t01_s": 0.0025}])
    finding = only(check(a_setup(moving(), heads=(strobe,)), a_prediction()))
    assert [remedy.action for remedy in finding.remedies] == ["assign"]


def test_t05_is_never_compared_and_its_long_end_makes_it_tight():
    # t0.5 0.11 ms would look three times short enough; t0.1 is likely 0.33 ms, at most 0.365 ms, allowed 0.343 ms.
    strobe = a_strobe(durations=[{"setting_stops": 0, "t05_s": 0.00011}])
    finding = only(check(a_setup(moving(), heads=(strobe,)), a_prediction()))
    assert (finding.status, finding.estimated, finding.value) == ("tight", True, pytest.approx(0.33))


def test_movement_straight_at_the_camera_has_no_limit():
    finding = only(check(a_setup(moving(movement_angle_deg=0.0)), a_prediction()))
    assert (finding.status, finding.limit, finding.margin) == ("ok", None, None)
    assert finding.workings[1].result == "no limit"


def test_with_high_speed_sync_the_shutter_time_counts_and_leaving_it_helps():
    # 1/1024 s = 0.977 ms against 0.343 ms.
    look = a_look(subject=RUNNER, camera={"shutter": "1/1000", "high_speed_sync": True})
    finding = only(check(a_setup(look), a_prediction(a_setting(setting_stops=-6.0))))
    assert (finding.status, finding.value) == ("gap", pytest.approx(0.9766, abs=1e-4))
    assert "high-speed sync" in finding.remedies[0].sentence


def test_a_subject_at_rest_asks_nothing():
    assert list(check(a_setup(), a_prediction())) == []


@pytest.mark.parametrize(
    ("shares", "asked"),
    # From 3 % on, five stops under, a light draws an edge: common practice, no source.
    [((0.025,), 0), ((0.035,), 1), ((0.5, 0.0), 1), ((0.0, 0.02), 0), ((None,), 0)],
)
def test_a_light_that_hardly_reaches_any_zone_draws_no_edge(shares, asked):
    zones = tuple(a_zone(light_shares=(("Key", part),) if part is not None else ()) for part in shares)
    assert len(list(check(a_setup(moving()), a_prediction(zones=zones)))) == asked


def test_a_slow_movement_is_a_movement():
    # 0.5 m/s allow six times as long as 3 m/s.
    finding = only(check(a_setup(moving(movement_m_per_s=0.5)), a_prediction()))
    assert finding.limit == pytest.approx(6 * 0.34294, abs=1e-4)


def test_of_the_settings_that_are_short_enough_the_strongest_is_offered():
    # 0.06 mm allow 0.686 ms: 1/1600 s at -2 is short enough, and so is 1/12800 s at -6.
    finding = only(check(a_setup(moving(allowed_blur_mm=0.06)), a_prediction()))
    assert finding.remedies[0].arguments == (("light", "Key"), ("setting_stops", "-2"))


def test_a_light_counts_while_a_zone_is_unknown():
    assert len(list(check(a_setup(moving()), a_prediction(zones=(a_zone(placement=None),))))) == 1


@pytest.mark.parametrize(
    ("setting", "missing"),
    [(None, "the setting of Key"), (-3.0, "t0.1 of Plain strobe at -3.0 stops")],
)
def test_without_setting_or_table_it_is_unknown(setting, missing):
    strobe = a_strobe(durations=[{"setting_stops": 0, "t01_s": 0.001}])
    finding = only(check(a_setup(moving(), heads=(strobe,)), a_prediction(a_setting(setting_stops=setting))))
    assert (finding.status, finding.missing) == ("unknown", missing)


def test_a_camera_nearer_than_its_focal_length_is_unknown():
    for distance_m, focal_mm in ((0.05, 85.0), (0.08, 85.0), (0.05, 50.0)):
        look = a_look(subject=RUNNER, camera={"distance_m": distance_m, "focal_length_mm": focal_mm})
        finding = only(check(a_setup(look), a_prediction()))
        assert (finding.status, finding.about) == ("unknown", "camera")


def test_what_high_speed_sync_takes_is_no_estimate():
    look = a_look(subject=RUNNER, camera={"shutter": "1/1000", "high_speed_sync": True})
    assert only(check(a_setup(look), a_prediction())).estimated is False
