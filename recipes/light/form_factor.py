"""How much of what it could see does a point see filled by a glowing face?

The configuration factor F, 0 to 1, of a face that spreads evenly (Lambert): a receiver at ``p`` that looks along
``n`` gets ``E = pi L F = M F`` from a face of luminance L or exitance M. Near faces are areas: the inverse-square
law is only the far limit, and over-reads by 1 stop at half a diameter.

Lambert's boundary integral, clipped to the receiver's horizon:

    F = 1 / 2 pi · | n · closed integral of (r x dr) / r² |

Along a straight edge the integral is the angle between its ends, turned about their common normal; along an arc of a
circle it has a closed form too, so neither needs sampling. Behind the face, or behind the receiver, F is 0. A receiver
in the face's own plane gets nothing beside the face; on it, it has the face for half of its world: ``(1 - n·m) / 2``.

Source: J. H. Lambert, *Photometria* (1760); J. R. Howell, *A Catalog of Radiation Configuration Factors*.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from recipes.light.geometry import Disc, Face, Polygon, dot
from recipes.quantity import Array, N, above_zero, at_least_zero, plain

__all__ = [
    "disc_off_axis",
    "disc_on_axis",
    "form_factor",
    "form_factors",
    "rectangle_by_corner",
    "rectangle_on_axis",
    "small_face_error",
]

_IN_PLANE = 1e-12
_MOST_AT_ONCE = 32_768


def form_factor(face: Face, points_m: ArrayLike, normals: ArrayLike) -> Array:
    """The configuration factor of a face for receivers at points (..., 3) that look along unit normals (..., 3).

    Shapes broadcast; returns (...). Receivers behind the face get 0.
    """
    points, directions = np.broadcast_arrays(
        np.asarray(points_m, dtype=np.float64), np.asarray(normals, dtype=np.float64)
    )
    shape = points.shape[:-1]
    points, directions = points.reshape(-1, 3), directions.reshape(-1, 3)
    found = np.zeros(len(points))
    for start in range(0, len(points), _MOST_AT_ONCE):
        part = slice(start, start + _MOST_AT_ONCE)
        found[part] = _many(face, points[part], directions[part])
    return found.reshape(shape)


def form_factors(rectangles: Sequence[Polygon], points: Array, normals: Array) -> Array:
    """The configuration factors (f, r) of many rectangles for receivers (r, 3) that look along unit normals (r, 3).

    The same as `form_factor` for each, and quick when faces are many and receivers few. A receiver in the plane of a
    face gets nothing from it, on the face or beside it.
    """
    if len(rectangles) * len(points) > _MOST_AT_ONCE:
        return np.stack([form_factor(face, points, normals) for face in rectangles])
    corners = np.stack([face.corners for face in rectangles], axis=1)
    arms = np.moveaxis(corners[:, :, None, :] - points, -1, 1).reshape(4, 3, -1)
    factor = _convex(list(arms), np.tile(normals, (len(rectangles), 1)).T).reshape(len(rectangles), -1)
    before = np.stack([face.height_over(points) > _IN_PLANE * face.across_m for face in rectangles])
    return np.where(before, np.clip(factor, 0.0, 1.0), 0.0)


def _many(face: Face, points: Array, normals: Array) -> Array:
    height = face.height_over(points)
    in_plane = np.abs(height) <= _IN_PLANE * face.across_m
    before = (height > 0) & ~in_plane
    found = np.zeros(len(points))
    every = bool(before.all())
    seen_points = points if every else points[before]
    seen_normals = normals if every else normals[before]
    if len(seen_points):
        if isinstance(face, Disc):
            factor = _disc(face, seen_points, seen_normals)
        else:
            assert isinstance(face, Polygon)
            factor = _polygon(face, seen_points, seen_normals)
        found[before] = np.clip(factor, 0.0, 1.0)
    if np.any(in_plane):
        touching = in_plane & face.contains(points)
        found[touching] = np.maximum(1.0 - normals[touching] @ face.normal, 0.0) / 2.0
    return found


def _polygon(face: Polygon, points: Array, normals: Array) -> Array:
    if face.is_convex:
        return _convex(_arms(face.corners, points), normals.T)
    total = np.zeros(len(points))
    first = face.corners[0]
    for second, third in zip(face.corners[1:-1], face.corners[2:], strict=True):
        sign = np.sign(np.cross(second - first, third - first) @ face.normal)
        if sign != 0:
            total += sign * np.abs(_convex(_arms(np.array([first, second, third]), points), normals.T))
    return np.abs(total)


def _arms(corners: Array, points: Array) -> list[Array]:
    """From each receiver to each corner, (3, n) a corner. One row a coordinate: numpy is quick then."""
    return [corner[:, None] - points.T for corner in corners]


def _convex(arms: Sequence[Array], across: Array) -> Array:
    """Lambert's sum over the edges above the horizon, closed along it. ``across`` are the normals (3, n)."""
    heights = [_dot3(arm, across) for arm in arms]
    total = np.zeros(across.shape[1])
    leaves = np.zeros(across.shape)
    enters = np.zeros(across.shape)
    level = np.min(heights, axis=0)
    all_above = bool(np.all(level >= 0))
    for i in range(len(arms)):
        start, end = arms[i - 1], arms[i]
        if not all_above:
            start_up, end_up = heights[i - 1] >= 0, heights[i] >= 0
            crosses = start_up != end_up
            if np.any(crosses):
                rise = np.where(crosses, heights[i - 1] - heights[i], 1.0)
                meets = start + (heights[i - 1] / rise) * (end - start)
                goes_down, comes_up = crosses & start_up, crosses & end_up
                leaves = np.where(goes_down, meets, leaves)
                enters = np.where(comes_up, meets, enters)
                start = np.where(comes_up, meets, start)
                end = np.where(goes_down, meets, end)
            total += np.where(start_up | end_up, _edge(start, end, across), 0.0)
        else:
            total += _edge(start, end, across)
    if not all_above:
        total += _edge(leaves, enters, across)
    return np.asarray(np.abs(total) / (2.0 * np.pi))


