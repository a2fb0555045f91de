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
    wanted = Lamps([lamp]).detail_m(axis, np.full(3, 0.5))[0]
    assert 0 < wanted[0] < wanted[1] < wanted[2] < np.inf


def test_where_a_narrow_beam_does_not_fall_cells_may_be_as_large_as_they_are():
    spot = SET[-1]
    aside = np.array([[5.0, 0.7, 0.0]])
    assert Lamps([spot]).detail_m(aside, np.array([0.1]))[0, 0] == np.inf


def test_what_a_lamp_reaches_is_counted_from_where_the_lamp_stands():
    spot = Lamps([a_bulb(at=(0, 5.0, 0), emission=beam(30))])
    before, behind = rectangle([0, 7, 0], -AHEAD, 1, 1), rectangle([0, 3, 0], AHEAD, 1, 1)
    assert spot.can_reach([before, behind]).tolist() == [[True, False]]
