"""Which areas of a plan have light between two levels?

Inside a grid cell the values run straight over two triangles, so the areas are exact for that surface. The triangles
that a level crosses are cut, all at once. Neighbours find the very same points on the edge they share, so the pieces
join without gaps.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon

from recipes.light.outlines import clipped
from recipes.quantity import Array

__all__ = ["area_between"]

_AS_GOOD_AS_ON_IT = 1e-9


def area_between(x: Array, y: Array, values: Array, low: float, high: float) -> MultiPolygon:
    """The areas where ``values`` (ny, nx) at columns ``x`` and rows ``y`` lie from one level to another.

    A corner within a hair of a level is put on it: a sliver thinner than the digits of its corners has no outline, and
    nor has a band no wider than that hair.
    """
    if high - low < _AS_GOOD_AS_ON_IT:
        return MultiPolygon()
    for level in (low, high):
        values = np.where(np.abs(values - level) < _AS_GOOD_AS_ON_IT, level, values)
    corners = np.stack([values[:-1, :-1], values[:-1, 1:], values[1:, 1:], values[1:, :-1]])
    least, most = corners.min(axis=0), corners.max(axis=0)
    whole = (least >= low) & (most <= high)
    crossed = ~whole & (most >= low) & (least <= high)
    row, column = np.nonzero(whole)
    cells = shapely.box(x[column], y[row], x[column + 1], y[row + 1])
    cut = _cut(_triangles(x, y, values, crossed), low, high)
    # Neighbours share their edges from end to end, and so need no general union, which takes ten times as long.
    joined = shapely.coverage_union_all(np.concatenate([cells, cut]))
    return MultiPolygon(list(shapely.get_parts(joined)))


def _triangles(x: Array, y: Array, values: Array, cells: NDArray[np.bool_]) -> Array:
    """Two a cell, (t, 3, 3): x, y and value of each corner."""
    row, column = np.nonzero(cells)
    rows = row[:, None] + np.array([0, 0, 1, 1])
    columns = column[:, None] + np.array([0, 1, 1, 0])
    square = np.stack([x[columns], y[rows], values[rows, columns]], axis=-1)
    return np.concatenate([square[:, [0, 1, 2]], square[:, [0, 2, 3]]])


def _cut(triangles: Array, low: float, high: float) -> NDArray[np.object_]:
    """The part of each triangle between the levels, where any is left, as polygons."""
    corners, count = triangles, np.full(len(triangles), 3)
    for level, sign in ((low, 1.0), (high, -1.0)):
        if np.isfinite(level):
            corners, count = clipped(corners, count, sign * (corners[..., 2] - level))
    left = np.flatnonzero(count)
    corners, count = corners[left], count[left]
    there = np.arange(corners.shape[1]) < count[:, None]
    rings = shapely.linearrings(corners[there][:, :2], indices=np.repeat(np.arange(len(count)), count))
    pieces = np.asarray(shapely.polygons(rings), dtype=np.object_)
    # A triangle that only touches a level leaves a ring without area.
    return np.asarray(pieces[shapely.area(pieces) > 0], dtype=np.object_)
