"""Facts about things in the way, against paths that are followed one by one."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light import obstruction
from recipes.light.emission import beam
from recipes.light.face import level_axes
from recipes.light.geometry import rectangle, unit
from recipes.light.obstruction import Blocker, passing, visible_share
from recipes.light.source import Source
from tests.recipes.light.scenes import AHEAD, a_softbox, hinged

WALL = Blocker(rectangle([0, 1, 0], AHEAD, 1, 1), 0.25, label="wall")
ASIDE = Blocker(rectangle([9, 1, 0], AHEAD, 1, 1), label="aside")


@pytest.mark.parametrize("seed", range(12))
def test_what_is_hidden_is_what_a_path_meets_on_its_way(seed):
    chance = np.random.default_rng(seed)
    centre, normal = chance.uniform(-1, 1, 3), unit(chance.normal(size=3))
    # A square with the side of 1.2, however it is rolled: within 0.6 it hides, beyond 0.85 it does not.
    blocker = Blocker(rectangle(centre, normal, 1.2, 1.2), 0.3)
    starts, ends = chance.uniform(-2, 2, (40, 3)), chance.uniform(-2, 2, (30, 3))
    passed = passing(starts, ends, [blocker])
    shares = np.ones((30, 40)) if passed is None else passed
    for e, end in enumerate(ends):
        for s, start in enumerate(starts):
            along = normal @ (centre - start) / (normal @ (end - start))
            off = np.linalg.norm(start + along * (end - start) - centre)
            if not 0 < along < 1 or off > 0.85:
                assert shares[e, s] == 1.0
            elif off < 0.6:
                assert shares[e, s] == 0.3


@pytest.mark.parametrize(("start_y", "end_y"), [(1.0, 2.0), (1.0, 0.0), (0.0, 1.0), (2.0, 1.0)])
def test_a_path_that_begins_or_ends_on_a_thing_does_not_cross_it(start_y, end_y):
    paths = np.array([[0.0, start_y, 0.0], [0.0, 0.0, 0.2]]), np.array([[0.1, end_y, 0.0], [0.1, 2.0, 0.2]])
    passed = passing(*paths, [WALL])
    assert passed is not None
    assert (passed[0, 0], passed[1, 1]) == (1.0, 0.25)


@pytest.mark.parametrize("face", [WALL.face, WALL.face.turned_over()])
def test_of_starts_on_both_sides_of_a_thing_it_hides_those_behind_it(face):
    starts = np.array([[0.0, 0, 0], [0.0, 1.5, 0]])
    for end_y, passes in ((3.0, [0.0, 1.0]), (-1.0, [1.0, 0.0])):
        passed = passing(starts, np.array([[0.0, end_y, 0]]), [Blocker(face)])
        assert passed is not None
        assert passed[0].tolist() == passes


def test_a_flag_a_fifth_of_a_millimetre_before_a_lamp_hides_it():
    passed = passing(np.array([[0.0, 0.9998, 0]]), np.array([[0.0, 2.0, 0]]), [WALL])
    assert passed is not None
    assert passed[0, 0] == 0.25


def test_seen_from_the_plane_of_a_flag_its_edge_is_sharp():
    # A patch of 10 cm that is a metre away, a tenth of a millimetre behind the flag and a third beside its edge.
    patch, sizes_m = np.array([[0.4997, 0.0, 0.0], [0.5003, 0.0, 0.0]]), np.array([0.1, 0.1])
    for x, passes in ((0.4997, 0.25), (0.5003, 1.0)):
        passed = passing(patch, np.array([[x, 1.0001, 0.0], [0.0, 1.0001, 0.0]]), [WALL], sizes_m)
        assert passed is not None
        assert passed[0] == pytest.approx([passes, passes], abs=1e-3)


def test_a_thing_aside_does_not_hide_one_that_is_in_the_way():
    passed = passing(np.array([[0.0, 0, 0]]), np.array([[0.0, 2, 0]]), [ASIDE, WALL, WALL])
    assert passed is not None
    assert passed[0, 0] == pytest.approx(0.25**2)


def test_many_points_taken_in_portions_are_the_same_points(monkeypatch):
    lamp = a_softbox(at=(0, 0, 0))
    points = np.array([[4.0, 0.5, 0], [0, 2.0, 0], [0.7, 2.0, 0], [0, -1.0, 0]])
    normals = np.broadcast_to(-AHEAD, points.shape)
    at_once = visible_share(lamp, points, normals, [WALL])
    monkeypatch.setattr(obstruction, "_MOST_AT_ONCE", 1)
    assert visible_share(lamp, points, normals, [WALL]) == pytest.approx(at_once, abs=1e-12)
    assert ((at_once >= 0) & (at_once <= 1)).all()
    assert at_once[0] == 1.0
    assert at_once[1] == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("middle_m", "width_m"),
    [
        pytest.param(-1.0, 2.0, id="flag"),
        pytest.param(0.0, 0.12, id="plank"),
        pytest.param(0.0, 0.03, id="stick"),
        pytest.param(0.0, 0.01, id="pole"),
    ],
)
def test_what_is_upright_hides_an_upright_lamp_little_by_little(middle_m, width_m):
    """A lamp that is not evenly bright, past an edge along its side, against 160 rays a side."""
    lamp = Source("grid", "flash", rectangle([0, 0, 1.5], [0, 1, 0], 0.9, 1.2), 1e4, beam(40.0))
    thing = [Blocker(rectangle([middle_m, 0.8, 1.5], [0, 1, 0], width_m, 3.0))]
    points = np.array([[x, 2.5, 1.5] for x in np.linspace(-0.6, 0.6, 49)])
    normals = np.broadcast_to([0.0, -1.0, 0.0], points.shape)
    told = visible_share(lamp, points, normals, thing)
    by_rays = visible_share(lamp, points, normals, thing, rays_a_side=160)
    assert np.abs(told - by_rays).max() < 0.015
    assert (1.0 - told).mean() == pytest.approx((1.0 - by_rays).mean(), rel=0.05)


@pytest.mark.parametrize("turned_deg", [0, 30, -45])
def test_between_two_boards_that_are_hinged_no_light_of_a_narrow_lamp_comes_through(turned_deg):
    """A lamp that is not evenly bright is drawn ray by ray; half of a ray's patch is behind the one, half behind the
    other."""
    lamp = Source("grid", "flash", rectangle([0, 0, 0], AHEAD, 0.9, 1.2), 1e4, beam(40.0))
    boards = [Blocker(face) for face in hinged(turned_deg, width=1.0, height=4.0)]
    points = np.array([[x, 2.4, z] for x in (-0.1, 0.0, 0.05, 0.1, 0.2) for z in (0.0, 0.3)])
    normals = np.broadcast_to(-AHEAD, points.shape)
    assert visible_share(lamp, points, normals, boards) == pytest.approx(0.0, abs=1e-3)
    alone = [visible_share(lamp, points, normals, [board]) for board in boards]
    assert np.min(alone) > 0.1


@pytest.mark.parametrize(
    ("second", "passes"),
    [
        pytest.param((0.5, 1.2), 0.5, id="behind the first"),
        pytest.param((-0.5, 1.2), 0.0, id="where the first ends"),
        pytest.param((-0.525, 1.0), 0.25, id="a quarter of the patch off it"),
    ],
)
@pytest.mark.parametrize("let_through", [0.0, 0.4])
def test_of_two_that_hide_parts_of_a_patch_it_counts_which(second, passes, let_through):
    # A patch of 0.2 m, 2 m from the end; in the plane of the first flag, halfway, it is 0.1 m.
    starts, ends, sizes_m = np.array([[0.0, 0, 0]]), np.array([[0.0, 2.0, 0]]), np.array([0.2])
    middle_x, y = second
    flags = [
        Blocker(rectangle([0.5, 1.0, 0], AHEAD, 1.0, 2.0)),
        Blocker(rectangle([middle_x, y, 0], AHEAD, 1.0, 2.0), let_through),
    ]
    passed = passing(starts, ends, flags, sizes_m)
    assert passed is not None
    assert passed[0, 0] == pytest.approx(passes + let_through * (0.5 - passes))


def test_many_patches_at_edges_taken_in_portions_are_the_same(monkeypatch):
    boards = [Blocker(face) for face in hinged(20, width=0.1, height=0.2)]
    chance = np.random.default_rng(3)
    starts, ends = chance.uniform(-0.2, 0.2, (40, 3)), chance.uniform([-0.2, 2, -0.2], [0.2, 3, 0.2], (20, 3))
    at_once = passing(starts, ends, boards, np.full(40, 0.3))
    monkeypatch.setattr(obstruction, "_PAIRS_AT_ONCE", 200)
    portions = passing(starts, ends, boards, np.full(40, 0.3))
    assert at_once is not None
    assert portions is not None
    np.testing.assert_array_equal(portions, at_once)


@pytest.mark.parametrize("way", [[0, 0, 1.0], [0, 1.0, 0], [1.0, 0, 0], [0.6, 0, 0.8], [0.6, 0.8, 0]])
@pytest.mark.parametrize(("gap_m", "passes"), [(0.0, 0.0), (0.05, 0.5), (0.1, 1.0)])
def test_a_patch_lies_across_the_way_whichever_way_it_runs(way, gap_m, passes):
    # Two flags halfway, where the patch of 0.2 m is 0.1 m wide, with a gap between them.
    along, start = unit(way), np.array([0.7, -1.1, 0.4])
    right, _ = level_axes(along)
    middles = [start + along + side * (2.0 + gap_m / 2) * right for side in (1, -1)]
    flags = [Blocker(rectangle(middle, along, 4.0, 4.0)) for middle in middles]
    passed = passing(start[None], (start + 2.0 * along)[None], flags, np.array([0.2]))
    assert passed is not None
    assert passed[0, 0] == pytest.approx(passes, abs=1e-9)


def test_what_a_patch_lies_on_does_not_hide_it_where_others_do():
    """Two flags hide a quarter each of a patch on a slanted board, and the board hides another patch."""
    board = Blocker(rectangle([0, 0, 0], unit([0, 1, 1]), 2.0, 2.0))
    sides = [Blocker(rectangle([side * 1.025, 1.0, 0], AHEAD, 2.0, 2.0)) for side in (1, -1)]
    starts, ends = np.array([[0.0, 0, 0], [0.0, -0.5, -0.5]]), np.array([[0.0, 2.0, 0]])
    passed = passing(starts, ends, [board, *sides], np.array([0.2, 0.01]))
    assert passed is not None
    assert passed[0].tolist() == pytest.approx([0.5, 0.0])
