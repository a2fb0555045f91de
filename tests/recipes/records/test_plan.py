"""The plan of a recipe: to scale, the right way round, with no word on another."""

from __future__ import annotations

from math import dist

import pytest
from hypothesis import given, settings

from recipes.look import Look
from recipes.records.plan import Plan, draw_plan
from tests.builders import LOOK, a_look
from tests.recipes.looks import looks

KEY = LOOK["lights"][0]


def with_light(**changes: object) -> Plan:
    return draw_plan(a_look(lights=[{**KEY, "aim": None, **changes}]))


def test_the_camera_stands_below_the_mark_at_its_distance() -> None:
    plan = draw_plan(a_look())
    assert plan.camera.at[0] == plan.mark[0]
    assert plan.camera.at[1] - plan.mark[1] == pytest.approx(3.0 * plan.metre, abs=0.5)


def test_bearing_90_is_left_of_the_mark_on_the_page() -> None:
    """Clockwise seen from above, from the line down the page: a quarter turn comes out on the left."""
    plan = with_light(bearing_deg=90, distance_m=2.0)
    (lamp,) = plan.lamps
    assert lamp.at[1] == pytest.approx(plan.mark[1], abs=0.2)
    assert plan.mark[0] - lamp.at[0] == pytest.approx(2.0 * plan.metre, abs=0.5)
    assert lamp.turn_deg == pytest.approx(90)


def test_a_lamp_behind_the_mark_looks_down_the_page() -> None:
    (lamp,) = with_light(bearing_deg=180, distance_m=2.0).lamps
    assert lamp.turn_deg == pytest.approx(180)


def test_a_face_is_drawn_in_its_true_width() -> None:
    plan = with_light(modifier={"width_m": 1.2, "height_m": 0.9})
    assert plan.lamps[0].width == pytest.approx(1.2 * plan.metre, abs=0.3)


def test_a_bounced_light_goes_over_its_board() -> None:
    bounce = {"bearing_deg": 90, "distance_m": 2.0, "width_m": 1.5, "height_of_board_m": 2, "turn_deg": 270}
    plan = with_light(bounce=bounce, bearing_deg=30, distance_m=1.0)
    (board,) = plan.boards
    (lamp,) = plan.lamps
    assert lamp.way[1] == board.at
    assert lamp.way[2] == plan.mark
    # Its face looks to bearing 270, the right of the page.
    assert board.turn_deg == pytest.approx(90)


def test_a_board_without_a_turn_faces_half_way_between_lamp_and_aim() -> None:
    bounce = {"bearing_deg": 90, "distance_m": 2.0, "width_m": 1.0, "height_of_board_m": 2}
    # Board 2 m left of the mark; a lamp 2 m below it on the page. Half-way between right and down is down-right.
    plan = with_light(bounce=bounce, bearing_deg=45, distance_m=8**0.5)
    assert plan.boards[0].turn_deg == pytest.approx(135, abs=0.2)


def test_a_far_window_does_not_shrink_the_rest() -> None:
    near = draw_plan(a_look())
    zones = [LOOK["zones"][0], {**LOOK["zones"][1], "distance_m": 60.0}]
    far = draw_plan(a_look(zones=zones))
    assert far.metre > near.metre / 2
    assert far.spots[0].tag.text == "window, 60 m off"


def test_the_description_says_what_is_drawn() -> None:
    assert "Key at bearing 40°, 1.5 m from the mark" in draw_plan(a_look()).description


@settings(max_examples=60, deadline=None)
@given(looks())
def test_everything_stands_inside_the_drawing_and_to_one_scale(look: Look) -> None:
    plan = draw_plan(look)
    for at in (
        plan.mark,
        plan.camera.at,
        *(lamp.at for lamp in plan.lamps),
        *(board.at for board in plan.boards),
    ):
        assert 0 <= at[0] <= plan.width
        assert 0 <= at[1] <= plan.height
    for light, lamp in zip(look.lights, plan.lamps, strict=True):
        assert dist(lamp.at, plan.mark) == pytest.approx(
            light.distance_m * plan.metre, abs=0.06 * light.distance_m + 0.3
        )


def test_words_of_lights_close_together_do_not_cover_each_other() -> None:
    lights = [{**KEY, "name": f"Light {n}", "bearing_deg": 40 + 2 * n} for n in range(3)]
    tags = [lamp.tag for lamp in draw_plan(a_look(lights=lights)).lamps]
    for index, one in enumerate(tags):
        for other in tags[index + 1 :]:
            assert abs(one.y - other.y) >= 14 or abs(one.x - other.x) >= 50
