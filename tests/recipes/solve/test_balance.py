"""Another camera setting under which everything is inside its target."""

from __future__ import annotations

import pytest

from gear.specs import CameraSpec, LensSpec
from recipes.solve.balance import camera_changes
from tests.recipes.stages import a_light, a_look, a_panel, a_setup, a_strobe, a_zone, unit

BODY = unit(
    CameraSpec(
        sensor_width_mm=36,
        sensor_height_mm=24,
        pixels_wide=6000,
        sync_speed_s=1 / 125,
        curtain_travel_s=0.003,
        lens_mount="m",
    ),
    "N-01",
)
LENS = unit(
    LensSpec(focal_min_mm=85, focal_max_mm=85, widest_f_number=5.6, closest_focus_m=0.8, mount="m"), "O-01"
)
WEAK = {"lights": [a_light(distance_m=2.0 * 2**0.5)]}  # one stop short


def test_one_stop_short_is_mended_by_one_stop_of_aperture_or_speed():
    found = {change.by: change for change in camera_changes(a_setup(a_look(**WEAK)))}
    assert found["aperture"].camera.aperture == "f/5.6"
    assert found["speed"].camera.iso == "200"
    assert found["speed"].gain_stops == pytest.approx(1.0)
    assert found["speed"].changed == (("aperture", "f/8"), ("shutter", "1/125"), ("iso", "200"))


def windowed(target=0.0, tolerance=0.3, **more):
    zones = [a_zone(), a_zone("window", target, tolerance, reading="luminance", glows=True)]
    return a_look(zones=zones, ambient=[{"zone": "face", "lux": 0}, {"zone": "window", "ev100": 13}], **more)


def test_the_window_is_held_by_a_shorter_time():
    change = camera_changes(a_setup(windowed(**WEAK)))[0]
    assert (change.camera.shutter, change.shorter_stops) == ("1/250", pytest.approx(1.0))


def test_the_shutter_stays_within_sync():
    assert camera_changes(a_setup(windowed(**WEAK), camera=BODY)) == ()


def bright_window(source):
    zones = [a_zone(), a_zone("window", reading="luminance", glows=True)]
    ambient = [{"zone": "face", "lux": 0}, {"zone": "window", "ev100": 14}]
    return a_look(zones=zones, ambient=ambient, lights=[a_light(source=source, distance_m=1.0)])


def test_a_light_that_burns_knows_no_sync_and_a_strobe_does():
    bright = unit(a_panel(flux_lm=12566.370614 * 64))
    burning = {
        c.by: c for c in camera_changes(a_setup(bright_window("continuous"), heads=(bright,), camera=BODY))
    }
    assert burning["speed"].camera.shutter == "1/250"
    flashing = camera_changes(a_setup(bright_window("strobe"), camera=BODY))
    assert all(change.shorter_stops <= 0 for change in flashing)
    assert flashing


def test_the_lens_opens_no_further_than_it_can():
    look = a_look(lights=[a_light(distance_m=4.0)])
    found = {change.by: change for change in camera_changes(a_setup(look, lens=LENS))}
    assert "aperture" not in found
    assert found["speed"].camera.iso == "400"


def test_the_body_goes_no_lower_than_its_lowest_speed():
    readings = [
        {"setting_stops": 0, "f_number_iso100": 16.0},
        {"setting_stops": -5, "f_number_iso100": 16.0 / 2**2.5},
    ]
    head = unit(a_strobe(lowest_setting_stops=-5.0, output=readings))
    strong = a_setup(a_look(lights=[a_light(distance_m=0.2)]), heads=(head,), camera=BODY)
    found = {change.by: change for change in camera_changes(strong)}
    assert found["aperture"].gain_stops < 0
    assert "speed" not in found


def test_what_no_camera_setting_mends_gets_none():
    assert camera_changes(a_setup(a_look(lights=[a_light(distance_m=20.0)]))) == ()
    assert camera_changes(a_setup(a_look(ambient=[]))) == ()
