"""What may be asked of a flat thing with a front, whatever its outline: a softbox, a board, a window, a wall?

The frame, points and directions are those of `recipes.light.vectors`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from recipes.light.vectors import cross, dot
from recipes.quantity import Array

__all__ = ["Face", "level_axes"]


class Face:
    """A flat thing with a front, the side its normal points to. Either a `Polygon` or a `Disc`."""

    centre: Array
    normal: Array
    area_m2: float
    across_m: float
    narrow_m: float
    axes: tuple[Array, Array]

    def contains(self, points: Array) -> NDArray[np.bool_]:
        """Whether points of the face's plane (..., 3) lie on the face."""
        raise NotImplementedError

    def along_axes(self, points: Array) -> Array:
        """Coordinates (2, n) of points (n, 3) along the face's axes from its centre."""
        return np.asarray(np.stack(self.axes) @ (points - self.centre).T)

    def inside_by_m(self, spots: Array) -> Array:
        """How far inside the edge points of the plane lie, in m (n,), negative beside the face; by their coordinates
        (2, n) along its axes."""
        raise NotImplementedError

    def nearest_to(self, points: Array) -> Array:
        """The point of the face (..., 3) nearest to each point; for a polygon with inward corners, of its hull."""
        raise NotImplementedError

    def corners_round(self) -> Array:
        """Corners (n, 3) that hold the whole face between them."""
        raise NotImplementedError

    def turned_over(self) -> Face:
        """The same face with its front on the other side."""
        raise NotImplementedError

    def height_over(self, points: Array) -> Array:
        """How far points (..., 3) lie before the face, in m; negative behind it."""
        return dot(points - self.centre, self.normal)


def level_axes(normal: Array) -> tuple[Array, Array]:
    """Right and up of a face, seen from its front: right is level, (right, up, normal) a right-handed frame."""
    x, y, _ = (float(part) for part in normal)
    level = math.hypot(x, y)
    right = np.array([1.0, 0.0, 0.0]) if level < 1e-9 else np.array([-y / level, x / level, 0.0])
    return right, cross(normal, right)
