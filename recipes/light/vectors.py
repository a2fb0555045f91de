"""Where do things stand, and which way do they look?

The frame: origin on the floor at the mark, +y from the mark to the camera, z up, metres. A bearing is counted
clockwise from the mark-to-camera line seen from above, so +x is bearing 90 and
``(x, y) = distance · (sin b, cos b)``. A subject that faces the camera faces +y.

Points and directions are arrays whose last axis is (x, y, z).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from recipes.quantity import Array, Numbers, at_least_zero, finite

__all__ = ["TowardsNowhere", "cross", "direction", "dot", "facing", "position", "squares_between", "unit"]


class TowardsNowhere(ValueError):
    """A direction was asked for between two points that are one."""


def dot(first: Array, second: Array) -> Array:
    """Scalar product over the last axis. Coordinate by coordinate: five times as quick for thousands of vectors."""
    return np.asarray(
        first[..., 0] * second[..., 0] + first[..., 1] * second[..., 1] + first[..., 2] * second[..., 2]
    )


def cross(first: Array, second: Array) -> Array:
    """Vector product over the last axis; for a few vectors ten times as quick as numpy's own."""
    x0, y0, z0 = first[..., 0], first[..., 1], first[..., 2]
    x1, y1, z1 = second[..., 0], second[..., 1], second[..., 2]
    return _vector(y0 * z1 - z0 * y1, z0 * x1 - x0 * z1, x0 * y1 - y0 * x1)


def _vector(x: Numbers, y: Numbers, z: Numbers) -> Array:
    """Coordinates (...) that broadcast, as vectors (..., 3)."""
    found = np.empty((*np.broadcast(x, y, z).shape, 3))
    found[..., 0], found[..., 1], found[..., 2] = x, y, z
    return found


def squares_between(first: Array, second: Array) -> Array:
    """Squared distances (n, m) between points (n, 3) and points (m, 3), never quite 0; as a product of matrices."""
    middle = second.mean(axis=0)
    first, second = first - middle, second - middle
    square = dot(first, first)[:, None] + dot(second, second)[None, :] - 2.0 * first @ second.T
    return np.asarray(np.maximum(square, 1e-12, out=square))


def unit(vectors: ArrayLike) -> Array:
    """The vectors at length 1, (..., 3). Raises `TowardsNowhere` when one has no length."""
    given = finite("a direction", np.asarray(vectors, dtype=np.float64))
    length = np.sqrt(dot(given, given))
    if np.any(length == 0):
        raise TowardsNowhere(
            "a direction has no length: the two points are one; move one of them, or say which way it faces."
        )
    return np.asarray(given / length[..., None], dtype=np.float64)


def position(bearing_deg: Numbers, distance_m: Numbers, height_m: Numbers) -> Array:
    """A point (..., 3) from its bearing at the mark in degrees, level distance and height above the floor in m."""
    bearing = np.radians(finite("bearing_deg", bearing_deg))
    distance = at_least_zero("distance_m", distance_m)
    return _vector(distance * np.sin(bearing), distance * np.cos(bearing), finite("height_m", height_m))


def facing(bearing_deg: Numbers, up_deg: Numbers = 0.0) -> Array:
    """The unit vector (..., 3) of something that looks towards a bearing, and ``up_deg`` above the level."""
    bearing = np.radians(finite("bearing_deg", bearing_deg))
    up = np.radians(finite("up_deg", up_deg))
    level = np.cos(up)
    return _vector(level * np.sin(bearing), level * np.cos(bearing), np.sin(up))


def direction(start_m: ArrayLike, end_m: ArrayLike) -> Array:
    """The unit vector (..., 3) from one point to another. Raises `TowardsNowhere` when they are one."""
    return unit(np.asarray(end_m, dtype=np.float64) - np.asarray(start_m, dtype=np.float64))
