"""How fast is the calculation, and against what? Ratios inside one run; no test here fails on a time.

``python3 manage.py test tests/bench --benchmark-only -n 0 -s`` measures and prints; in the usual run every case is done
once, so that it cannot rot.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime
from time import perf_counter

import numpy as np
import pytest

from gear.specs import BoardSpec
from recipes.checks.light_plan import grid_of, placement_map
from recipes.checks.prediction import predict
from recipes.checks.registry import run_checks
from recipes.checks.setup import Room, Setup, Window
from recipes.light.daylight import Receiver, Site, Weather, window_curve
from recipes.light.ev_map import FloorGrid, light_map
from recipes.light.geometry import facing, rectangle
from recipes.light.pane import WindowPane
from recipes.light.scene import Scene, Source, illuminate
from recipes.light.sun import instants_through
from tests.recipes.stages import a_box, a_hall, a_light, a_look, a_setup, a_strobe, a_zone, unit

LONG = os.environ.get("FULLSTOP_LONG") == "1"
WINDOW = Window("South window", 2.0, 2.0, 0.8, (0.0, -5.0, 1.8), azimuth_deg=180.0)


def best_of(times: int, act: Callable[[], object]) -> float:
    """The quickest of some runs, in seconds."""
    found = []
    for _ in range(times):
        begun = perf_counter()
        act()
        found.append(perf_counter() - begun)
    return min(found)


def a_hall_with_a_window(**more: object) -> Room:
    return a_hall(
        windows=(WINDOW,),
        latitude_deg=48.2,
        longitude_deg=16.4,
        country="AT",
        wall_reflectance=0.5,
        floor_reflectance=0.2,
        ceiling_reflectance=0.6,
        **more,
    )


def a_set(lights: int = 6, room: Room | None = None) -> Setup:
    """A face and three more zones, so many softboxes in a ring, the first of them off a board."""
    bounce = {"bearing_deg": 60, "distance_m": 1.8, "width_m": 2.0, "height_of_board_m": 2.0}
    plans = [
        a_light(
            f"Light {n}",
            bearing_deg=360 / lights * n,
            distance_m=2.5,
            height_m=2.0,
            modifier={"width_m": 0.6, "height_m": 0.9},
            **({"bounce": bounce} if n == 0 else {}),
        )
        for n in range(lights)
    ]
    zones = [
        a_zone(),
        a_zone("left", facing_deg=90),
        a_zone("right", facing_deg=270),
        a_zone("window", reading="luminance", glows=True, bearing_deg=180, distance_m=4.9),
    ]
    ambient = [
        {"zone": zone["name"], "ev100": 6, **({"at": "11:00"} if zone["name"] == "window" else {})}
        for zone in zones
    ]
    return a_setup(
        a_look(zones=zones, lights=plans, ambient=ambient),
        heads=(unit(a_strobe(), "K-01"),),
        modifier=unit(a_box(), "F-01"),
        board=unit(BoardSpec(width_m=2, height_m=2, reflectance=0.85), "B-01"),
        room=room,
        starts=datetime(2026, 4, 7, 9, tzinfo=UTC),
        ends=datetime(2026, 4, 7, 14, tzinfo=UTC),
    )


@pytest.mark.parametrize("place", ["outdoors", "in a room with a window"])
def test_the_prediction_of_six_lights_and_a_board(benchmark, place):
    setup = a_set(room=None if place == "outdoors" else a_hall_with_a_window())
    found = benchmark(predict, setup)
    assert found.zone("face").placement is not None


def test_one_readiness_of_six_lights_a_board_and_a_window(benchmark):
    setup = a_set(room=a_hall_with_a_window())
    report = benchmark(run_checks, setup)
    assert len(report.findings) > 10


@pytest.mark.skipif(not LONG, reason="a thousand readinesses are for the long run: FULLSTOP_LONG=1")
def test_a_thousand_readinesses(benchmark):
    setup = a_set(room=a_hall_with_a_window())
    benchmark.pedantic(lambda: [run_checks(setup) for _ in range(1000)], rounds=1)


def test_it_grows_with_the_lights_no_faster_than_they_do(capsys):
    few, many = a_set(2), a_set(8)
    predict(few)
    ratio = best_of(3, lambda: predict(many)) / best_of(3, lambda: predict(few))
    with capsys.disabled():
        print(f"\n  four times the lights: {ratio:.1f} times the time")
    assert len(predict(many).lights) == 4 * len(predict(few).lights)


SOFTBOX = Source("Key", "flash", rectangle([1.0, 1.5, 2.0], [-1.0, -1.5, -0.5], 0.6, 0.9), 4000.0)
GRID = FloorGrid(-2.55, 2.55, -2.55, 2.55, 0.02)


def test_a_map_of_256_by_256(benchmark):
    found = benchmark(light_map, Scene((SOFTBOX,)), GRID, 1.5, facing(0.0), 0.005)
    assert found.stops.shape == (256, 256)


def test_the_map_of_a_whole_set(benchmark):
    setup = a_set(room=a_hall_with_a_window())
    prediction = predict(setup)
    found = benchmark.pedantic(placement_map, (setup, prediction, grid_of(setup, 0.25), 1.5), rounds=3)
    assert np.isfinite(found.stops).any()


def test_the_map_against_a_plain_loop_over_its_points(capsys):
    scene, normal = Scene((SOFTBOX,)), facing(0.0)
    coarse = FloorGrid(-2.55, 2.55, -2.55, 2.55, 0.17)
    points = [(x, y, 1.5) for y in coarse.y_m for x in coarse.x_m]
    one_by_one = np.array([float(illuminate(scene, point, normal).flash_lxs) for point in points])
    at_once = np.exp2(light_map(scene, coarse, 1.5, normal, 0.005).stops).ravel()
    assert at_once == pytest.approx(one_by_one, rel=1e-9, abs=1e-9)
    looped = best_of(1, lambda: [illuminate(scene, point, normal) for point in points])
    ratio = looped / best_of(3, lambda: light_map(scene, coarse, 1.5, normal, 0.005))
    with capsys.disabled():
        print(f"\n  {len(points)} points: a loop takes {ratio:.0f} times as long as the map")


def test_a_day_in_steps_of_five_minutes(benchmark):
    pane = WindowPane(1.5, 1.5, 0.9, 0.0, -2.0, 180.0)
    curve = window_curve(
        [pane], Receiver((0.0, 0.0, 1.5), (0.0, -1.0, 0.0)), Site(48.2, 16.4), Weather(), room_north_deg=0.0
    )
    day = instants_through(datetime(2026, 6, 21, tzinfo=UTC), datetime(2026, 6, 21, 23, 55, tzinfo=UTC))
    curve(day[:2])
    found = benchmark(curve, day)
    assert found.shape == (288,)
