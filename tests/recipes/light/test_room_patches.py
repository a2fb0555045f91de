"""Facts about what the patches of a room send out, point by point, and what they and boards see of each other."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.box_factors import PATCHES_A_SIDE, SIDES
from recipes.light.geometry import rectangle, unit
from recipes.light.obstruction import Blocker
from recipes.light.quadrature import even_nodes
from recipes.light.room_patches import RoomPatches
from recipes.light.scene import Board, RoomBox, Scrim

ROOM = RoomBox(6.0, 8.0, 3.0, (2.5, 3.0))
PATCHES = RoomPatches(ROOM.low, ROOM.high)
MIDDLES = PATCHES.corners.mean(axis=1)
SIDE_OF_PATCH = np.repeat(np.arange(len(SIDES)), PATCHES_A_SIDE**2)
WHITE = Board("white", rectangle([-0.3, 0.4, 1.4], [1, 0.2, 0.1], 1.6, 1.6), 0.85, back_reflectance=0.4)
SILK = Scrim("silk", rectangle([0.9, -0.6, 1.7], [0.3, 1, -0.4], 1.2, 1.5), 0.6, reflectance=0.2)


def spread_over(side):
    """Gauss points of a side of the room that fall into its patches evenly, and the side of each."""
    points = even_nodes(ROOM.surfaces[side][1], 64).points
    return points, np.full(len(points), side)


def test_what_is_even_is_even_at_every_point():
    for side in range(len(SIDES)):
        found = PATCHES.carried_to(*spread_over(side), np.full((1, len(MIDDLES)), 3.0))
        np.testing.assert_allclose(found, 3.0)


def test_what_rises_evenly_along_a_wall_is_told_exactly_to_its_very_edges():
    rising = (10.0 + MIDDLES @ [0.5, -0.7, 0.3])[None]
    for side in range(len(SIDES)):
        points, sides = spread_over(side)
        # Along the wall's own normal all of its points lie alike.
        np.testing.assert_allclose(
            PATCHES.carried_to(points, sides, rising)[0], 10.0 + points @ [0.5, -0.7, 0.3], rtol=1e-12
        )


def test_over_a_patch_it_leaves_the_mean_as_it_is():
    means = np.random.default_rng(3).uniform(0.5, 1.0, (2, len(MIDDLES)))
    middle = MIDDLES[:, None]
    # The middles of the four quarters: a rise to one side is a fall to the other.
    quarters = ((PATCHES.corners + middle) / 2.0).reshape(-1, 3)
    found = PATCHES.carried_to(quarters, np.repeat(SIDE_OF_PATCH, 4), means)
    np.testing.assert_allclose(found.reshape(2, -1, 4).mean(axis=2), means)
    assert found.reshape(2, -1, 4).std(axis=2).max() > 0.05


def test_beside_a_dark_patch_nothing_is_below_darkness():
    means = np.zeros((1, len(MIDDLES)))
    means[0, ::3] = 1.0
    means[0, 1::3] = 0.1
    for side in range(len(SIDES)):
        found = PATCHES.carried_to(*spread_over(side), means)
        assert found.min() >= -1e-15
        assert found.max() > 1.0


def test_sources_are_carried_each_by_itself():
    points, sides = spread_over(2)
    means = np.random.default_rng(4).uniform(0.0, 1.0, (3, len(MIDDLES)))
    together = PATCHES.carried_to(points, sides, means)
    for row in range(3):
        np.testing.assert_allclose(together[row], PATCHES.carried_to(points, sides, means[row : row + 1])[0])


@pytest.mark.parametrize("number", [0, 17, 41, 63, 95])
def test_a_point_stands_for_the_patch_that_it_lies_on(number):
    shares = PATCHES.shares_of(MIDDLES, PATCHES.areas_m2, SIDE_OF_PATCH)
    assert shares[number].tolist() == [float(other == number) for other in range(len(MIDDLES))]


def test_between_two_patches_as_much_goes_one_way_as_the_other():
    # Reciprocity: A_i F_ij = A_j F_ji; and each sees nothing but the room.
    there = PATCHES.areas_m2[:, None] * PATCHES.factors
    np.testing.assert_allclose(there, there.T, atol=1e-9)
    np.testing.assert_allclose(PATCHES.factors.sum(axis=1), 1.0, atol=1e-6)
    assert PATCHES.areas_m2.sum() == pytest.approx(2 * (6 * 8 + 6 * 3 + 8 * 3))


def test_wherever_a_receiver_in_the_room_looks_patches_fill_its_view():
    chance = np.random.default_rng(4)
    points = chance.uniform(PATCHES.low + 0.05, PATCHES.high - 0.05, size=(40, 3))
    seen = PATCHES.seen_from(points, unit(chance.normal(size=(40, 3))))
    np.testing.assert_allclose(seen.sum(axis=0), 1.0, atol=1e-6)


def test_patches_fill_the_view_of_all_of_a_board():
    sides = [side.face for side in (*WHITE.sides, *SILK.sides)]
    np.testing.assert_allclose(PATCHES.seen_from_sides(sides).sum(axis=1), 1.0, atol=1e-6)


@pytest.mark.parametrize(
    "sides", [WHITE.sides, SILK.sides, (*WHITE.sides, *SILK.sides)], ids=["a board", "a cloth", "both"]
)
def test_light_goes_back_from_where_a_side_sends_it_as_it_would_come_there(sides):
    # A cloth takes light on one side and sends it on from the other.
    count = len(PATCHES.areas_m2)
    found = PATCHES.with_sides(sides)
    np.testing.assert_allclose(
        found[count:, :count], PATCHES.seen_from_sides([side.taking for side in sides])
    )
    areas = np.array([side.face.area_m2 for side in sides])
    leaving = PATCHES.seen_from_sides([side.face for side in sides])
    np.testing.assert_allclose(
        found[:count, count:] * PATCHES.areas_m2[:, None], (leaving * areas[:, None]).T
    )


def test_what_stands_in_the_view_takes_as_much_of_the_patches_as_it_fills():
    # A square of 1 by 1 m, 1 m off on the axis: Howell's catalogue, differential element to rectangle, four times
    # 1 / 2 pi · 2 · 0.5 / sqrt 1.25 · atan(0.5 / sqrt 1.25). By the middles of quarters it is coarse in one place, and
    # right on the whole.
    fills = 4 / np.pi * 0.5 / 1.25**0.5 * np.arctan(0.5 / 1.25**0.5)
    turns = np.radians(np.arange(1, 360, 10))
    ways = np.stack([np.cos(turns), np.sin(turns), 0.0 * turns], axis=1)
    point = np.array([0.3, 0.9, 1.5])
    hidden = []
    for way in ways:
        board = Blocker(rectangle(point + way, -way, 1.0, 1.0))
        behind = RoomPatches(ROOM.low, ROOM.high, (board,))
        hidden.append(1.0 - behind.seen_from(point[None], way[None]).sum())
    assert fills == pytest.approx(0.2395, abs=1e-4)
    assert np.mean(hidden) == pytest.approx(fills, abs=0.015)
    assert hidden == pytest.approx([fills] * len(hidden), abs=0.08)
