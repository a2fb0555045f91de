"""How much of a receiver's world do convex outlines cover together, one before the other?

Seen from a point, a convex outline is a cone: it lies on the inner side of the planes through the point and each of its
edges. What several of them have in common is bounded by those parts of each one's edges that lie inside all the others
and above the receiver's horizon, and Lambert's integral (`recipes.light.boundary`) is a sum over these parts in any
order:

    F = 1 / 2 pi · ( sum over the parts of angle · n·m + the angle along the horizon )

with m the inward unit normal of the plane through the edge. What the horizon cuts off leaves the boundary open: each
part ends where another one starts, but for the two ends on the horizon, so those are what is left of the sum of all.

Everything is in columns of one receiver each, as in `recipes.light.boundary`.

Source: J. H. Lambert, *Photometria* (1760); lines against convex things: M. Cyrus, J. Beck, *Computers & Graphics* 3
(1978), from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recipes.quantity import Array

__all__ = ["inside_all"]

_TOGETHER = 1e-12
"""Sine of the angle under which two edges are seen as one: they count once, for the outline that is named first."""


def inside_all(outlines: Sequence[Array], normals: Array) -> Array:
    """F of what convex outlines have in common, (n,).

    Each outline (3, corners, n) is given by the arms from the receivers to its corners, in either sense; corners may
    be repeated. ``normals`` (3, n) are unit vectors.
    """
    cones = [_cone(arms) for arms in outlines]
    total, left_open = np.zeros(normals.shape[1]), np.zeros(normals.shape)
    apart = np.zeros(normals.shape[1], dtype=np.bool_)
    for row, cone in enumerate(cones):
        heights = _depths(cone.corners, normals[:, None])
        others = []
        for column, other in enumerate(cones):
            if column == row:
                continue
            depths, slack = _depths(cone.corners, other.planes), _TOGETHER * other.sines
            # Two that touch along an edge from either side share its line, and no more.
            apart |= (depths.max(axis=0) < slack).any(axis=0)
            others.append(depths + (slack if row < column else -slack))
        start, end = _inside(np.concatenate([heights, *others], axis=1))
        total += cone.edges_between(start, end, normals)
        left_open += cone.ends(start, end)
    along_horizon = 2.0 * np.arcsin(np.minimum(np.sqrt(_dot(left_open, left_open)) / 2.0, 1.0))
    return np.where(apart, 0.0, np.maximum(total + along_horizon, 0.0) / (2.0 * np.pi))


@dataclass(frozen=True, eq=False)
class _Cone:
    """An outline as unit arms ``corners`` (3, k, n), and of each edge: the inward normal ``planes`` (3, k, n), as long
    as the sine of its angle; ``sines`` and ``cosines`` (k, n) of that; and 1 in ``sense`` (k, n) where the receiver has
    the inside on the left of it, -1 on the right."""

    corners: Array
    planes: Array
    sines: Array
    cosines: Array
    sense: Array

    def edges_between(self, start: Array, end: Array, normals: Array) -> Array:
        """The sum over the edges, each from one part of it to another (k, n): angle times ``n·m``, (n,)."""
        angle = np.arctan2(
            (end - start) * self.sines, 1.0 - (1.0 - self.cosines) * (start + end - 2.0 * start * end)
        )
        along = _dot(self.planes, normals[:, None]) / np.where(self.sines > 0, self.sines, 1.0)
        return np.asarray((angle * along).sum(axis=0))

    def ends(self, start: Array, end: Array) -> Array:
        """The unit arms to the ends of all edges less those to their starts, (3, n)."""
        return np.asarray(((self._arm(end) - self._arm(start)) * self.sense).sum(axis=1))

    def _arm(self, part: Array) -> Array:
        length = np.sqrt(1.0 - 2.0 * (1.0 - self.cosines) * part * (1.0 - part))
        return np.asarray((self.corners + part * (_next(self.corners) - self.corners)) / length)


def _cone(arms: Array) -> _Cone:
    corners = arms / np.sqrt(_dot(arms, arms))
    x, y, z = corners
    x1, y1, z1 = _next(corners)
    planes = np.stack([y * z1 - z * y1, z * x1 - x * z1, x * y1 - y * x1])
    sense = np.sign(_dot(planes, corners.sum(axis=1)))
    sines, cosines = np.sqrt(_dot(planes, planes)), x * x1 + y * y1 + z * z1
    return _Cone(corners, planes * sense, sines, cosines, sense)


def _inside(depths: Array) -> tuple[Array, Array]:
    """From which part of each edge to which other one all depths of its corners (corners, planes, n) are above nothing,
    (corners, n) each; both alike where they never are."""
    after = np.concatenate([depths[1:], depths[:1]])
    meets = depths / np.where(depths != after, depths - after, 1.0)
    outside, ends_outside = depths < 0, after < 0
    start = np.where(outside, np.where(ends_outside, 1.0, meets), 0.0).max(axis=1)
    end = np.where(ends_outside & ~outside, meets, 1.0).min(axis=1)
    return start, np.maximum(end, start)


def _depths(corners: Array, planes: Array) -> Array:
    """How far corners (3, k, n) lie inside planes (3, l, n), (k, l, n)."""
    return _dot(corners[:, :, None], planes[:, None])


def _dot(first: Array, second: Array) -> Array:
    """Scalar product over the first axis."""
    return np.asarray(first[0] * second[0] + first[1] * second[1] + first[2] * second[2])


def _next(corners: Array) -> NDArray[np.float64]:
    """What follows each of the corners (3, k, n), and after the last one the first."""
    return np.concatenate([corners[:, 1:], corners[:, :1]], axis=1)
