"""The smaller ways in which a recipe and its units may say things, each with its number."""

from __future__ import annotations

from dataclasses import replace
from math import log2

import pytest

from gear.specs import CameraSpec, LensSpec
from recipes.checks.exposure import exposure_of, lens_loss_stops, meter_of
from recipes.checks.lighting import light_up
from recipes.checks.placement import check as check_placement
from recipes.checks.prediction import predict, predict_under
from tests.recipes.stages import a_board, a_box, a_light, a_look, a_setup, a_strobe, a_zone, unit


def placement(setup, zone="face"):
    return predict(setup).zone(zone).placement


def test_a_disc_lights_like_a_disc():
    # Howell's catalogue: F = R² / (R² + h²), R = 0.6, h = 2; half of 8042 lm·s leaves 1.131 m².
    look = a_look(lights=[a_light(setting_stops=0.0, modifier={"shape": "disc", "width_m": 1.2})])
    disc = unit(a_box(shape="disc", width_m=1.2, height_m=None), "F-01")
    exposure = 640 * 4 * 3.141592653589793 / 2 / (3.141592653589793 * 0.36) * 0.36 / 4.36
    assert placement(a_setup(look, modifier=disc)) == pytest.approx(
        log2(exposure * 100 / (250 * 64)), abs=1e-4
    )


CAMERA = {"aperture": "f/8", "shutter": "1/1000", "iso": "100", "series": "full", "high_speed_sync": True}
BODY = CameraSpec(
    sensor_width_mm=36,
    sensor_height_mm=24,
    pixels_wide=6000,
    sync_speed_s=1 / 250,
    curtain_travel_s=1 / 256,
    lens_mount="m",
)


@pytest.mark.parametrize(
    ("camera", "body", "loss"),
    [
        # Constant power over Tc + t: log2((1/256 + 1/1024) / (1/1024)) = log2 5, plus the head's own half stop.
        (CAMERA, BODY, log2(5) + 0.5),
        ({**CAMERA, "shutter": "1/125"}, BODY, 0.0),
        ({**CAMERA, "high_speed_sync": False}, BODY, 0.0),
        (CAMERA, BODY.model_copy(update={"shutter": "leaf", "curtain_travel_s": None}), 0.0),
        (CAMERA, None, 0.0),
        # The marked sync time itself: an engraved 1/250 is 1/256 exactly, and still within sync.
        ({**CAMERA, "shutter": "1/250"}, BODY, 0.0),
    ],
)
def test_high_speed_sync_costs_what_the_curtain_takes(camera, body, loss):
    head = unit(a_strobe(high_speed_sync=True, high_speed_sync_loss_stops=0.5))
    look = a_look(camera=camera, lights=[a_light(setting_stops=0.0)])
    setup = a_setup(look, heads=(head,), camera=unit(body, "N-01") if body else None)
    assert placement(setup) == pytest.approx(-loss, abs=1e-6)


def test_a_meter_that_takes_in_the_whole_burst_shows_what_the_slit_misses():
    # All of it is flash: 2.32 stops more than a row of the frame gets, which is the head's own half stop short of f/8.
    head = unit(a_strobe(high_speed_sync=True, high_speed_sync_loss_stops=0.5))
    look = a_look(camera=CAMERA, lights=[a_light(setting_stops=0.0)])
    setup = a_setup(look, heads=(head,), camera=unit(BODY, "N-01"))

    def said(setup):
        return {one.name: one.result for one in next(check_placement(setup, predict(setup))).workings}

    name = "hand meter that takes in the whole burst"
    assert said(setup)[name] == "shows −0.50 stops"
    in_sync = a_look(camera={**CAMERA, "shutter": "1/125"}, lights=[a_light(setting_stops=0.0)])
    assert name not in said(replace(setup, look=in_sync))


def test_a_light_without_an_aim_is_turned_to_the_head_of_a_standing_figure():
    look = a_look(
        subject={"height_m": 1.8},
        zones=[a_zone(height_m=1.62)],
        lights=[{**a_light(setting_stops=0.0, height_m=1.62), "aim": None}],
    )
    assert placement(a_setup(look)) == pytest.approx(0.0, abs=1e-6)


def test_a_light_that_stands_on_its_aim_is_refused_in_words():
    look = a_look(lights=[a_light(distance_m=0.0)])
    assert "they stand in one place" in predict(a_setup(look)).light("Key").missing


