"""Facts about the light of windows over a room: as one face sees it, and no more than comes in by the panes."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from recipes.light.daylight import Receiver, Site, Weather, sky_through, window_light
from recipes.light.ev_map import FloorGrid, window_map
from recipes.light.form_factor import rectangle_on_axis
from recipes.light.geometry import Polygon, facing, rectangle, unit
from recipes.light.glass import NO_GLASS
from recipes.light.gloss import Gloss
from recipes.light.pane import WindowPane
from recipes.light.quadrature import even_nodes
from recipes.light.scene import Blocker, Board, RoomBox, Scene
from recipes.light.sky import OVERCAST, Sky
from recipes.light.window_room import SkyLight, windows_in_room

ROOM_BOX = RoomBox(6.0, 8.0, 3.0, (3.0, 4.0), 0.2, 0.7, (0.5, 0.4, 0.6, 0.5))
BLACK = replace(ROOM_BOX, floor_reflectance=0.0, ceiling_reflectance=0.0, walls=(0.0,) * 4)
COVERED = Sky(OVERCAST, np.array([[0.0, 0.0, 1.0]]), np.array([10_000.0]), np.array([0.0]))
WEST = WindowPane(1.6, 1.4, 0.9, -3.0, 0.5, 270.0)
SOUTH = WindowPane(1.5, 2.0, 0.5, 0.0, -4.0, 180.0)
HEAD = np.array([[0.0, 0.0, 1.5]])


def lit(*panes, sky=COVERED, room=ROOM_BOX, north_deg=0.0, **more):
    return windows_in_room(panes, sky, Scene((), room=room, **more), HEAD, room_north_deg=north_deg)


def clear_noon():
    return sky_through(Site(48.2, 16.4), (datetime(2026, 4, 7, 10, tzinfo=UTC),), Weather("clear"))


@pytest.mark.parametrize("sky", [COVERED, clear_noon()], ids=["covered", "clear"])
@pytest.mark.parametrize("north_deg", [0.0, 37.0])
def test_straight_in_it_is_what_one_face_alone_is_told(sky, north_deg):
    panes = [replace(pane, azimuth_deg=pane.azimuth_deg + north_deg) for pane in (SOUTH, WEST)]
    chance = np.random.default_rng(3)
    points = chance.uniform(ROOM_BOX.low + 0.3, ROOM_BOX.high - 0.3, size=(30, 3))
    normals = unit(chance.normal(size=(30, 3)))
    found = lit(*panes, sky=sky, north_deg=north_deg).straight_lux(points, normals)
    alone = [
        sum(
            float(
                window_light(pane, Receiver(tuple(p), tuple(n)), sky, room_north_deg=north_deg).diffuse_lux[0]
            )
            for pane in panes
        )
        for p, n in zip(points, normals, strict=True)
    ]
    # The horizon of a slanted face cuts through cells of the pane.
    assert found == pytest.approx(np.array(alone), rel=0.04, abs=0.002 * max(alone))
    assert np.median(np.abs(found / np.maximum(alone, 1.0) - 1.0)) < 0.002


@pytest.mark.parametrize(
    ("distance_m", "percent"),
    # A sitter turned to an unglazed window 1.5 m wide, from 0.5 m below to 1.5 m above: integration and Monte Carlo of
    # the CIE overcast sky, E_v / E_h in percent.
    [(1.0, 20.409), (1.5, 12.833), (2.0, 8.360), (3.0, 4.073), (4.0, 2.315)],
)
def test_an_open_window_under_a_covered_sky(distance_m, percent):
    pane = WindowPane(1.5, 2.0, 1.0, 0.0, -4.0, 180.0, NO_GLASS)
    dark_ground = replace(COVERED, ground_reflectance=0.0)
    sitter = np.array([[0.0, distance_m - 4.0, 1.5]])
    found = lit(pane, sky=dark_ground, room=BLACK).lux_at(sitter, facing(180)[None])
    assert found[0] / 10_000.0 * 100.0 == pytest.approx(percent, rel=2e-4)


def test_what_the_room_takes_is_what_comes_in():
    pane = replace(SOUTH, glass=NO_GLASS)
    windows = lit(pane)
    entering = float(COVERED.open_illuminance_lux(np.array([0.0, -1.0, 0.0]))[0]) * 1.5 * 2.0
    taken = 0.0
    for _, face, rho in ROOM_BOX.surfaces:
        nodes = even_nodes(face, 16)
        points, normals = nodes.points + 1e-6 * face.normal, np.tile(face.normal, (len(nodes.points), 1))
        taken += (1 - rho) * float(windows.lux_at(points, normals) @ nodes.areas_m2)
    # What falls on the pane itself goes out again, all of it and not (1 - rho): half a hundredth.
    assert taken == pytest.approx(entering, rel=0.015)


def test_a_flag_keeps_it_off():
    flag = Blocker(rectangle([0.0, -2.0, 1.5], [0, 1, 0], 2.5, 2.8))
    towards = facing(180)[None]
    free, shaded = (lit(SOUTH, room=BLACK, blockers=b).lux_at(HEAD, towards)[0] for b in ((), (flag,)))
    assert shaded < 0.02 * free


@pytest.mark.parametrize(
    "height_m", [0.5, 0.5 + 1e-9, 2.5 - 1e-9, 2.5], ids=["sill", "a hair above", "a hair below", "head"]
)
def test_at_the_height_of_the_sill_and_of_the_head_it_is_what_it_is_next_to_there(height_m):
    at, above, below = (np.array([[0.4, -1.0, height_m + off]]) for off in (0.0, 1e-3, -1e-3))
    found, *next_to = (
        lit(SOUTH, room=BLACK).lux_at(place, facing(180)[None])[0] for place in (at, above, below)
    )
    assert found == pytest.approx(np.mean(next_to), rel=2e-3)


@pytest.mark.parametrize("aside_m", [-0.6, -0.3, 0.0, 0.3, 0.6])
def test_in_the_half_shadow_of_a_flag_as_much_is_left_as_of_many_small_panes(aside_m):
    flag = Blocker(rectangle([0.8, -2.8, 1.3], unit([0.2, 1, 0.1]), 1.2, 1.0))
    place, towards = np.array([[aside_m, 0.0, 1.4]]), facing(180)[None]
    small = [
        WindowPane(0.1, 0.1, 0.5 + 0.1 * row, 0.1 * (column - 7), -4.0, 180.0)
        for row in range(20)
        for column in range(15)
    ]
    whole, parts = (
        float(SkyLight(panes, faces, COVERED, 0.0, (flag,)).falling(place, towards, at_horizon=True).sum())
        for panes in ((SOUTH,), tuple(small))
        for faces in [tuple(Polygon(pane.corners(0.0)) for pane in panes)]
    )
    free = lit(SOUTH, room=BLACK).straight_lux(place, towards)[0]
    assert 0.3 * free < whole < 0.99 * free
    assert whole == pytest.approx(parts, rel=0.01)


def test_a_white_board_sends_the_window_back():
    board = Board("b", rectangle([0.0, 0.8, 1.5], [0, -1, 0], 1.2, 1.8), 0.85)
    away = facing(0)[None]
    assert lit(SOUTH, room=BLACK).lux_at(HEAD, away)[0] == pytest.approx(0.0, abs=1e-9)
    on_board = lit(SOUTH, room=BLACK).lux_at(np.array([[0.0, 0.8, 1.5]]), facing(180)[None])[0]
    back = lit(SOUTH, room=BLACK, boards=(board,)).lux_at(HEAD, away)[0]
    seen = rectangle_on_axis(1.2, 1.8, 0.8)
    assert back == pytest.approx(0.85 * on_board * seen, rel=0.05)


def test_a_dome_reads_it_by_half_of_one_and_the_cosine():
    # The sphere in many directions, each counted in full: what a dome weighs by (1 + cos a) / 2.
    windows = lit(SOUTH, WEST)
    count = np.arange(3000) + 0.5
    rise, turn = 1.0 - 2.0 * count / 3000.0, np.pi * (1.0 + 5.0**0.5) * count
    level = np.sqrt(1.0 - rise**2)
    ways = np.stack([level * np.cos(turn), level * np.sin(turn), rise], axis=1)
    from_all_sides = 4.0 * windows.lux_at(np.repeat(HEAD, 3000, axis=0), ways).mean()
    for bearing in (0, 90, 240):
        axis = facing(bearing)[None]
        ahead, behind = (windows.lux_at(HEAD, way)[0] for way in (axis, -axis))
        read = windows.read_by_dome_lux(HEAD, axis)[0]
        assert read == pytest.approx((from_all_sides + ahead - behind) / 2.0, rel=0.01)


def test_a_silver_board_shows_the_window_as_a_mirror_does():
    # Law of reflection: behind the board stands the image of the face, and gets what it would get there.
    silver = Board("b", rectangle([0.0, 0.9, 1.5], [0, -1, 0], 1.2, 1.8), 0.75, gloss=Gloss(0.95, 3.0))
    image = np.array([[0.0, 1.8, 1.5]])
    there = lit(SOUTH, room=BLACK).lux_at(image, facing(180)[None])[0]
    back = lit(SOUTH, room=BLACK, boards=(silver,)).lux_at(HEAD, facing(0)[None])[0]
    matt = replace(silver, reflectance=0.75 * 0.05, gloss=None)
    rest = lit(SOUTH, room=BLACK, boards=(matt,)).lux_at(HEAD, facing(0)[None])[0]
    assert rest < 0.1 * back
    assert back - rest == pytest.approx(0.75 * 0.95 * there, rel=0.1)


def test_a_pane_that_is_measured_beside_its_wall_is_moved_onto_it():
    beside = replace(SOUTH, y_m=-4.2)
    towards = facing(180)[None]
    assert lit(beside).lux_at(HEAD, towards) == pytest.approx(lit(SOUTH).lux_at(HEAD, towards), rel=1e-9)


def test_without_a_room_there_are_no_windows():
    with pytest.raises(ValueError, match="there is no room"):
        windows_in_room((SOUTH,), COVERED, Scene(()), HEAD, room_north_deg=0.0)


def test_a_map_says_what_each_point_says():
    windows = lit(SOUTH, WEST, blockers=(Blocker(rectangle([0.5, -2.0, 1.5], [0, 1, 0], 1.0, 2.0)),))
    grid = FloorGrid(-2.9, 2.9, -3.9, 3.9, 0.1)
    found = window_map(windows, grid, 1.5, facing(200))
    x, y = np.meshgrid(grid.x_m, grid.y_m)
    points = np.stack([x.ravel(), y.ravel(), np.full(x.size, 1.5)], axis=1)
    exact = windows.lux_at(points, np.tile(facing(200), (len(points), 1))).reshape(x.shape)
    assert np.percentile(np.abs(np.log2(found / exact)), [50, 99.5, 100]) == pytest.approx([0, 0, 0], abs=0.1)
    assert np.median(np.abs(np.log2(found / exact))) < 0.005
