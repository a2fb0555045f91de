"""Facts about the areas between two levels, where levels meet the corners of the grid and where they hardly do."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from recipes.light.contours import area_between

STEPS = np.array([0.0, 1.0, 2.0, 3.0])
SLOPE = np.tile(STEPS, (3, 1))
"""Rises by 1 a metre to the right, over 3 m x 2 m."""


@pytest.mark.parametrize(
    ("low", "high", "metres"),
    [
        (1.0, 2.0, 1.0),
        (0.0, 3.0, 3.0),
        (-np.inf, 1.0, 1.0),
        (2.0, np.inf, 1.0),
        (0.0005, np.inf, 2.9995),
        (0.25, 2.9995, 2.7495),
        (3.0, np.inf, 0.0),
        (-np.inf, 0.0, 0.0),
        (1.0, 1.0, 0.0),
    ],
)
def test_on_a_slope_the_area_is_as_wide_as_the_levels_lie_apart(low, high, metres):
    area = area_between(STEPS, STEPS[:3], SLOPE, low, high)
    assert area.area == pytest.approx(2 * metres, abs=1e-9)
    assert all(isinstance(part, Polygon) and part.area > 0 for part in area.geoms)


def test_a_top_that_is_met_at_one_corner_of_the_grid_leaves_nothing():
    peak = np.zeros((3, 4))
    peak[1, 1] = 1.0
    assert area_between(STEPS, STEPS[:3], peak, 1.0, np.inf).is_empty


def test_a_ridge_at_the_level_itself_leaves_both_slopes_whole():
    """Whole numbers at every corner: levels touch triangles in points and along edges, and cut others."""
    heights = np.array([[0, 1, 0, 2], [1, -1, 1, 0], [0, 1, 2, -1]], dtype=float)
    below, between, above = (
        area_between(STEPS, STEPS[:3], heights, *levels) for levels in ((-9, 0), (0, 1), (1, 9))
    )
    assert below.area + between.area + above.area == pytest.approx(6.0, abs=1e-9)
    # A triangle with one corner at -1 and others at a and b has 1/2 · 1/(1+a) · 1/(1+b) below 0; eight have.
    assert below.area == pytest.approx(2 / 4 + 2 / 8 + 2 / 12 + 1 / 4 + 1 / 12, abs=1e-9)
    assert all(area.is_valid for area in (below, between, above))


def test_an_outline_lies_in_the_plan():
    area = area_between(STEPS, STEPS[:3], SLOPE, 0.5, 1.5)
    assert not area.has_z
    assert area.contains(Point(1.0, 1.0))
