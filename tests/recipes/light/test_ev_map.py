"""Facts about maps of light over the floor and the room to move in."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, box

from recipes.light.ev_map import Around, FloorGrid, LightMap, light_map, map_of, room_to_move
from recipes.light.geometry import direction, facing, position, rectangle
from recipes.light.gloss import Gloss
from recipes.light.refining import Plan
from recipes.light.scene import Board, LitScene, RoomBox, Scene, illuminate, light_scene
from tests.recipes.light.scenes import a_bulb, a_softbox
from tests.recipes.light.test_scene import a_window

HEAD_M = 1.55
TO_CAMERA = facing(0)
GRID = FloorGrid(-1.5, 1.5, -2.0, 1.0, 0.1)


def a_hill(steps: int = 81) -> LightMap:
    """Light that falls by the square of the distance from the mark, in stops."""
    x = np.linspace(-1, 1, steps)
    return LightMap(x, x, -(x[None, :] ** 2 + x[:, None] ** 2))


def a_key():
    stands = position(30, 1.8, 2.1)
    return a_softbox(at=stands, towards=direction(stands, [0, 0, HEAD_M]))


def test_the_area_within_a_level_is_the_circle_that_it_should_be():
    area = a_hill().between(-0.25, np.inf)
    assert area.area == pytest.approx(np.pi * 0.25, rel=2e-3)
    assert area.geoms[0].hausdorff_distance(Point(0, 0).buffer(0.5, 256)) < 0.02


def test_a_ring_has_its_hole():
    ring = a_hill().between(-0.49, -0.09)
    assert ring.area == pytest.approx(np.pi * (0.49 - 0.09), rel=5e-3)
    assert len(ring.geoms[0].interiors) == 1


@given(st.floats(-1.9, -0.05), st.floats(-1.9, -0.05))
@example(-1.9, -1.8999999999999997)
@settings(max_examples=25)
def test_bands_fit_together_without_gap_or_overlap(first, second):
    low, high = sorted([first, second])
    hill = a_hill(21)
    parts = [hill.between(-np.inf, low), hill.between(low, high), hill.between(high, np.inf)]
    assert sum(part.area for part in parts) == pytest.approx(4.0, rel=1e-6)


def test_a_level_nobody_reaches_holds_nothing():
    assert a_hill().between(1.0, 2.0).is_empty


def test_contours_shrink_as_the_level_rises():
    areas = [area.area for area in a_hill().contours([-1.0, -0.5, -0.1])]
    assert areas == sorted(areas, reverse=True)
    assert len(set(areas)) == 3


@given(st.floats(-1, 1), st.floats(-1, 1))
def test_a_straight_slope_is_read_exactly(x, y):
    axis = np.linspace(-1, 1, 5)
    slope = LightMap(axis, axis, 2 * axis[None, :] + 3 * axis[:, None])
    assert slope.at(x, y) == pytest.approx(2 * x + 3 * y, abs=1e-9)


def test_a_map_says_at_each_point_what_the_scene_says():
    scene = Scene((a_key(), a_window()))
    found = light_map(scene, GRID, HEAD_M, TO_CAMERA, 1 / 125)
    lit = illuminate(scene, [GRID.x_m[3], GRID.y_m[7], HEAD_M], TO_CAMERA)
    expected = np.log2(float(lit.flash_lxs) + float(lit.ambient_lux) / 125)
    assert found.stops.shape == (len(GRID.y_m), len(GRID.x_m)) == (31, 31)
    assert found.stops[7, 3] == pytest.approx(expected, abs=0.005)


def test_what_the_room_adds_is_carried_from_every_fourth_point():
    room = RoomBox(6, 8, 3, (3, 4))
    board = Board("board", a_softbox(at=(-1.0, 0, 1.4), towards=(1, 0, 0)).emitter, 0.85)
    scene = Scene((a_key(), a_window()), (board,), room=room)
    found = light_map(scene, GRID, HEAD_M, TO_CAMERA, 1 / 125)
    for row, column in ((7, 5), (18, 22), (30, 29)):
        lit = illuminate(scene, [GRID.x_m[column], GRID.y_m[row], HEAD_M], TO_CAMERA)
        exact = np.log2(float(lit.flash_lxs) + float(lit.ambient_lux) / 125)
        assert found.stops[row, column] == pytest.approx(exact, abs=0.03)


def test_where_no_light_falls_it_is_dark_and_the_rest_still_has_an_outline():
    one_side = Scene((a_softbox(at=(0, 0.05, HEAD_M), towards=(0, -1, 0)),))
    found = light_map(one_side, GRID, HEAD_M, TO_CAMERA, 1 / 125)
    assert np.isneginf(found.stops[-1, 0])
    lit = found.between(0.0, np.inf)
    assert 0 < lit.area < 9
    assert found.at(0.0, 0.9) < -100


def test_a_wider_tolerance_gives_more_room():
    found = light_map(Scene((a_key(),)), GRID, HEAD_M, TO_CAMERA, 1 / 125)
    tight, loose = room_to_move(found, 0.1), room_to_move(found, 0.3)
    assert 0 < tight.area_m2 < loose.area_m2
    assert tight.round_mark.buffer(1e-9).contains(Point(0, 0))
    assert loose.everywhere.area >= loose.area_m2


def test_a_lamp_further_away_gives_more_room():
    near, far = (
        room_to_move(
            light_map(Scene((a_bulb(at=(0, distance, HEAD_M)),)), GRID, HEAD_M, TO_CAMERA, 1 / 125), 0.1
        ).area_m2
        for distance in (2.0, 6.0)
    )
    assert far > 2 * near


def test_along_the_axis_of_a_lamp_the_room_is_what_the_inverse_square_law_says():
    # ±0.1 stop at 2 m is 2 m · (2^0.05 - 2^-0.05).
    found = light_map(Scene((a_bulb(at=(0, 2.0, HEAD_M)),)), GRID, HEAD_M, TO_CAMERA, 1 / 125)
    strip = room_to_move(found, 0.1).round_mark
    _, low, _, high = strip.intersection(box(-0.005, -2, 0.005, 1)).bounds
    assert high - low == pytest.approx(2.0 * (2**0.05 - 2**-0.05), rel=0.03)


def test_an_area_that_runs_off_the_grid_says_so():
    hill = a_hill()
    assert room_to_move(hill, 0.3).reaches_edge is False
    assert room_to_move(hill, 1.5).reaches_edge is True


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (lambda: FloorGrid(1, 1, 0, 1, 0.1), "no width or no depth"),
        (lambda: FloorGrid(0, 1, 2, 1, 0.1), "no width or no depth"),
        (lambda: FloorGrid(0, 1, 0, 1, 0), "spacing_m is 0"),
        (lambda: FloorGrid(0, float("nan"), 0, 1, 0.1), "x_to_m is nan"),
        (lambda: room_to_move(a_hill(), 0), "tolerance_stops is 0"),
        (lambda: room_to_move(a_hill(), 0.1, (5.0, 0.0)), "x_m is 5; give a number from -1 to 1"),
        (lambda: light_map(Scene((a_key(),)), GRID, HEAD_M, TO_CAMERA, 0), "time_s is 0"),
    ],
)
def test_a_map_that_cannot_be_is_refused(wrong, sentence):
    with pytest.raises(ValueError, match=sentence):
        wrong()


def test_a_grid_goes_from_end_to_end_in_even_steps_of_at_most_its_spacing():
    grid = FloorGrid(0.0, 1.0, 2.0, 2.9, 0.4)
    assert grid.x_m == pytest.approx([0.0, 1 / 3, 2 / 3, 1.0])
    assert grid.y_m == pytest.approx([2.0, 2.3, 2.6, 2.9])
    assert FloorGrid(-1.0, 1.0, 0.0, 0.1, 0.5).x_m == pytest.approx([-1.0, -0.5, 0.0, 0.5, 1.0])
    assert FloorGrid(-1.0, 1.0, 0.0, 0.1, 0.5).y_m == pytest.approx([0.0, 0.1])


@pytest.mark.parametrize("name", ["x_from_m", "x_to_m", "y_from_m", "y_to_m"])
def test_every_end_of_a_grid_is_a_number(name):
    ends = {"x_from_m": 0.0, "x_to_m": 1.0, "y_from_m": 0.0, "y_to_m": 1.0, "spacing_m": 0.1}
    with pytest.raises(ValueError, match=f"{name} is "):
        FloorGrid(**(ends | {name: float("nan")}))
    with pytest.raises(ValueError, match="no width or no depth"):
        FloorGrid(**(ends | {name: 1.0 if "from" in name else 0.0}))


def test_many_places_are_read_at_once_and_each_on_its_own():
    x, y = np.array([0.0, 1.0, 3.0]), np.array([-2.0, 0.0])
    uneven = LightMap(x, y, np.array([[0.0, 4.0, 6.0], [10.0, 10.0, 30.0]]))
    # By hand, straight along both: a quarter of the way over, half of the way up.
    places = [(0.0, -2.0, 0.0), (3.0, 0.0, 30.0), (1.0, -2.0, 4.0), (0.5, -2.0, 2.0), (1.5, -1.0, 9.75)]
    columns, rows, stops = (np.array(each) for each in zip(*places, strict=True))
    assert uneven.at(columns, rows) == pytest.approx(stops)
    assert [uneven.at(*place[:2]) for place in places] == pytest.approx(stops.tolist())
    assert isinstance(uneven.at(0.5, -1.0), float)
    for wrong in ((3.1, -1.0), (-0.1, -1.0), (1.0, 0.1), (1.0, -2.1)):
        with pytest.raises(ValueError, match=r"[xy]_m is .*; give a number from"):
            uneven.at(*wrong)


def two_hills() -> LightMap:
    """Equally bright over x = -1 and x = +1, with a valley between."""
    x, y = np.linspace(-2, 2, 81), np.linspace(-1, 1, 41)
    return LightMap(x, y, -((np.abs(x)[None, :] - 1.0) ** 2 + y[:, None] ** 2))


@pytest.mark.parametrize("mark", [(-1.0, 0.0), (1.0, 0.2)])
def test_the_room_is_the_one_that_the_mark_stands_in(mark):
    room = room_to_move(two_hills(), 0.2, mark)
    assert len(room.everywhere.geoms) == 2
    assert room.round_mark.buffer(1e-9).contains(Point(mark))
    assert room.area_m2 == pytest.approx(room.round_mark.area)
    assert room.everywhere.area == pytest.approx(2 * room.area_m2)
    # Within 0.2 stop of 0 and of -0.04: circles of 0.2 and of 0.24 m².
    assert room.area_m2 == pytest.approx(np.pi * (0.2 + mark[1] ** 2), rel=0.02)


def test_unless_told_otherwise_the_mark_is_the_middle_of_the_plan():
    hill = a_hill()
    assert room_to_move(hill, 0.1).area_m2 == pytest.approx(np.pi * 0.1, rel=0.01)
    assert room_to_move(hill, 0.1, (0.0, 0.0)) == room_to_move(hill, 0.1)
    assert room_to_move(hill, 0.1, (0.5, 0.0)).area_m2 == pytest.approx(np.pi * 0.2, rel=0.01)


@pytest.mark.parametrize(("x", "y"), [(-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)])
def test_an_area_that_touches_one_side_of_the_grid_runs_into_its_edge(x, y):
    axis = np.linspace(-1, 1, 81)
    aside = LightMap(axis, axis, -((axis[None, :] - 0.6 * x) ** 2 + (axis[:, None] - 0.6 * y) ** 2))
    assert not room_to_move(aside, 0.1, (0.6 * x, 0.6 * y)).reaches_edge
    assert room_to_move(aside, 0.17, (0.6 * x, 0.6 * y)).reaches_edge


@pytest.mark.parametrize(("x", "y"), [(-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)])
def test_half_a_millimetre_before_the_edge_an_area_does_not_touch_it(x, y):
    # A roof that falls a stop a metre each way, 40 cm from one side of the plan.
    axis = np.linspace(-1, 1, 81)
    roof = LightMap(axis, axis, -np.abs(axis[None, :] - 0.6 * x) - np.abs(axis[:, None] - 0.6 * y))
    touches = [room_to_move(roof, far, (0.6 * x, 0.6 * y)).reaches_edge for far in (0.39, 0.3995, 0.4005)]
    assert touches == [False, False, True]


def test_light_below_any_that_a_camera_sees_is_dark_and_twice_the_time_is_a_stop_of_ambient():
    window = Scene((a_window(),))
    short, long = (light_map(window, GRID, HEAD_M, facing(90), time_s) for time_s in (1 / 125, 2 / 125))
    assert long.stops - short.stops == pytest.approx(1.0)
    dim = light_map(window, GRID, HEAD_M, facing(90), 1e-9 / 125)
    assert short.stops - dim.stops == pytest.approx(9.0 * np.log2(10.0))
    assert np.isneginf(light_map(window, GRID, HEAD_M, facing(90), 1e-18).stops).all()
    flash = Scene((a_key(),))
    assert light_map(flash, GRID, HEAD_M, TO_CAMERA, 1 / 125).stops == pytest.approx(
        light_map(flash, GRID, HEAD_M, TO_CAMERA, 2 / 125).stops
    )


@pytest.mark.parametrize("room", [None, RoomBox(6, 8, 3, (3, 4))], ids=["outdoors", "in a room"])
@pytest.mark.parametrize("bearing_deg", [90, -90])
def test_every_way_that_light_takes_is_in_a_map(room, bearing_deg):
    """Looking at a silver board and at a white one, neither of which has more light to give than the other way."""
    key = a_softbox(at=(0, 1.8, HEAD_M), towards=(0, -1, 0))
    silver, white = (
        Board(name, rectangle([x, -0.2, 1.4], [-x, 0.4, 0], 1.2, 1.6), 0.85, gloss=gloss)
        for name, x, gloss in (("silver", 1.3, Gloss(0.6, 20.0)), ("white", -1.3, None))
    )
    scene = Scene((key,), (silver, white), room=room)
    grid = FloorGrid(-0.6, 0.6, -0.6, 0.6, 0.6)
    found = light_map(scene, grid, HEAD_M, facing(bearing_deg), 1 / 125).stops
    columns, rows = np.meshgrid(grid.x_m, grid.y_m)
    places = np.stack([columns, rows, np.full(rows.shape, HEAD_M)], axis=-1)
    lit = illuminate(scene, places, facing(bearing_deg))
    assert found == pytest.approx(np.log2(lit.flash_lxs), abs=0.01)
    ways = [lit.of_path("key", path).max() / lit.flash_lxs.max() for path in lit.paths if path != "direct"]
    assert sum(share > 0.05 for share in ways) >= (1 if room is None else 3)


@pytest.mark.parametrize("gloss", [None, Gloss(0.6, 20.0)], ids=["white", "silver"])
def test_a_map_with_one_board_has_its_light(gloss):
    board = Board("board", rectangle([1.3, -0.2, 1.4], [-1.3, 0.4, 0], 1.2, 1.6), 0.85, gloss=gloss)
    scene = Scene((a_softbox(at=(0, 1.8, HEAD_M), towards=(0, -1, 0)),), (board,))
    grid = FloorGrid(-0.6, 0.6, -0.6, 0.6, 0.6)
    found = light_map(scene, grid, HEAD_M, facing(90), 1 / 125)
    lit = illuminate(scene, [0.0, 0.0, HEAD_M], facing(90))
    assert found.at(0.0, 0.0) == pytest.approx(np.log2(float(lit.flash_lxs)), abs=0.01)
    assert lit.of_path("key", "board") > 0.3 * lit.flash_lxs


def test_light_that_is_there_besides_is_in_the_map():
    lit, weights = light_scene(Scene((a_key(),)), np.zeros((0, 3))), np.ones(1)
    alone = np.exp2(map_of(lit, GRID, HEAD_M, TO_CAMERA, weights).stops)
    falling = np.broadcast_to(3.0 + GRID.x_m, alone.shape)
    for beside in (7.0, falling):
        found = np.exp2(map_of(lit, GRID, HEAD_M, TO_CAMERA, weights, beside).stops)
        np.testing.assert_allclose(found, alone + beside)


def test_what_lies_within_a_tolerance_may_be_missed_by_little_and_the_more_the_further_beyond():
    plan = Plan(np.array([-1.0, 0.0, 1.0, 2.0]), np.array([0.0, 1.0]))
    light = np.exp2([[1.0, 2.0, 2.4, 5.0], [1.0, 2.0, 2.4, 0.0]])
    # The mark is half way from 2 to 2.4.
    found = Around((0.5, 0.5), 0.5).misses_stops(plan, light)
    assert found == pytest.approx(
        np.array([[0.2 * 0.7, 0.03, 0.03, 0.2 * 2.3], [0.2 * 0.7, 0.03, 0.03, 0.2 * 1.7]])
    )


def a_corner_of_boards() -> LitScene:
    """A softbox in a room, and two boards that stand aside of the mark."""
    white = Board("white", rectangle([1.3, 0.4, 1.3], [-1, 0, 0], 1.0, 2.0), 0.85)
    black = Board("black", rectangle([-1.2, -0.6, 1.3], [1, 0.4, 0], 1.2, 2.0), 0.04)
    scene = Scene((a_key(),), (white, black), room=RoomBox(6, 7, 3, (3, 3)))
    return light_scene(scene, np.array([[0.0, 0.0, HEAD_M]]))


@pytest.mark.parametrize("tolerance", [0.2, 0.3, 0.5])
def test_the_room_to_move_is_the_same_when_only_it_is_asked_for(tolerance, monkeypatch):
    lit, asked = a_corner_of_boards(), []

    def counted(stage, points, normals):
        asked.append(np.shape(points)[0])
        return of_room(stage, points, normals)

    of_room = LitScene.of_room
    monkeypatch.setattr(LitScene, "of_room", counted)
    found, times = [], []
    for around in (None, Around((0.0, 0.0), tolerance)):
        asked.clear()
        light = map_of(lit, FloorGrid(-1.5, 1.5, -1.5, 1.5, 0.15), HEAD_M, TO_CAMERA, np.ones(1), 0.0, around)
        found.append(room_to_move(light, tolerance).area_m2)
        times.append(sum(asked))
    assert found[1] == pytest.approx(found[0], rel=0.02)
    assert times[1] < times[0]
