"""Facts about many lamps at once: each gives what it gives alone."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.emission import beam
from recipes.light.geometry import Polygon, disc, rectangle, unit
from recipes.light.lamps import Lamps
from tests.recipes.light.scenes import AHEAD, a_bulb, a_softbox

OCTA = Polygon(np.array([[np.cos(a), 0.0, -np.sin(a)] for a in np.arange(8) * np.pi / 4]) * 0.6)
STAIR = Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [2, 0, -1], [1, 0, -1], [1, 0, -2], [0, 0, -2]]))
NO_PLANE = 0.0
POINT = 1e-9

SET = [
    a_softbox("box", at=(0, 0, 0)),
    a_softbox("dish", face=disc([0, 0, 1], AHEAD, 0.7)),
    a_softbox("octa", face=OCTA),
    a_softbox("stair", face=STAIR),
    a_softbox("grid", face=disc([1, 0, 0], AHEAD, 0.5), emission=beam(40)),
    a_bulb("bulb", at=(0, 0.2, 0)),
    a_bulb("spot", at=(0, 0.2, 0), emission=beam(30)),
]


def test_each_gives_what_it_gives_alone():
    chance = np.random.default_rng(1)
    points, normals = chance.uniform(-2, 2, (50, 3)), unit(chance.normal(size=(50, 3)))
    together = Lamps(SET).light_at(points, normals)
    for row, lamp in enumerate(SET):
        np.testing.assert_allclose(together[row], lamp.light_at(points, normals), atol=1e-9)
        assert together[row].any()


def test_none_give_nothing():
    assert Lamps([]).light_at(np.zeros((3, 3)), np.ones((3, 3))).shape == (0, 3)


def test_a_lamp_reaches_what_stands_before_it_and_is_turned_to_it():
    before = rectangle([0, 2, 0], -AHEAD, 1, 1)
    behind = rectangle([0, -2, 0], AHEAD, 1, 1)
    turned_away = rectangle([0, 2, 0], AHEAD, 1, 1)
    reach = Lamps(SET).can_reach([before, behind, turned_away])
    assert reach[:, 0].all()
    assert not reach[:, 2].any()
    # Only the bulb throws light backwards.
    assert [lamp.label for lamp, there in zip(SET, reach[:, 1], strict=True) if there] == ["bulb"]


@pytest.mark.parametrize("lamp", SET, ids=lambda lamp: lamp.label)
def test_the_nearer_the_lamp_the_finer_the_light(lamp):
    axis = np.array([lamp.centre + distance * lamp.axis for distance in (0.5, 1.0, 3.0)])
    wanted = Lamps([lamp]).detail_m(axis, np.full(3, 0.5), NO_PLANE)[0]
    assert 0 < wanted[0] < wanted[1] < wanted[2] < np.inf


def test_where_a_narrow_beam_does_not_fall_cells_may_be_as_large_as_they_are():
    spot = SET[-1]
    aside = np.array([[5.0, 0.7, 0.0]])
    assert Lamps([spot]).detail_m(aside, np.array([0.1]), NO_PLANE)[0, 0] == np.inf


def test_what_a_lamp_reaches_is_counted_from_where_the_lamp_stands():
    spot = Lamps([a_bulb(at=(0, 5.0, 0), emission=beam(30))])
    before, behind = rectangle([0, 7, 0], -AHEAD, 1, 1), rectangle([0, 3, 0], AHEAD, 1, 1)
    assert spot.can_reach([before, behind]).tolist() == [[True, False]]


def test_outlines_are_corners_and_of_a_disc_a_polygon_of_its_area():
    lamps = Lamps(SET)
    assert lamps.even.tolist() == [True, True, True, False, False, False, False]
    box, dish, octa, _, grid, bulb, _ = lamps.outlines
    np.testing.assert_allclose(box[:4], SET[0].emitter.corners)
    np.testing.assert_allclose(box[4:], np.broadcast_to(box[3], box[4:].shape))
    np.testing.assert_allclose(octa[:8], OCTA.corners)
    np.testing.assert_allclose(bulb, np.broadcast_to([0, 0.2, 0], bulb.shape))
    for outline, face in ((dish, SET[1].emitter), (grid, SET[4].emitter)):
        told = Polygon(outline)
        assert told.area_m2 == pytest.approx(face.area_m2)
        np.testing.assert_allclose(told.centre, face.centre, atol=1e-12)
        np.testing.assert_allclose(told.normal, face.normal, atol=1e-12)
        away = np.linalg.norm(outline - face.centre, axis=1)
        assert away == pytest.approx(away[0])
        sides = np.linalg.norm(outline - np.roll(outline, 1, axis=0), axis=1)
        assert sides == pytest.approx(sides[0])


def test_how_fine_a_wall_must_be_looked_at_goes_by_the_distance_to_the_lamp():
    """Straight before each: as far as the nearest point of the emitter, or 0.3 of its half across close to it."""
    box = a_softbox("box", face=rectangle([0, 0, 0], AHEAD, 1.2, 0.9))
    dish = a_softbox("dish", face=disc([0, 0, 0], AHEAD, 1.0))
    lamps = Lamps([box, dish, a_bulb("bulb", at=(0, 0, 0))])
    sides = [[1.6, 1, 0], [-1.6, 1, 0], [0, 1, 1.45], [0, 1, -1.45]]
    points = np.array([[0.0, 2, 0], [0.4, 2, 0.2], [0.0, 0.01, 0], *sides])
    found = lamps.detail_m(points, np.full(7, POINT), NO_PLANE)
    np.testing.assert_allclose(found[0], [2, 2, 0.3 * 1.5 / 2, *[np.sqrt(2)] * 4])
    # A disc is held by the square round it.
    aside = [np.hypot(1.1, 1), np.hypot(1.1, 1), np.hypot(0.95, 1), np.hypot(0.95, 1)]
    np.testing.assert_allclose(found[1], [2, 2, 0.3 / 2, *aside])
    np.testing.assert_allclose(found[2], np.linalg.norm(points, axis=1))


@pytest.mark.parametrize(
    ("size", "wanted"),
    # The bulb is 0.7 m under the ceiling and 2.4 m beside the middle of the cell: 2.5 m away from it.
    [(1e-9, 2.5), (2.0, np.hypot(0.7, 1.4)), (4.8, 0.7), (9.0, 0.7)],
    ids=["a point", "a small cell", "up to over the lamp", "beyond it"],
)
def test_of_a_large_cell_it_is_the_nearest_part_that_a_lamp_is_far_from(size, wanted):
    bulb = Lamps([a_bulb("bulb", at=(0, 0, 2.1), towards=(0, 0, 1))])
    ceiling = rectangle([2.4, 0, 2.8], [0, 0, -1], size, size)
    over_m = bulb.over_m([ceiling])
    assert over_m == pytest.approx(0.7)
    found = bulb.detail_m(ceiling.centre[None], np.array([size]), over_m)
    assert found[0, 0] == pytest.approx(wanted)


def test_how_far_a_lamp_is_from_a_wall_goes_by_its_nearest_corner():
    pane = a_softbox("pane", face=rectangle([0, 0, 1.3], AHEAD, 1.0, 1.6))
    floor, ceiling = rectangle([0, 0, 0], [0, 0, 1], 4, 4), rectangle([0, 0, 2.8], [0, 0, -1], 4, 4)
    assert Lamps([pane, a_bulb("bulb", at=(0, 0, 2.0))]).over_m([floor, ceiling]) == pytest.approx(
        np.array([[0.5, 0.7], [2.0, 0.8]])
    )


def test_what_lies_behind_a_lamp_or_outside_its_beam_need_not_be_looked_at_finely():
    lamps = Lamps(
        [
            a_softbox("box", face=rectangle([0, 0, 0], AHEAD, 1, 1)),
            a_bulb("spot", at=(0, 0, 0), emission=beam(20)),
        ]
    )
    behind, aside, within = [0.0, -1, 0], [3.0, 1, 0], [0.2, 3, 0]
    found = lamps.detail_m(np.array([behind, aside, within]), np.full(3, POINT), NO_PLANE)
    assert np.isinf(found).tolist() == [[True, False, False], [True, True, False]]
    # A beam of 20 degrees is as fine as its spot: tan 10 degrees of the distance.
    assert found[1, 2] == pytest.approx(np.hypot(0.2, 3) * np.tan(np.radians(10)))


def test_half_of_a_lamp_before_half_of_a_face_is_enough_to_reach_it():
    across = rectangle([-0.2, 0.3, 0], [1, 0, 0], 2, 2)
    box = a_softbox("box", face=rectangle([0, 0, 0], AHEAD, 1, 1))
    assert Lamps([box]).can_reach([across, across.turned_over()]).tolist() == [[True, True]]
