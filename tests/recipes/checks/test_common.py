"""Facts about what the checks of one readiness have in common."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import log2

import numpy as np
import pytest

from gear.specs import CameraSpec
from recipes.checks import common as module
from recipes.checks import daylight, room_to_move, sun_on_mark
from recipes.checks import light_plan as light_plan_module
from recipes.checks import prediction as prediction_module
from recipes.checks.common import Common
from recipes.checks.light_plan import grid_of, placement_map, placements_at
from recipes.checks.prediction import predict
from recipes.checks.registry import run_checks
from recipes.checks.setup import Window
from recipes.checks.window_ambient import NO_AMBIENT, Ambient
from recipes.light.sun import sun_path
from tests.recipes.stages import a_hall, a_light, a_look, a_panel, a_setup, a_strobe, a_zone, unit

NINE = datetime(2026, 4, 7, 9, tzinfo=UTC)
CAMERA = {"aperture": "f/8", "shutter": "1/1000", "iso": "100", "series": "full", "high_speed_sync": True}
BODY = CameraSpec(
    sensor_width_mm=36,
    sensor_height_mm=24,
    pixels_wide=6000,
    sync_speed_s=1 / 250,
    curtain_travel_s=1 / 256,
    lens_mount="m",
)


def by_a_window(**more):
    """A face in a grey hall with a window to the south, read at eleven."""
    room = a_hall(
        windows=(Window("South", 2.0, 2.0, 0.8, (0.0, -5.0, 1.8), azimuth_deg=180.0),),
        latitude_deg=48.2,
        longitude_deg=16.4,
        wall_reflectance=0.4,
    )
    look = a_look(
        zones=[a_zone(), a_zone("back", facing_deg=180)],
        ambient=[{"zone": "face", "ev100": 6, "at": "11:00"}, {"zone": "back", "ev100": 6, "at": "10:15"}],
    )
    return a_setup(look, room=room, **{"starts": NINE, "ends": NINE + timedelta(hours=5), **more})


def test_light_and_sun_are_asked_for_once(monkeypatch):
    asked = []
    monkeypatch.setattr(module, "sun_path", lambda *given: asked.append("sun") or sun_path(*given))
    real = module.light_up
    for asking in (module, prediction_module, light_plan_module):
        monkeypatch.setattr(asking, "light_up", lambda setup: asked.append("light") or real(setup))
    report = run_checks(by_a_window())
    assert {"daylight", "sun-on-mark", "room-to-move"} <= {finding.check for finding in report.findings}
    assert sorted(asked) == ["light", "sun"]


@pytest.mark.parametrize("check", [daylight.check, sun_on_mark.check, room_to_move.check])
def test_a_check_alone_finds_what_it_finds_with_the_others(check):
    setup = by_a_window()
    prediction = predict(setup)
    assert list(check(setup, prediction)) == list(check(setup, prediction, Common(setup)))


@pytest.mark.parametrize(("minutes", "count"), [(1, 5), (12, 5), (300, 31), (305, 32)])
def test_the_sun_is_known_from_the_first_minute_to_the_last_and_at_every_reading(minutes, count):
    common = Common(by_a_window(ends=NINE + timedelta(minutes=minutes)))
    assert common.instants[0] == NINE
    assert common.instants[-1] == NINE + timedelta(minutes=minutes)
    # Every ten minutes, five at least.
    assert len(common.instants) == count
    assert common.readings == (NINE.replace(hour=11), NINE.replace(hour=10, minute=15))
    assert common.sun.instants == (*common.instants, *common.readings)


def test_without_hours_or_a_place_there_is_no_sun():
    setup = by_a_window()
    assert Common(replace(setup, starts=None)).sun is None
    assert Common(replace(setup, room=None)).sun is None
    assert Common(replace(setup, room=replace(setup.room, latitude_deg=None))).sun is None


def test_the_plan_says_at_the_zone_what_the_prediction_says():
    # High-speed sync takes log2 5 stops and the head's own half, on the plan as in the prediction.
    head = unit(a_strobe(high_speed_sync=True, high_speed_sync_loss_stops=0.5))
    look = a_look(camera=CAMERA, lights=[a_light(setting_stops=-1.0)])
    setup = a_setup(look, heads=(head,), camera=unit(BODY, "N-01"))
    prediction = predict(setup)
    plan = placement_map(setup, prediction, grid_of(setup, 0.5), 1.5)
    assert prediction.zone("face").placement == pytest.approx(-1.0 - log2(5) - 0.5, abs=1e-6)
    assert plan.at(0.0, 0.0) == pytest.approx(prediction.zone("face").placement, abs=1e-6)


def test_the_plan_of_a_light_that_burns_goes_by_the_shutter_time_too():
    look = a_look(lights=[a_light(source="continuous", setting_stops=-1.0)])
    setup = a_setup(look, heads=(unit(a_panel()),))
    prediction = predict(setup)
    plan = placement_map(setup, prediction, grid_of(setup, 0.5), 1.5)
    assert plan.at(0.0, 0.0) == pytest.approx(prediction.zone("face").placement, abs=1e-6)


def test_a_plan_outdoors_reaches_three_metres_round_the_mark_and_in_a_room_to_its_walls():
    open_air = grid_of(a_setup(), 0.5)
    assert (open_air.x_from_m, open_air.x_to_m, open_air.y_from_m, open_air.y_to_m) == (-3.0, 3.0, -3.0, 3.0)
    room = grid_of(a_setup(room=a_hall(mark_m=(2.0, 4.0))), 0.5)
    assert (room.x_from_m, room.x_to_m, room.y_from_m, room.y_to_m) == (-8.0, 2.0, -4.0, 6.0)


def test_a_light_that_is_computed_beforehand_changes_no_placement():
    setup = by_a_window()
    prediction = predict(setup)
    points, towards = np.array([[0.0, 0.0, 1.5], [0.2, -0.3, 1.0]]), np.array([0.0, 1.0, 0.0])
    alone = placements_at(setup, prediction, points, towards).stops
    at_hand = placements_at(setup, prediction, points, towards, lighting=Common(setup).lighting).stops
    assert alone == pytest.approx(at_hand)
    assert np.all(NO_AMBIENT.at(points, towards) == 0.0)
    # With an ambient of placement 0 beside it, the light only adds.
    assert np.all(
        placements_at(setup, prediction, points, towards, ambient=Ambient(1.0)).stops > np.maximum(alone, 0.0)
    )


def test_a_light_without_a_setting_is_dark_on_the_plan():
    lights = [a_light("Key", setting_stops=0.0), a_light("Rim", bearing_deg=180, setting_stops=0.0)]
    setup = a_setup(a_look(lights=lights))
    prediction = predict(setup)
    towards = np.array([0.0, -1.0, 0.0])
    point = np.array([[0.0, 0.0, 1.5]])
    assert np.isfinite(placements_at(setup, prediction, point, towards).stops[0])
    off = replace(
        prediction,
        lights=tuple(
            replace(light, setting_stops=None) if light.light == "Rim" else light
            for light in prediction.lights
        ),
    )
    assert placements_at(setup, off, point, towards, lighting=Common(setup).lighting).stops[0] == -np.inf
