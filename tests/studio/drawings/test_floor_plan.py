"""The floor plan is to scale, from above, and never mirrored."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, radians, sin

import pytest

from studio.drawings.floor_plan import (
    CameraMark,
    LightArea,
    LightMark,
    PlanRoom,
    PlanScene,
    SpotMark,
    WindowMark,
    floor_plan,
)
from tests.studio.web.samples import SCENE

CAMERA = CameraMark((0.0, 3.0), 40.0, 1.6)
ROOM = PlanRoom("Hall", 6.0, 8.0, 2.0, 3.0)


def _light(at: tuple[float, float], **more: object) -> LightMark:
    values = {"name": "Key", "role": "key", "source": "strobe", "aim_m": (0.0, 0.0), "height_m": 2.0, **more}
    return LightMark(at_m=at, **values)  # type: ignore[arg-type]


def _corners(points: str) -> list[tuple[float, ...]]:
    return [tuple(map(float, point.split(","))) for point in points.split()]


def test_the_camera_stands_below_the_mark_and_looks_up_the_page() -> None:
    plan = floor_plan(PlanScene(camera=CAMERA))
    assert plan.camera is not None
    assert plan.camera.y > plan.mark[1]
    assert plan.camera.x == plan.mark[0]
    assert plan.camera.turn_deg == 0.0


def test_bearing_90_is_on_the_left_as_the_camera_sees_it() -> None:
    plan = floor_plan(PlanScene(camera=CAMERA, lights=(_light((2.0, 0.0)),)))
    assert plan.lights[0].x < plan.mark[0]
    assert "bearing 90°" in plan.lights[0].words


def test_distances_are_to_scale_in_both_directions() -> None:
    plan = floor_plan(PlanScene(camera=CAMERA, lights=(_light((1.5, -2.0)),)))
    light = plan.lights[0]
    on_page = hypot(light.x - plan.mark[0], light.y - plan.mark[1])
    assert on_page / plan.units_per_m == pytest.approx(2.5, abs=0.01)
    assert plan.bar_units / plan.units_per_m == pytest.approx(plan.bar_m, abs=0.01)


def test_a_light_looks_at_what_it_is_aimed_at() -> None:
    plan = floor_plan(PlanScene(lights=(_light((2.0, 0.0)), _light((0.0, -2.0)), _light((-2.0, 0.0)))))
    assert [light.turn_deg for light in plan.lights] == [90.0, 180.0, 270.0]


def test_the_emitting_face_has_its_true_width() -> None:
    plan = floor_plan(PlanScene(camera=CAMERA, lights=(_light((1.0, 1.0), face_width_m=0.9),)))
    assert plan.lights[0].width / plan.units_per_m == pytest.approx(0.9, abs=0.01)


def test_the_walls_stand_where_the_room_says() -> None:
    plan = floor_plan(PlanScene(camera=CAMERA, room=ROOM))
    xs, ys = zip(*_corners(plan.walls), strict=True)
    assert (plan.mark[0] - min(xs)) / plan.units_per_m == pytest.approx(2.0, abs=0.01)
    assert (max(xs) - plan.mark[0]) / plan.units_per_m == pytest.approx(4.0, abs=0.01)
    assert (plan.mark[1] - min(ys)) / plan.units_per_m == pytest.approx(3.0, abs=0.01)
    assert (max(ys) - plan.mark[1]) / plan.units_per_m == pytest.approx(5.0, abs=0.01)


def test_a_hall_far_larger_than_the_set_is_cut_off() -> None:
    hall = PlanRoom("Yard", 60.0, 80.0, 30.0, 40.0)
    plan = floor_plan(PlanScene(camera=CAMERA, room=hall))
    assert plan.units_per_m > 60
    assert min(x for x, _ in _corners(plan.walls)) < 0


@pytest.mark.parametrize(("north_deg", "turn"), [(0.0, 180.0), (180.0, 0.0), (90.0, 90.0), (270.0, 270.0)])
def test_north_points_where_it_is(north_deg: float, turn: float) -> None:
    """With the camera north of the mark (0) north is down the page; with the camera east of it (90) up the page is
    west, so north is to the right."""
    assert floor_plan(PlanScene(camera=CAMERA, north_deg=north_deg)).north_turn_deg == turn


def test_a_window_in_a_wall_and_one_in_the_roof_are_drawn_apart() -> None:
    windows = (WindowMark("door", ((1, -3), (-1, -3))), WindowMark("roof", ((0, 0), (1, 0), (1, 1), (0, 1))))
    plan = floor_plan(PlanScene(windows=windows))
    assert [pane.name for pane in plan.panes] == ["door"]
    assert [pane.name for pane in plan.roof_panes] == ["roof"]


def test_everything_that_stands_is_inside_the_drawing() -> None:
    plan = floor_plan(SCENE)
    for placed in (*plan.lights, *plan.boards, *plan.spots):
        assert 0 < placed.x < plan.width
        assert 0 < placed.y < plan.height
        assert 0 < placed.badge_x < plan.width
        assert 0 < placed.badge_y < plan.height


def test_a_light_on_its_own_aim_does_not_break_the_drawing() -> None:
    plan = floor_plan(PlanScene(lights=(_light((0.0, 0.0)),)))
    assert plan.lights[0].turn_deg == 0.0


def test_an_empty_scene_shows_the_mark() -> None:
    plan = floor_plan(PlanScene())
    assert 0 < plan.mark[0] < plan.width
    assert plan.room_words == "No room is given."


def test_the_list_says_the_same_as_the_drawing() -> None:
    key = floor_plan(replace(SCENE, room=None)).lights[0]
    assert key.words == (
        "key, strobe, bearing 40°, 1.5 m from the mark, 2.0 m high, face 0.9 m wide; −1.3 stops"
    )


def test_the_number_of_a_contour_keeps_clear_of_the_name_of_a_zone() -> None:
    ring = tuple((2.0 * sin(turn), 2.0 * cos(turn)) for turn in (radians(10 * step) for step in range(36)))
    zone = SpotMark("window", (0.0, -2.0))
    alone, beside = (
        floor_plan(PlanScene(camera=CAMERA, light_areas=(LightArea(-2.0, (ring,)),), spots=spots))
        for spots in ((), (zone,))
    )
    furthest, clear = alone.light_areas[0], beside.light_areas[0]
    assert furthest.x == pytest.approx(alone.mark[0], abs=0.1)
    assert hypot(clear.x - beside.spots[0].x, clear.y - beside.spots[0].y) > 0.8 * beside.units_per_m
    assert clear.y < beside.mark[1]


def test_the_number_of_a_contour_lies_on_no_wall() -> None:
    ring = tuple((1.5 * sin(turn), 2.9 * cos(turn)) for turn in (radians(5 * step) for step in range(72)))
    plan = floor_plan(PlanScene(camera=CAMERA, room=ROOM, light_areas=(LightArea(-2.0, (ring,)),)))
    top = min(y for _, y in _corners(plan.walls))
    assert plan.light_areas[0].y - top > 0.4 * plan.units_per_m