def _edge(start: Array, end: Array, normals: Array) -> Array:
    """Angle between two arms (3, n), times the part of their common normal along ``normals``; 0 if they are in line."""
    x = start[1] * end[2] - start[2] * end[1]
    y = start[2] * end[0] - start[0] * end[2]
    z = start[0] * end[1] - start[1] * end[0]
    sine = np.sqrt(x * x + y * y + z * z)
    turn = np.arctan2(sine, _dot3(start, end))
    along = x * normals[0] + y * normals[1] + z * normals[2]
    return np.asarray(turn * along / np.where(sine > 0, sine, 1.0))


def _dot3(first: Array, second: Array) -> Array:
    return np.asarray(first[0] * second[0] + first[1] * second[1] + first[2] * second[2])


def _disc(face: Disc, points: Array, normals: Array) -> Array:
    """The rim in angles from the side towards the receiver, where ``r² = A + D cos`` and the integral is closed."""
    radius = face.radius_m
    to_centre = face.centre - points
    level = to_centre - dot(to_centre, face.normal)[:, None] * face.normal
    offset = np.sqrt(dot(level, level))
    # Below this the square of the offset is no longer a normal float, and its direction means nothing.
    aside = offset > 1e-150
    towards = np.where(aside[:, None], -level / np.where(aside, offset, 1.0)[:, None], face.axes[0])
    sideways = np.cross(face.normal, towards)

    height = dot(normals, to_centre)
    along, across = dot(normals, towards), dot(normals, sideways)
    slope = radius * np.hypot(along, across)
    # Half of the arc that is above the horizon, and the angle of its highest point.
    half = np.arccos(np.clip(-height / np.where(slope > 1e-300, slope, 1.0), -1.0, 1.0))
    half = np.where(height >= slope, np.pi, np.where(height <= -slope, 0.0, half))
    top = np.arctan2(across, along)

    square = dot(to_centre, to_centre) + radius**2
    swing = -2.0 * radius * offset
    once, cosine, sine = _arc_integrals(square, swing, top - half, top + half)
    total = (
        radius**2 * (normals @ face.normal) * once
        + radius * dot(normals, np.cross(to_centre, sideways)) * cosine
        - radius * dot(normals, np.cross(to_centre, towards)) * sine
    )
    clipped = (half < np.pi) & (half > 0)
    if np.any(clipped):
        ends = [
            (to_centre + radius * (np.cos(angle)[:, None] * towards + np.sin(angle)[:, None] * sideways))[
                clipped
            ].T
            for angle in (top + half, top - half)
        ]
        total[clipped] += _edge(ends[0], ends[1], normals[clipped].T)
    return np.asarray(np.abs(total) / (2.0 * np.pi))


