"""Facts about what outlines cover together: it is what is left of one when the others have cut it."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.boundary import inside_polygon
from recipes.light.outlines import clipped
from recipes.light.overlap import inside_all

SQUARE = np.array([[1.0, 1, 2], [-1, 1, 2], [-1, -1, 2], [1, -1, 2]])
UP = np.array([[0.0], [0.0], [1.0]])


def arms(corners):
    """One outline (k, 3), as one receiver at the origin sees it."""
    return np.asarray(corners, dtype=float).T[:, :, None]


def factor(*outlines, normal=UP):
    return inside_all([arms(one) for one in outlines], normal)[0]


def alone(corners, normal=UP):
    return inside_polygon(arms(corners), normal)[0]


def test_one_outline_is_its_own_factor():
    assert factor(SQUARE) == pytest.approx(alone(SQUARE), rel=1e-12)


@pytest.mark.parametrize("normal", [[1.0, 0, 0], [0.6, 0, 0.8], [0.0, -0.96, -0.28], [-0.48, 0.6, 0.64]])
def test_what_the_horizon_cuts_off_does_not_count(normal):
    column = np.array(normal)[:, None]
    assert factor(SQUARE, normal=column) == pytest.approx(alone(SQUARE, column), rel=1e-9)


def test_below_the_horizon_there_is_nothing():
    assert factor(SQUARE, normal=-UP) == 0.0


def test_of_one_before_a_larger_one_all_counts():
    small = SQUARE * [0.5, 0.5, 1.0] / 2.0
    assert factor(SQUARE, small) == pytest.approx(alone(small), rel=1e-12)
    assert factor(small, SQUARE) == pytest.approx(alone(small), rel=1e-12)


def test_side_by_side_they_have_nothing_in_common():
    assert factor(SQUARE, SQUARE + np.array([2.5, 0, 0])) == 0.0


def test_in_which_sense_an_outline_runs_is_all_one():
    aside = SQUARE[::-1] + np.array([0.7, 0.4, -0.5])
    assert factor(SQUARE, aside) == pytest.approx(factor(SQUARE[::-1], aside[::-1]), rel=1e-12)


@pytest.mark.parametrize("nearer", [1.0, 0.5, 0.3])
def test_edges_that_run_together_count_once(nearer):
    # The same from the receiver, whole or the half of it, wherever it is.
    half = np.maximum(SQUARE, [0.0, -1, 0])
    assert factor(SQUARE, SQUARE * nearer) == pytest.approx(alone(SQUARE), rel=1e-9)
    assert factor(SQUARE, half * nearer) == pytest.approx(alone(half), rel=1e-9)
    assert factor(half * nearer, SQUARE, SQUARE) == pytest.approx(alone(half), rel=1e-9)


@pytest.mark.parametrize("deeper", [0.0, 0.8, -0.8])
def test_two_that_touch_along_an_edge_have_nothing_in_common(deeper):
    # Hinged about the middle line: nothing lies on both sides of it.
    left, right = np.minimum(SQUARE, [0.0, 9, 9]), np.maximum(SQUARE, [0.0, -9, -9])
    right += (right[:, :1] > 0) * [0.0, 0.0, deeper]
    for outlines in ((left, right), (right, left), (SQUARE * 2.0, left, right), (right, left, SQUARE / 2.0)):
        assert factor(*outlines) == 0.0


def test_a_corner_that_is_repeated_changes_nothing():
    more = np.concatenate([SQUARE, SQUARE[-1:], SQUARE[-1:]])
    aside = SQUARE + np.array([0.7, 0.4, -0.5])
    assert factor(more, aside) == pytest.approx(factor(SQUARE, aside), rel=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_it_is_what_is_left_when_one_is_clipped_by_the_planes_of_the_others(seed):
    chance = np.random.default_rng(seed)
    outlines = [SQUARE * chance.uniform(0.4, 1.2) + chance.uniform(-0.7, 0.7, 3) for _ in range(2 + seed % 2)]
    normal = chance.normal(size=(3, 1))
    normal /= np.linalg.norm(normal)
    left, count = outlines[0][None], np.array([4])
    for other in outlines[1:]:
        for plane in np.cross(other, np.roll(other, -1, axis=0)):
            left, count = clipped(left, count, left @ plane)
    kept = left[0, : count[0]]
    exact = alone(kept, normal) if count[0] >= 3 else 0.0
    assert factor(*outlines, normal=normal) == pytest.approx(exact, rel=1e-8, abs=1e-10)
