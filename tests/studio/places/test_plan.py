"""Facts about the plan: seen from above, the camera at the bottom, never mirrored, a hundred units a metre."""

from __future__ import annotations

import pytest

from studio.places.plan import draw_room

W, D = 6.0, 8.0


def pane(wall: str, offset: float = 1.0, width: float = 2.0, sill: float = 0.9, height: float = 1.5):
    return draw_room(W, D, (3.0, 3.0), 180.0, [("pane", wall, offset, sill, width, height)]).glass[0]


def test_the_room_is_drawn_to_scale() -> None:
    plan = draw_room(W, D, (2.0, 3.5), 0.0, [])
    assert (plan.width, plan.depth, plan.mark_x, plan.mark_y) == (600, 800, 200, 350)


@pytest.mark.parametrize(
    ("wall", "ends"),
    [
        ("far", (100, 0, 300, 0)),
        ("near", (300, 800, 500, 800)),
        ("left", (0, 500, 0, 700)),
        ("right", (600, 100, 600, 300)),
    ],
)
def test_a_pane_is_measured_from_the_left_end_as_seen_from_inside(wall, ends) -> None:
    found = pane(wall)
    assert (found.x1, found.y1, found.x2, found.y2) == ends


def test_a_pane_in_the_roof_lies_from_the_left_and_the_far_wall() -> None:
    found = pane("roof", offset=1.0, sill=2.0, width=2.0, height=1.5)
    assert (found.x1, found.y1, found.width, found.height) == (100, 200, 200, 150)


@pytest.mark.parametrize(
    ("bearing_to_camera", "turn"),
    [(180, 0), (0, 180), (90, 90), (270, 270)],
    ids=["camera to the south", "camera to the north", "camera to the east", "camera to the west"],
)
def test_north_turns_with_the_bearing_from_mark_to_camera(bearing_to_camera, turn) -> None:
    """Down the paper is that bearing; a camera in the east puts west at the top, so north points right (90)."""
    assert draw_room(W, D, (3.0, 3.0), bearing_to_camera, []).turn_deg == turn


def test_the_arrow_to_the_camera_stays_inside_the_room() -> None:
    plan = draw_room(W, D, (3.0, 7.8), 0.0, [])
    assert plan.arrow_y < plan.depth
