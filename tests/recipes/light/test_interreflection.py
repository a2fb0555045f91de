"""Facts about rooms as boxes, and about the light that their sides throw to and fro: none of it is lost or made."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.bounce import LitSurfaces, Surface, lit_surfaces
from recipes.light.geometry import rectangle
from recipes.light.interreflection import RoomBox, later_bounces, sphere_light
from recipes.light.lamps import Lamps
from recipes.light.quadrature import even_nodes
from tests.recipes.light.scenes import a_bulb, a_softbox

ROOM = RoomBox(5.0, 6.0, 3.0, (2.0, 2.5), 0.3, 0.7, (0.5, 0.6, 0.4, 0.2))
LAMPS = Lamps(
    [
        a_bulb(at=(0.3, 0.2, 1.4)),
        a_softbox(at=(-1.0, 1.0, 2.0), towards=(0.3, -1, -0.2), flux_lm=700.0),
        a_bulb("off", flux_lm=0.0, at=(0, 0, 1.0)),
    ]
)


def sides_of(room: RoomBox) -> list[Surface]:
    return [Surface(face, rho) for _, face, rho in room.surfaces]


def taken_lm(room: RoomBox, again: LitSurfaces) -> np.ndarray:
    """What the sides of the room keep of the light that sent them this: (1 - rho) of what falls on them."""
    rho = np.array([rho for _, _, rho in room.surfaces])[again.nodes.faces]
    return again.exitance @ (again.nodes.areas_m2 * (1.0 - rho) / rho)


def test_all_that_the_first_bounce_sends_out_is_kept_in_the_end():
    lit = lit_surfaces(sides_of(ROOM), LAMPS)
    assert taken_lm(ROOM, later_bounces(ROOM, lit)) == pytest.approx(lit.reflected_lm, rel=2e-3)
    assert lit.reflected_lm[2] == 0.0
    assert lit.reflected_lm[0] > 2.0 * lit.reflected_lm[1] > 0.0


def a_dark_room(lamps: int = 1) -> LitSurfaces:
    return lit_surfaces(sides_of(ROOM), Lamps([a_bulb(str(n), flux_lm=0.0) for n in range(lamps)]))


def test_what_small_boards_send_into_a_room_its_sides_keep():
    # Black boards of 10 by 20 cm take back next to nothing of it.
    black = [
        Surface(rectangle([0.5, 0.5, 1.0], [0, 0, 1], 0.1, 0.2), 0.0),
        Surface(rectangle([-1.5, 2.0, 1.8], [0.6, 0.8, 0], 0.1, 0.2), 0.0),
    ]
    sent = np.array([[1000.0, 0.0], [50.0, 400.0]])
    again = later_bounces(ROOM, a_dark_room(2), black, sent)
    assert taken_lm(ROOM, again) == pytest.approx([1000.0, 450.0], rel=0.005)
    assert later_bounces(ROOM, a_dark_room(2), black, 0 * sent).exitance == pytest.approx(0.0)


def test_a_board_sends_on_its_part_of_what_the_room_throws_on_it():
    lit = lit_surfaces(sides_of(ROOM), LAMPS)
    face = rectangle([0.0, 1.0, 1.5], [0, 1, 0], 1.0, 1.0)
    nodes = even_nodes(face, 4)
    looking = np.broadcast_to(face.normal, nodes.points.shape)
    alone = taken_lm(ROOM, later_bounces(ROOM, lit))
    for rho in (0.0, 0.4, 0.9):
        again = later_bounces(ROOM, lit, [Surface(face, rho)], np.zeros((3, 1)))
        on_it = sum(one.light_at(nodes.points, looking).sum(axis=0) for one in (lit, again))
        more = taken_lm(ROOM, again) - alone
        assert more[0] == pytest.approx(rho * float(on_it[0] @ nodes.areas_m2), rel=0.1, abs=1e-9)


def test_a_room_that_is_as_white_as_may_be_keeps_its_light_long():
    # The sphere formula has the first bounce in it; in a box it holds for the mean of all sides.
    white = RoomBox(4, 4, 4, (2, 2), 0.98, 0.98, (0.98,) * 4)
    lit = lit_surfaces(sides_of(white), Lamps([a_bulb(at=(0, 0, 2.0))]))
    again = later_bounces(white, lit)
    assert again.reflected_lm[0] / white.area_m2 == pytest.approx(
        sphere_light(5000.0, 96.0, 0.98) - lit.reflected_lm[0] / 96.0, rel=1e-3
    )


def test_each_side_stands_where_it_is_said_and_looks_inwards():
    # As the camera sees them: left at +2, far at -2.5.
    told = {name: (*face.centre, *face.normal, face.area_m2, rho) for name, face, rho in ROOM.surfaces}
    assert told == {
        "floor": pytest.approx((-0.5, 0.5, 0, 0, 0, 1, 30, 0.3)),
        "ceiling": pytest.approx((-0.5, 0.5, 3, 0, 0, -1, 30, 0.7)),
        "left wall": pytest.approx((2, 0.5, 1.5, -1, 0, 0, 18, 0.5)),
        "right wall": pytest.approx((-3, 0.5, 1.5, 1, 0, 0, 18, 0.6)),
        "far wall": pytest.approx((-0.5, -2.5, 1.5, 0, 1, 0, 15, 0.4)),
        "near wall": pytest.approx((-0.5, 3.5, 1.5, 0, -1, 0, 15, 0.2)),
    }
    for _, face, _ in ROOM.surfaces:
        corners = face.corners_round()
        assert np.all((corners >= ROOM.low - 1e-12) & (corners <= ROOM.high + 1e-12))


def test_the_reflectance_of_a_room_is_the_mean_by_area():
    # (30 * 0.3 + 30 * 0.7 + 18 * 0.5 + 18 * 0.6 + 15 * 0.4 + 15 * 0.2) / 126.
    assert ROOM.area_m2 == pytest.approx(126.0)
    assert ROOM.mean_reflectance == pytest.approx(58.8 / 126.0)


def test_a_room_of_which_nobody_says_more_is_painted_as_most_are():
    # 70 / 50 / 20 of ceiling, walls and floor: common practice, no source.
    room = RoomBox(6, 8, 3, (3, 4))
    assert [rho for _, _, rho in room.surfaces] == [0.2, 0.7, 0.5, 0.5, 0.5, 0.5]


@pytest.mark.parametrize("axis", range(3))
def test_what_touches_a_side_is_inside_and_a_millimetre_further_out_is_not(axis):
    middle, way = (ROOM.low + ROOM.high) / 2.0, np.eye(3)[axis]
    for end, outwards in ((ROOM.low, -1.0), (ROOM.high, 1.0)):
        touching = np.where(way > 0, end, middle)
        places = touching + np.array([[0.0], [1e-7], [1e-3]]) * outwards * way
        assert ROOM.outside(places).tolist() == [False, False, True]


def test_the_mark_may_lie_at_a_wall_and_a_side_may_be_black_or_nearly_white():
    RoomBox(6, 8, 3, (0, 8), 0.0, 0.98, (0.0, 0.98, 0.0, 0.98), spread_stops=0.0)
    RoomBox(6, 8, 3, (6, 0), 0.98, 0.0, (0.98, 0.0, 0.98, 0.0))
    assert sphere_light(1000.0, 100.0, 0.98) == pytest.approx(490.0)
    assert sphere_light(1000.0, 100.0, 0.0) == 0.0


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"width_m": -6}, "width_m is -6"),
        ({"depth_m": 0}, "depth_m is 0"),
        ({"height_m": 0}, "height_m is 0"),
        ({"mark_m": (-0.1, 1)}, r"distance from the left wall is -0\.1"),
        ({"mark_m": (1, -0.1)}, r"distance from the far wall is -0\.1"),
        ({"mark_m": (5.1, 1)}, r"distance from the left wall is 5\.1"),
        ({"mark_m": (1, 6.1)}, r"distance from the far wall is 6\.1"),
        ({"floor_reflectance": 0.99}, r"floor_reflectance is 0\.99; give a number from 0 to 0\.98"),
        ({"floor_reflectance": -0.1}, r"floor_reflectance is -0\.1"),
        ({"ceiling_reflectance": 0.99}, r"ceiling_reflectance is 0\.99"),
        ({"ceiling_reflectance": -0.1}, r"ceiling_reflectance is -0\.1"),
        ({"walls": (-0.1, 0.5, 0.5, 0.5)}, r"a wall's reflectance is -0\.1"),
        ({"walls": (0.5, 0.5, 0.5, 0.99)}, r"a wall's reflectance is 0\.99"),
        ({"spread_stops": -0.1}, r"spread_stops is -0\.1"),
    ],
)
def test_a_room_that_cannot_be_is_refused(changed, sentence):
    given = {"width_m": 5.0, "depth_m": 6.0, "height_m": 3.0, "mark_m": (2.0, 2.5)}
    with pytest.raises(ValueError, match=sentence):
        RoomBox(**(given | changed))
