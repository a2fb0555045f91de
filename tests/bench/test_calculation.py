"""How fast is the calculation, and against what? Ratios inside one run; no test here fails on a time.

Against a plain loop in Python over the same formula, point by point; and against a path tracer that is given as many
samples as it takes to be as near to the converged value as the calculation is (`test_against_a_path_tracer.py`).

``python3 manage.py test tests/bench -n 0 -s`` measures and prints; in the usual run every case is done
once, so that it cannot rot.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
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
from recipes.light.scene import Scene, Source, light_scene
from recipes.light.sun import instants_through
from tests.recipes.light.test_refining import SCENES
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


def a_set(lights: int = 6, room: Room | None = None, zones_round_the_face: int = 2) -> Setup:
    """A face with more zones round it, a window behind, and so many softboxes in a ring, the first off a board."""
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
        *(
            a_zone(f"side {n}", facing_deg=90 + 180 / max(zones_round_the_face - 1, 1) * n)
            for n in range(zones_round_the_face)
        ),
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


def a_day(step_s: float) -> tuple[datetime, ...]:
    return instants_through(
        datetime(2026, 6, 21, tzinfo=UTC), datetime(2026, 6, 21, 23, 55, tzinfo=UTC), step_s
    )


def light_of_a_window() -> Callable[[Sequence[datetime]], np.ndarray]:
    pane = WindowPane(1.5, 1.5, 0.9, 0.0, -2.0, 180.0)
    return window_curve(
        [pane], Receiver((0.0, 0.0, 1.5), (0.0, -1.0, 0.0)), Site(48.2, 16.4), Weather(), room_north_deg=0.0
    )


def growth_in(what: str) -> tuple[Callable[[], object], Callable[[], object], float]:
    """Something, the same with more of ``what``, and how many times as much that is."""
    room = a_hall_with_a_window()
    if what == "lights":
        few, many = a_set(2, room), a_set(16, room)
        return lambda: predict(few), lambda: predict(many), 8.0
    if what == "zones":
        few, many = a_set(6, room), a_set(6, room, zones_round_the_face=30)
        return lambda: predict(few), lambda: predict(many), 8.0
    curve, coarse, fine = light_of_a_window(), a_day(300.0), a_day(300.0 / 8)
    return lambda: curve(coarse), lambda: curve(fine), 8.0


@pytest.mark.parametrize("what", ["lights", "zones", "time steps"])
def test_it_grows_no_faster_than_what_it_is_given(what, capsys):
    less, more, times = growth_in(what)
    less(), more()
    ratio = best_of(5, more) / best_of(5, less)
    with capsys.disabled():
        print(f"\n  {times:.0f} times the {what}: {ratio:.1f} times the time")
    # Half of what a square would make of it: far from both on any machine.
    assert ratio < times**2 / 2


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


@pytest.mark.parametrize("name", SCENES)
def test_a_fine_map_against_asking_at_every_point(name, capsys):
    scene, everywhere = SCENES[name], FloorGrid(-2.55, 2.55, -2.55, 2.55, 0.02)
    columns, rows = np.meshgrid(everywhere.x_m[::4], everywhere.y_m[::4])
    places = np.stack([columns, rows, np.full(rows.shape, 1.5)], axis=-1)

    def at_every_point() -> object:
        few = light_scene(scene, places[::16, ::16].reshape(-1, 3))
        return few.at(places, facing(0.0))

    one_map = best_of(3, lambda: light_map(scene, everywhere, 1.5, facing(0.0), 0.005))
    ratio = 16 * best_of(1, at_every_point) / one_map
    with capsys.disabled():
        print(
            f"\n  {name}: {one_map * 1e3:.0f} ms for 256 x 256; every point takes {ratio:.1f} times as long"
        )


def test_the_map_against_a_plain_loop_over_its_points(capsys):
    scene, normal = Scene((SOFTBOX,)), facing(0.0)
    coarse = FloorGrid(-2.55, 2.55, -2.55, 2.55, 0.06)
    points = [(float(x), float(y), 1.5) for y in coarse.y_m for x in coarse.x_m]
    face, exitance = SOFTBOX.emitter, SOFTBOX.flux_lm / SOFTBOX.emitter.area_m2
    outline = [tuple(float(part) for part in corner) for corner in face.corners]
    front = tuple(float(part) for part in face.normal)

    def looped() -> list[float]:
        return [exitance * plain_factor(outline, front, point, tuple(normal)) for point in points]

    at_once = np.exp2(light_map(scene, coarse, 1.5, normal, 0.005).stops).ravel()
    # Between the points that are asked for runs a cubic.
    assert at_once == pytest.approx(looped(), rel=2e-3, abs=1e-3)
    ratio = best_of(3, looped) / best_of(5, lambda: light_map(scene, coarse, 1.5, normal, 0.005))
    with capsys.disabled():
        print(f"\n  {len(points)} points: a plain loop takes {ratio:.0f} times as long as the map")


Vector = tuple[float, ...]


def plain_factor(corners: list[Vector], front: Vector, point: Vector, normal: Vector) -> float:
    """Lambert's boundary integral for one convex face and one receiver, number by number."""

    def dot(a: Vector, b: Vector) -> float:
        return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]

    arms = [tuple(c - p for c, p in zip(corner, point, strict=True)) for corner in corners]
    if dot(arms[0], front) >= 0:
        return 0.0
    seen: list[Vector] = []
    for start, end in zip(arms, arms[1:] + arms[:1], strict=True):
        here, there = dot(start, normal), dot(end, normal)
        if here >= 0:
            seen.append(start)
        if (here >= 0) != (there >= 0):
            part = here / (here - there)
            seen.append(tuple(s + part * (e - s) for s, e in zip(start, end, strict=True)))
    total = 0.0
    for a, b in zip(seen, seen[1:] + seen[:1], strict=True):
        x, y, z = a[1] * b[2] - b[1] * a[2], a[2] * b[0] - b[2] * a[0], a[0] * b[1] - b[0] * a[1]
        sine = math.sqrt(x * x + y * y + z * z)
        if sine > 0:
            total += math.atan2(sine, dot(a, b)) * dot((x, y, z), normal) / sine
    return abs(total) / (2.0 * math.pi)


def test_a_day_in_steps_of_five_minutes(benchmark):
    curve, day = light_of_a_window(), a_day(300.0)
    curve(day[:2])
    found = benchmark(curve, day)
    assert found.shape == (288,)
