"""Facts about fine maps: they are asked for where light is not smooth, and say what the scene says everywhere."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from recipes.light.edges import feet, marked, shadow_lines
from recipes.light.emission import beam
from recipes.light.ev_map import FloorGrid, light_map
from recipes.light.geometry import disc, facing, rectangle
from recipes.light.gloss import Gloss
from recipes.light.refining import Plan, refined
from recipes.light.scene import Blocker, Board, RoomBox, Scene, Scrim, illuminate
from tests.recipes.light.scenes import a_bulb, a_softbox

HEAD_M = 1.5
TO_CAMERA = facing(0)
FINE = FloorGrid(-2.55, 2.55, -2.55, 2.55, 0.02)
AXIS = np.linspace(-2.0, 2.0, 129)
PLAN = Plan(AXIS, AXIS)


class Told:
    """Something that is asked for light, and counts how often."""

    def __init__(self, light):
        self.light, self.times = light, 0

    def __call__(self, x, y):
        self.times += len(x)
        return np.asarray(self.light(x, y), dtype=float)

    def everywhere(self):
        columns, rows = np.meshgrid(AXIS, AXIS)
        return self.light(columns, rows)


def stops_off(found, exact):
    return np.abs(np.log2(found / exact)).max()


def test_what_is_smooth_is_asked_for_at_few_points():
    hill = Told(lambda x, y: 5.0 + np.cos(x) * np.cos(y))
    found = refined(PLAN, hill, 0.25)
    assert stops_off(found, hill.everywhere()) < 1e-3
    assert hill.times <= 17**2


def test_a_cubic_is_told_exactly_from_the_fewest_points():
    told = Told(lambda x, y: 40.0 + x**3 - 2 * y**3 + x * y**2)
    assert refined(PLAN, told, 0.5) == pytest.approx(told.everywhere(), rel=1e-12)
    assert told.times == 9**2


def test_an_edge_is_followed_down_to_the_last_point():
    step = Told(lambda x, y: np.where(x + 0.4 * y > 0.1234, 4.0, 1.0))
    assert refined(PLAN, step, 0.25) == pytest.approx(step.everywhere(), abs=1e-9)
    assert step.times < 0.35 * AXIS.size**2


def test_the_round_edge_of_a_small_bright_spot_is_found_too():
    spot = Told(lambda x, y: 1.0 + 3.0 * (np.hypot(x - 0.3, y + 0.2) < 0.4))
    assert refined(PLAN, spot, 0.25) == pytest.approx(spot.everywhere(), abs=1e-9)


def test_something_narrow_is_missed_unless_its_place_is_known():
    line = Told(lambda x, y: np.where(np.abs(x - 0.36) < 0.02, 0.5, 1.0))
    known = np.broadcast_to(np.abs(AXIS - 0.36) < 0.07, PLAN.shape)
    assert stops_off(refined(PLAN, line, 0.5), line.everywhere()) > 0.5
    assert refined(PLAN, line, 0.5, edges=known) == pytest.approx(line.everywhere())


def test_beside_much_other_light_a_little_is_not_refined():
    ripple = Told(lambda x, y: 1.0 + 0.5 * np.sin(9 * x))
    alone = refined(PLAN, ripple, 0.5)
    asked, ripple.times = ripple.times, 0
    beside = refined(PLAN, ripple, 0.5, beside=np.full(PLAN.shape, 1000.0))
    assert ripple.times < asked / 4
    assert stops_off(alone, ripple.everywhere()) < 0.01
    assert stops_off(1000.0 + beside, 1000.0 + ripple.everywhere()) < 0.01


def test_where_more_may_be_missed_less_is_asked_for():
    # A ripple on the right half of the plan, of which the left one alone is wanted.
    ripple = Told(lambda x, y: np.where(x > 0.0, 1.0 + 0.5 * np.sin(9 * x), 1.0))
    refined(PLAN, ripple, 0.5)
    asked, ripple.times = ripple.times, 0
    found = refined(
        PLAN, ripple, 0.5, misses_stops=lambda plan, light: np.where(plan.x_m > 0.5, 9.0, 0.01) + 0 * light
    )
    assert ripple.times < asked / 2
    assert stops_off(found[:, AXIS < 0.5], ripple.everywhere()[:, AXIS < 0.5]) < 0.01


def test_a_coarse_plan_is_asked_for_everywhere():
    told = Told(lambda x, y: np.sin(40 * x) ** 2)
    assert refined(PLAN, told, 0.03) == pytest.approx(told.everywhere())
    assert told.times == AXIS.size**2


@pytest.mark.parametrize("count", [2, 3, 5, 30])
def test_a_plan_of_any_number_of_columns_has_its_last_one(count):
    x = np.linspace(0.0, 1.0, count)
    found = refined(Plan(x, AXIS), lambda x, y: 1.0 + x, 1.0)
    assert found.shape == (129, count)
    assert found[5] == pytest.approx(1.0 + x)


def test_darkness_is_dark_and_nothing_is_below_it():
    found = refined(PLAN, lambda x, y: np.maximum(x, 0.0), 0.25)
    assert found.min() == 0.0
    assert np.all(found[:, AXIS < -0.1] == 0.0)
    assert not refined(PLAN, lambda x, y: 0.0 * x, 0.25).any()


def test_the_step_of_a_plan_says_how_far_points_may_be_apart():
    assert [PLAN.stride(apart) for apart in (0.01, 0.03125, 0.06249, 0.0625, 0.25)] == [1, 1, 1, 2, 8]


def test_of_uneven_steps_the_largest_says_how_far_points_may_be_apart():
    even, uneven = np.array([0.0, 0.1, 0.2]), np.array([0.0, 0.1, 0.2, 0.4])
    assert [Plan(even, uneven).stride(0.4), Plan(uneven, even).stride(0.4)] == [2, 2]


def ripple_of(height):
    """Nothing at every second of the points 0.5 m apart, this much at the others: what a cubic there misses."""
    return lambda x, y: height * np.sin(np.pi * x) ** 2 + 0.0 * y


@pytest.mark.parametrize(("stops", "is_asked"), [(0.009, False), (0.0115, True)])
def test_a_miss_of_a_hundredth_of_a_stop_is_looked_into(stops, is_asked):
    told = Told(lambda x, y: 1.0 + ripple_of(2.0**stops - 1.0)(x, y))
    refined(PLAN, told, 0.5)
    assert (told.times > 9**2) == is_asked


@pytest.mark.parametrize(("part", "is_asked"), [(0.85, False), (1.2, True)])
def test_what_is_fourteen_stops_under_the_brightest_is_told_as_that_is(part, is_asked):
    beside = np.zeros(PLAN.shape)
    beside[0, 0] = 0.25
    enough = (2.0**0.01 - 1.0) * 0.25 * 2.0**-14
    told = Told(ripple_of(part * enough))
    refined(PLAN, told, 0.5, beside=beside)
    assert (told.times > 9**2) == is_asked


@pytest.mark.parametrize("along", ["x", "y"])
@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_strip_three_coarse_points_from_the_end_of_a_plan_spoils_nothing_up_to_the_end(along, way):
    # There the cubic has no four points round it and reaches as far as to the strip.
    strip = Told(lambda x, y: 1.0 + 3.0 * (np.abs((x if along == "x" else y) + way * 1.25) < 0.1))
    assert refined(PLAN, strip, 0.25) == pytest.approx(strip.everywhere(), abs=1e-9)


@pytest.mark.parametrize("x0", [0.0, 0.09, -0.12, 1.97])
@pytest.mark.parametrize("y0", [0.0, -0.1, 0.14, -1.96])
def test_a_dot_is_told_from_one_marked_point(x0, y0):
    row, column = (int(np.argmin(np.abs(AXIS - at))) for at in (y0, x0))
    dot = Told(lambda x, y: 1.0 + 3.0 * ((x == AXIS[column]) & (y == AXIS[row])))
    known = np.zeros(PLAN.shape, dtype=bool)
    known[row, column] = True
    assert refined(PLAN, dot, 0.25, edges=known) == pytest.approx(dot.everywhere(), abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_wherever_a_bright_spot_lies_its_edge_is_found(seed):
    chance = np.random.default_rng(seed)
    x0, y0, radius = *chance.uniform(-2.1, 2.1, 2), chance.uniform(0.35, 0.8)
    spot = Told(lambda x, y: 1.0 + 3.0 * (np.hypot(x - x0, y - y0) < radius))
    assert refined(PLAN, spot, 0.25) == pytest.approx(spot.everywhere(), abs=1e-9)


# --- where shadows end ---


def test_a_shadow_is_as_much_larger_as_it_is_further_away():
    # From 4 m to a flag at 3 m that is 0.5 m wide, down to 1 m: three times as far.
    flag = rectangle([0.0, 0.0, 3.0], [0, 0, 1], 0.5, 0.5)
    lines = shadow_lines(np.array([[0.2, 0.0, 4.0]]), [flag], 1.0)
    assert lines.shape == (4, 2, 2)
    assert lines[..., 0].min() == pytest.approx(0.2 + 3 * -0.45)
    assert lines[..., 0].max() == pytest.approx(0.2 + 3 * 0.05)
    assert np.abs(lines[..., 1]).max() == pytest.approx(0.75)


def test_a_lamp_near_the_floor_casts_upwards():
    flag = rectangle([0.0, 0.0, 0.5], [0, 0, 1], 0.5, 0.5)
    assert np.abs(shadow_lines(np.array([[0, 0, 0.0]]), [flag], 1.5)).max() == pytest.approx(0.75)


def test_of_a_flag_that_reaches_above_the_lamp_only_what_is_below_has_a_shadow():
    flag = rectangle([0.0, 1.0, 2.0], [0, 1, 0], 1.0, 2.0)
    lines = shadow_lines(np.array([[0.0, 0.0, 2.0]]), [flag], 1.5)
    assert len(lines) == 3
    # Its lower edge, at 1 m, lies under the level: its line runs where the lamp's light meets the level before it.
    assert lines[..., 1].min() == pytest.approx(0.5)
    assert lines[..., 1].max() > 100


def test_a_flag_above_the_lamp_casts_nothing_down():
    above = rectangle([0.0, 0.0, 3.0], [0, 0, 1], 0.5, 0.5)
    assert shadow_lines(np.array([[0.0, 0.0, 2.0]]), [above], 1.0).shape == (0, 2, 2)
    assert shadow_lines(np.zeros((0, 3)), [above], 1.0).shape == (0, 2, 2)


def test_a_board_stands_on_the_level_along_its_width():
    board = rectangle([1.0, 2.0, 1.2], [0, 1, 0], 0.8, 2.0)
    (line,) = feet([board, rectangle([0, 0, 5.0], [0, 1, 0], 1, 1)], 1.5)
    assert sorted(line[:, 0]) == pytest.approx([0.6, 1.4])
    assert line[:, 1] == pytest.approx(2.0)


def test_points_next_to_a_line_are_marked_and_no_others():
    plan = Plan(np.linspace(0, 1, 11), np.linspace(0, 2, 21))
    found = marked(plan, np.array([[[0.25, 0.55], [0.25, 1.35]]]))
    rows, columns = np.nonzero(found)
    assert set(columns) == {2, 3}
    assert (rows.min(), rows.max()) == (5, 14)
    assert found.sum() == 2 * 10


def test_a_line_that_runs_off_the_plan_is_marked_as_far_as_it_goes():
    plan = Plan(np.linspace(0, 1, 11), np.linspace(0, 1, 11))
    found = marked(plan, np.array([[[-1e6, 0.45], [1e6, 0.45]]]))
    assert found[4:6].all()
    assert found.sum() == 22


def test_a_line_that_passes_the_plan_by_marks_nothing():
    plan = Plan(np.linspace(0, 1, 11), np.linspace(0, 1, 11))
    for line in ([[-1.0, 1.5], [2.0, 1.5]], [[2.0, 0.5], [3.0, 0.5]], [[-1.0, 0.5], [0.5, 3.0]]):
        assert not marked(plan, np.array([line])).any()


# --- maps of scenes ---

KEY = a_softbox(at=(1.0, 1.5, 2.0), towards=(-1.0, -1.5, -0.5))
SPOT = a_bulb("spot", at=(1.0, 1.5, 2.0), towards=(-1.0, -1.5, -0.5), emission=beam(60.0))
BOARD = rectangle([-1.2, 0.4, 1.3], [1.2, -0.2, 0.0], 1.0, 2.0)
SILK = Scrim("silk", rectangle([0.6, 0.9, 1.75], [-1.0, -1.5, -0.5], 1.2, 1.2), 0.5, 0.1)
FLAG = Blocker(rectangle([0.5, 0.5, 1.7], [-1.0, -1.0, -0.3], 0.6, 0.45))
STRIP = Blocker(rectangle([0.4, 0.6, 1.75], [-1.0, -1.5, -0.5], 0.03, 1.5))
SILVER = Gloss(0.6, 12.0)

SCENES = {
    "a softbox": Scene((KEY,)),
    "a softbox past a flag": Scene((KEY,), blockers=(FLAG,)),
    "a spot past a flag": Scene((SPOT,), blockers=(FLAG,)),
    "a spot past a strip of 3 cm": Scene((SPOT,), blockers=(STRIP,)),
    "a white board": Scene((KEY,), (Board("board", BOARD, 0.85),)),
    "a silver board": Scene((KEY,), (Board("board", BOARD, 0.85, gloss=SILVER),)),
    "a spot on a silver board": Scene((SPOT,), (Board("board", BOARD, 0.85, gloss=SILVER),)),
    "a silk": Scene((KEY,), scrims=(SILK,)),
    "a silk and a flag": Scene((KEY,), blockers=(FLAG,), scrims=(SILK,)),
    "a white board in a room": Scene((KEY,), (Board("board", BOARD, 0.85),), room=RoomBox(6, 8, 3, (3, 4))),
}


@pytest.mark.parametrize("name", SCENES)
def test_a_fine_map_says_what_the_scene_says(name):
    scene = SCENES[name]
    found = np.exp2(light_map(scene, FINE, HEAD_M, TO_CAMERA, 1 / 125).stops)
    chance = np.random.default_rng(len(name))
    row, column = chance.integers(0, 256, (2, 400))
    places = np.stack([FINE.x_m[column], FINE.y_m[row], np.full(400, HEAD_M)], axis=1)
    exact = illuminate(scene, places, TO_CAMERA).flash_lxs
    # What is fourteen stops under the brightest is black in any picture.
    dark = found.max() * 2.0**-14
    off = np.abs(np.log2(np.maximum(found[row, column], dark) / np.maximum(exact, dark)))
    assert off.max() < (0.05 if scene.room else 0.02)
    assert np.quantile(off, 0.9) < 0.01


@pytest.mark.parametrize("name", SCENES)
def test_a_fine_map_asks_for_a_part_of_its_points(name, monkeypatch):
    from recipes.light import refining

    asked = []

    def counted(grid, ask, wanted):
        asked.append(wanted.sum())
        return given(grid, ask, wanted)

    given = refining._Grid.asked
    monkeypatch.setattr(refining._Grid, "asked", counted)
    light_map(SCENES[name], FINE, HEAD_M, TO_CAMERA, 1 / 125)
    assert sum(asked) < (0.6 if name == "a silk and a flag" else 0.35) * 256**2


def test_the_lobe_of_a_silver_board_is_in_a_map_as_bright_as_at_a_single_point():
    lobe = a_bulb("spot", at=(0, 2.0, HEAD_M), towards=(0, -1, 0), emission=beam(20.0))
    mirror = Board("board", disc([0, -2.0, HEAD_M], [0.2, 1, 0], 1.5), 0.8, gloss=Gloss(0.9, 5.0))
    scene = Scene((lobe,), (mirror,))
    grid = FloorGrid(-1.5, 1.5, -1.0, 1.0, 0.02)
    found = light_map(scene, grid, HEAD_M, facing(180), 1 / 125)
    brightest = np.unravel_index(np.argmax(found.stops), found.stops.shape)
    place = [grid.x_m[brightest[1]], grid.y_m[brightest[0]], HEAD_M]
    one = illuminate(scene, place, facing(180)).of_path("spot", "board")
    assert np.exp2(found.stops[brightest]) == pytest.approx(float(one), rel=0.01)
    # On the side that the board is turned to.
    assert place[0] > 0.2


@given(st.floats(0, 360), st.floats(0.6, 2.5), st.floats(-60, 60))
@example(216.75, 2.5, -39.0).via("a shadow's edge three coarse points from a corner of the plan")
@settings(max_examples=10, deadline=None)
def test_wherever_a_flag_stands_the_map_is_right_at_every_point(bearing, distance, turn):
    stands = [distance * np.sin(np.radians(bearing)), distance * np.cos(np.radians(bearing)), 1.6]
    flag = Blocker(rectangle(stands, facing(bearing + turn), 0.6, 0.9))
    scene = Scene((KEY, SPOT), blockers=(flag,))
    grid = FloorGrid(-2.0, 2.0, -2.0, 2.0, 0.025)
    found = np.exp2(light_map(scene, grid, HEAD_M, TO_CAMERA, 1 / 125).stops)
    columns, rows = np.meshgrid(grid.x_m, grid.y_m)
    exact = illuminate(scene, np.stack([columns, rows, 0 * rows + HEAD_M], axis=-1), TO_CAMERA).flash_lxs
    dark = found.max() * 2.0**-12
    assert stops_off(np.maximum(found, dark), np.maximum(exact, dark)) < 0.05