def _arc_integrals(square: Array, swing: Array, start: Array, end: Array) -> tuple[Array, Array, Array]:
    """Integrals of 1, cos and sin over ``square + swing cos`` from one angle to another."""
    ratio = swing / square
    root = np.sqrt(np.maximum((square - swing) * (square + swing), 0.0))
    root = np.where(root > 0, root, 1e-300)
    once = _arc_once(square, swing, root, end) - _arc_once(square, swing, root, start)
    lever = np.abs(ratio) > 1e-4
    safe = np.where(lever, swing, 1.0)
    cosine = np.where(
        lever,
        ((end - start) - square * once) / safe,
        _cosine_series(ratio, end, square) - _cosine_series(ratio, start, square),
    )
    sine = np.where(
        lever,
        -np.log((square + swing * np.cos(end)) / (square + swing * np.cos(start))) / safe,
        _sine_series(ratio, end, square) - _sine_series(ratio, start, square),
    )
    return once, cosine, sine


def _arc_once(square: Array, swing: Array, root: Array, angle: Array) -> Array:
    turns = np.floor((angle + np.pi) / (2.0 * np.pi))
    rest = angle - turns * 2.0 * np.pi
    inner = np.arctan2((square - swing) * np.sin(rest / 2.0), root * np.cos(rest / 2.0))
    return np.asarray(2.0 / root * (inner + turns * np.pi))


def _cosine_series(ratio: Array, angle: Array, square: Array) -> Array:
    """cos / (1 + q cos) = cos - q cos² + q² cos³, integrated, for q below 1e-4."""
    s, c = np.sin(angle), np.cos(angle)
    return np.asarray((s - ratio * (angle / 2.0 + s * c / 2.0) + ratio**2 * (s - s**3 / 3.0)) / square)


def _sine_series(ratio: Array, angle: Array, square: Array) -> Array:
    c = np.cos(angle)
    return np.asarray((-c + ratio * c**2 / 2.0 - ratio**2 * c**3 / 3.0) / square)


def disc_on_axis(radius_m: N, distance_m: N) -> N:
    """A disc seen from its axis by a receiver parallel to it: ``R² / (R² + h²)``."""
    radius = above_zero("radius_m", radius_m)
    return plain(radius**2 / (radius**2 + at_least_zero("distance_m", distance_m) ** 2))


def disc_off_axis(radius_m: N, distance_m: N, offset_m: N) -> N:
    """A disc seen from beside its axis by a receiver parallel to it (Howell, element to parallel disc).

    With ``H = h/a``, ``r = R/a``, ``Z = 1 + H² + r²``: ``F = (1 - (1 + H² - r²) / sqrt(Z² - 4 r²)) / 2``, here
    multiplied through by a² so that it holds on the axis too.
    """
    radius = above_zero("radius_m", radius_m)
    square = above_zero("distance_m", distance_m) ** 2 + at_least_zero("offset_m", offset_m) ** 2
    offset = np.asarray(offset_m, dtype=np.float64)
    under = np.sqrt((square + radius**2) ** 2 - 4.0 * radius**2 * offset**2)
    return plain((1.0 - (square - radius**2) / under) / 2.0)


def rectangle_by_corner(width_m: N, height_m: N, distance_m: N) -> N:
    """A rectangle seen from before one of its corners by a receiver parallel to it (Howell).

    With ``X = a/c``, ``Y = b/c``, ``P = sqrt(1 + X²)``, ``Q = sqrt(1 + Y²)``:
    ``F = (X/P · atan(Y/P) + Y/Q · atan(X/Q)) / 2 pi``.
    """
    distance = above_zero("distance_m", distance_m)
    x, y = above_zero("width_m", width_m) / distance, above_zero("height_m", height_m) / distance
    p, q = np.sqrt(1.0 + x**2), np.sqrt(1.0 + y**2)
    return plain((x / p * np.arctan(y / p) + y / q * np.arctan(x / q)) / (2.0 * np.pi))


def rectangle_on_axis(width_m: N, height_m: N, distance_m: N) -> N:
    """A rectangle seen from its axis by a receiver parallel to it: four quarters, each seen from its corner."""
    half_width = plain(above_zero("width_m", width_m) / 2.0)
    half_height = plain(above_zero("height_m", height_m) / 2.0)
    return plain(4.0 * np.asarray(rectangle_by_corner(half_width, half_height, distance_m)))


def small_face_error(face: Face, distance_m: float) -> float:
    """What the inverse-square law over-reads on the axis of a face, in stops.

    For a disc ``log2(1 + (R/d)²)``; at five times the largest dimension (a rectangle's diagonal) it is below 1 %.
    """
    distance = float(above_zero("distance_m", distance_m))
    exact = form_factor(face, face.centre + distance * face.normal, -face.normal)
    return float(np.log2(face.area_m2 / (np.pi * distance**2) / exact))
