"""Where the panes of a room are when one stands on the mark, each wall and the roof worked by hand.

The room: 10 m wide, 12 m deep, 5 m high; the mark is 4 m from the left wall and 3 m from the far wall, as the camera
sees them. Seen from the mark, x grows towards the left of the picture and y towards the camera: the left wall is at
x = +4, the right one at x = 4 - 10 = -6, the far wall at y = -3, the near one at y = 12 - 3 = +9. A window's offset
runs from the left end of its wall for somebody who stands inside and faces it. The camera looks along bearing 180,
and the line from the mark to the camera points to 200 degrees on the compass.
"""

from __future__ import annotations

from typing import Any

import pytest

from recipes.checks.setup import Window
from studio.places.models import Place, Room, RoomCircuit, RoomWindow
from studio.readiness.room import room_seen_from_the_mark
from studio.readiness.setups import setups_for
from tests.builders import a_recipe, a_room, a_shoot

pytestmark = pytest.mark.django_db


@pytest.fixture
def room() -> Room:
    return a_room(width_m=10.0, depth_m=12.0, height_m=5.0, mark_x_m=4.0, mark_y_m=3.0, north_deg=200.0)


def pane(room: Room, wall: str, offset_m: float, **more: Any) -> Window:
    """A window 2 m wide and 1.5 m high from 1 m above the floor, as it is seen from the mark."""
    RoomWindow.objects.create(
        room=room,
        name="Pane",
        wall=wall,
        offset_m=offset_m,
        **{"sill_m": 1.0, "width_m": 2.0, "height_m": 1.5, **more},
    )
    return room_seen_from_the_mark(room).windows[0]


def test_the_middle_of_a_pane_is_half_its_height_above_its_sill(room: Room) -> None:
    assert pane(room, "far", 1.0).centre_m[2] == 1.75


def test_on_the_far_wall_the_left_end_is_the_left_of_the_picture(room: Room) -> None:
    # From the left wall 1 m and half of 2 m: 2 m. The mark stands 4 m from it: 2 m to the left of the mark.
    assert pane(room, "far", 1.0).centre_m[:2] == (2.0, -3.0)


def test_on_the_near_wall_the_left_end_is_the_right_of_the_picture(room: Room) -> None:
    # Whoever faces the near wall has the right wall (x = -6) at the left hand: 2 m from it is x = -4.
    assert pane(room, "near", 1.0).centre_m[:2] == (-4.0, 9.0)


def test_on_the_left_wall_the_left_end_is_near_the_camera(room: Room) -> None:
    # Whoever faces the left wall has the near wall (y = +9) at the left hand: 2 m from it is y = +7.
    assert pane(room, "left", 1.0).centre_m[:2] == (4.0, 7.0)


def test_on_the_right_wall_the_left_end_is_far_from_the_camera(room: Room) -> None:
    # Whoever faces the right wall has the far wall (y = -3) at the left hand: 2 m from it is y = -1.
    assert pane(room, "right", 1.0).centre_m[:2] == (-6.0, -1.0)


def test_a_pane_in_the_roof_is_placed_from_the_left_and_the_far_wall(room: Room) -> None:
    # 3 m from the left wall and 4 m wide: x = 4 - 5 = -1. 2 m from the far wall and 6 m long: y = 5 - 3 = 2.
    seen = pane(room, "roof", 3.0, width_m=4.0, sill_m=2.0, height_m=6.0)
    assert seen.centre_m == (-1.0, 2.0, 5.0)


def test_a_pane_in_the_roof_is_a_skylight_at_the_height_of_the_roof(room: Room) -> None:
    seen = pane(room, "roof", 3.0, sill_m=2.0)
    assert (seen.skylight, seen.sill_m) == (True, 5.0)


@pytest.mark.parametrize(
    ("wall", "azimuth_deg"),
    [
        ("near", 200.0),  # out past the camera: along the line from the mark to it
        ("left", 290.0),  # bearing 90 is the left of the picture: 200 + 90
        ("far", 20.0),  # behind the mark: 200 + 180 - 360
        ("right", 110.0),  # 200 + 270 - 360
    ],
)
def test_a_pane_looks_out_at_a_right_angle_to_its_wall(room: Room, wall: str, azimuth_deg: float) -> None:
    assert pane(room, wall, 1.0).azimuth_deg == azimuth_deg


def test_everything_else_of_the_room_comes_along(room: Room) -> None:
    RoomCircuit.objects.filter(room=room).update(
        name="Hall A", voltage_v=230, rated_a=16, breaker="C", sockets=4
    )
    Room.objects.filter(pk=room.pk).update(
        wall_reflectance=0.4,
        floor_reflectance=0.15,
        ceiling_reflectance=0.6,
        outdoors=True,
        wind_m_per_s=3.0,
        temperature_c=7.0,
        beam_height_m=4.4,
    )
    Place.objects.update(latitude_deg=48.21, longitude_deg=16.37, altitude_m=171, country="AT")
    seen = room_seen_from_the_mark(Room.objects.select_related("place").get())
    assert (seen.width_m, seen.depth_m, seen.height_m, seen.mark_m) == (10.0, 12.0, 5.0, (4.0, 3.0))
    assert (seen.wall_reflectance, seen.floor_reflectance, seen.ceiling_reflectance) == (0.4, 0.15, 0.6)
    assert (seen.outdoors, seen.wind_m_per_s, seen.temperature_c, seen.beam_height_m) == (True, 3.0, 7.0, 4.4)
    assert (seen.latitude_deg, seen.longitude_deg, seen.altitude_m, seen.country) == (
        48.21,
        16.37,
        171.0,
        "AT",
    )
    (circuit,) = seen.circuits
    assert (circuit.name, circuit.voltage_v, circuit.rated_a, circuit.breaker, circuit.sockets) == (
        "Hall A",
        230.0,
        16.0,
        "C",
        4,
    )


def test_the_time_of_a_shoot_is_on_the_clock_of_its_place() -> None:
    shoot = a_shoot(a_recipe())
    setup = setups_for([shoot])[shoot.recipes.get().pk]
    assert setup.starts is not None
    assert setup.starts == shoot.booking.starts_at
    assert str(setup.starts.tzinfo) == "Europe/Paris"