BOUNCE = {"bearing_deg": 90, "distance_m": 1.5, "height_m": 1.5, "width_m": 2.0, "height_of_board_m": 2.0}


def bounced(**more):
    light = a_light(bearing_deg=355, distance_m=1.0, setting_stops=0.0, bounce={**BOUNCE, **more})
    return a_look(zones=[a_zone(facing_deg=90)], lights=[light])


def test_a_board_turned_away_gives_nothing():
    # It faces the camera side and up: neither the lamp's light nor the face is before it.
    assert placement(a_setup(bounced(turn_deg=90.0))) is None
    assert placement(a_setup(bounced(turn_deg=270.0))) is not None


def test_a_board_that_nobody_described_counts_as_white_card():
    said = placement(a_setup(bounced(reflectance=0.85)))
    assert placement(a_setup(bounced())) == pytest.approx(said)


def test_an_assigned_board_goes_before_the_recipes():
    small = a_setup(bounced(), board=unit(a_board(width_m=0.5, height_m=0.5), "B-09"))
    assert placement(small) < placement(a_setup(bounced())) - 1.0


def test_a_reading_may_be_given_as_ev_lux_or_luminance():
    meter = meter_of(a_setup())
    lux = meter.lux(10.0)
    by_ev = a_look(lights=[], ambient=[{"zone": "face", "ev100": 10}])
    by_lux = a_look(lights=[], ambient=[{"zone": "face", "lux": lux}])
    spot = a_zone(reading="luminance")
    by_cd = a_look(lights=[], zones=[spot], ambient=[{"zone": "face", "cd_m2": meter.cd_m2(10.0)}])
    # EV 10 at f/8 and 1/128 s, which is right for EV 13, lies at -3.
    for look in (by_ev, by_lux, by_cd):
        assert placement(a_setup(look)) == pytest.approx(-3.0, abs=1e-6)


def test_a_light_lights_the_zone_it_lights_most_when_it_has_no_aim():
    zones = [a_zone("near", facing_deg=0), a_zone("far", bearing_deg=180, distance_m=2.0)]
    ambient = [{"zone": "near", "lux": 0}, {"zone": "far", "lux": 0}]
    look = a_look(zones=zones, ambient=ambient, lights=[{**a_light(), "aim": None}])
    assert predict(a_setup(look)).light("Key").zone == "near"


def test_names_that_are_not_there_raise():
    prediction = predict(a_setup())
    with pytest.raises(KeyError):
        prediction.zone("nose")
    with pytest.raises(KeyError):
        prediction.light("Rim")


def test_a_lift_of_a_zone_in_the_dark_falls_back_to_the_target():
    look = a_look(lights=[a_light(lifts=[{"zone": "face", "lift_stops": 1.0}])])
    setting = predict(a_setup(look)).light("Key")
    assert (setting.decided_by, setting.wanted_stops) == (
        "brings face to its target",
        pytest.approx(0.0, abs=1e-6),
    )


def test_a_lift_of_a_zone_that_the_light_does_not_reach_falls_back_too():
    zones = [a_zone(), a_zone("back", facing_deg=180)]
    ambient = [{"zone": "face", "lux": 0}, {"zone": "back", "lux": 0}]
    look = a_look(
        zones=zones, ambient=ambient, lights=[a_light(lifts=[{"zone": "back", "alone_stops": 0.0}])]
    )
    assert "what this light is for" in predict(a_setup(look)).light("Key").missing


def test_the_terms_are_the_same_whoever_asks():
    setup = a_setup()
    assert predict_under(light_up(setup)) == predict(setup)
    assert exposure_of(setup).f_number == 8.0


def test_a_head_that_states_no_loss_of_its_own_loses_what_the_curtain_takes():
    look = a_look(camera=CAMERA, lights=[a_light(setting_stops=0.0)])
    setup = a_setup(look, heads=(unit(a_strobe(high_speed_sync=True)),), camera=unit(BODY, "N-01"))
    assert placement(setup) == pytest.approx(-log2(5), abs=1e-6)


def test_a_lens_nearer_than_its_focal_length_takes_what_its_glass_takes():
    lens = unit(
        LensSpec(focal_min_mm=85, focal_max_mm=85, widest_f_number=2, closest_focus_m=0.8, mount="m"), "O-01"
    )
    near = a_look(camera={**CAMERA, "distance_m": 0.05})
    assert lens_loss_stops(a_setup(near, lens=lens)) == (0.0, 0.0)
