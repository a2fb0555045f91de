"""How much of what it could see does a point see filled by a glowing face?

The configuration factor F, 0 to 1, of a face that spreads evenly (Lambert): a receiver at ``p`` that looks along
``n`` gets ``E = pi L F = M F`` from a face of luminance L or exitance M. Near faces are areas: the inverse-square
law is only the far limit, and over-reads by 1 stop at half a diameter.

Lambert's boundary integral gives it without sampling (`recipes.light.boundary`). Behind the face, or behind the
receiver, F is 0. A receiver in the face's own plane gets nothing beside the face; on it, it has the face for half of
its world: ``(1 - n·m) / 2``.

Many faces meet many receivers in one go; that is where the time of a readiness goes.

Source: J. H. Lambert, *Photometria* (1760); J. R. Howell, *A Catalog of Radiation Configuration Factors*.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from recipes.light.boundary import inside_circle, inside_polygon
from recipes.light.geometry import Disc, Face, Polygon, dot
from recipes.quantity import Array, N, above_zero, at_least_zero, plain

__all__ = [
    "Faces",
    "disc_off_axis",
    "disc_on_axis",
    "form_factor",
    "form_factors",
    "polygon_factors",
    "rectangle_by_corner",
    "rectangle_on_axis",
    "small_face_error",
]

_IN_PLANE = 1e-12
_MOST_AT_ONCE = 1_500


def form_factor(face: Face, points_m: ArrayLike, normals: ArrayLike) -> Array:
    """The configuration factor of a face for receivers at points (..., 3) that look along unit normals (..., 3).

    Shapes broadcast; returns (...). Receivers behind the face get 0.
    """
    points, directions = np.broadcast_arrays(
        np.asarray(points_m, dtype=np.float64), np.asarray(normals, dtype=np.float64)
    )
    found = form_factors([face], points.reshape(-1, 3), directions.reshape(-1, 3))
    return found.reshape(points.shape[:-1])


def form_factors(faces: Sequence[Face], points: Array, normals: Array) -> Array:
    """The configuration factors (f, r) of many faces for receivers at points (r, 3) that look along unit normals
    (r, 3)."""
    return Faces(faces).factors(points, normals)


class Faces:
    """Faces as arrays with a row (f) each, to be asked in one go and again."""

    def __init__(self, faces: Sequence[Face]) -> None:
        self.faces = tuple(faces)
        self._fronts = np.array([face.normal for face in faces]).reshape(-1, 3)
        self._centres = np.array([face.centre for face in faces]).reshape(-1, 3)
        self._slack = _IN_PLANE * np.array([face.across_m for face in faces])[:, None]
        self._polygons = _Polygons(faces)
        self._discs = _Discs(faces)

    def heights(self, points: Array) -> Array:
        """How far points (r, 3) lie before each face, (f, r) in m; negative behind it."""
        return dot(points[None, :, :] - self._centres[:, None, :], self._fronts[:, None, :])

    def factors(self, points: Array, normals: Array) -> Array:
        """The configuration factors (f, r) for receivers at points (r, 3) that look along unit normals (r, 3)."""
        found = np.zeros((len(self.faces), len(points)))
        if not found.size:
            return found
        heights = self.heights(points)
        before = heights > self._slack
        for kind in (self._polygons, self._discs):
            if len(kind.rows):
                found[kind.rows] = kind.factors(before[kind.rows], points, normals)
        in_plane = np.abs(heights) <= self._slack
        for row in np.flatnonzero(in_plane.any(axis=1)).tolist():
            touching = in_plane[row] & self.faces[row].contains(points)
            found[row, touching] = np.maximum(1.0 - normals[touching] @ self._fronts[row], 0.0) / 2.0
        return found


class _Polygons:
    """The polygons among some faces. One with inward corners is a fan of triangles; those that run backwards count
    negative."""

    def __init__(self, faces: Sequence[Face]) -> None:
        own = [(row, face) for row, face in enumerate(faces) if isinstance(face, Polygon)]
        parts = [(place, *part) for place, (_, face) in enumerate(own) for part in _convex_parts(face)]
        most = max((len(corners) for _, corners, _ in parts), default=0)
        self.rows = [row for row, _ in own]
        self._of = np.array([place for place, _, _ in parts], dtype=np.int64)
        self._corners = np.array(
            [
                np.concatenate([corners, corners[-1:].repeat(most - len(corners), 0)])
                for _, corners, _ in parts
            ]
        )
        self._signs = np.array([sign for _, _, sign in parts])

    def factors(self, before: NDArray[np.bool_], points: Array, normals: Array) -> Array:
        factors = polygon_factors(self._corners, before[self._of], points, normals)
        if len(self._of) == len(self.rows):
            return factors
        firsts = np.searchsorted(self._of, np.arange(len(self.rows)))
        together = np.add.reduceat(factors * self._signs[:, None], firsts, axis=0)
        return np.clip(np.abs(together), 0.0, 1.0)


class _Discs:
    """The discs among some faces."""

    def __init__(self, faces: Sequence[Face]) -> None:
        own = [(row, face) for row, face in enumerate(faces) if isinstance(face, Disc)]
        self.rows = [row for row, _ in own]
        self._centres = np.array([face.centre for _, face in own])
        self._axes = np.array([face.normal for _, face in own])
        self._ways = np.array([face.axes[0] for _, face in own])
        self._radii = np.array([face.radius_m for _, face in own])

    def factors(self, before: NDArray[np.bool_], points: Array, normals: Array) -> Array:
        found = np.zeros(before.shape)
        face, receiver = np.nonzero(before)
        for start in range(0, len(face), _MOST_AT_ONCE):
            of, to = face[start : start + _MOST_AT_ONCE], receiver[start : start + _MOST_AT_ONCE]
            arms = self._centres[of] - points[to]
            factors = inside_circle(arms, self._axes[of], self._radii[of], self._ways[of], normals[to])
            found[of, to] = np.minimum(factors, 1.0)
        return found


def polygon_factors(corners: Array, before: NDArray[np.bool_], points: Array, normals: Array) -> Array:
    """The factors (f, r) of convex polygons with ``corners`` (f, k, 3), for receivers as in `form_factors`.

    ``before`` (f, r) says which receivers lie before which polygon; the others get 0. A polygon with fewer than k
    corners has its last one repeated.
    """
    found = np.zeros(before.shape)
    heights = corners.reshape(-1, 3) @ normals.T - dot(points, normals)
    above = heights.reshape(*corners.shape[:2], -1).max(axis=1) > 0
    face, receiver = np.nonzero(before & above)
    corner_rows, point_rows, normal_rows = corners.transpose(2, 1, 0), points.T, normals.T
    for start in range(0, len(face), _MOST_AT_ONCE):
        of, to = face[start : start + _MOST_AT_ONCE], receiver[start : start + _MOST_AT_ONCE]
        arms = corner_rows[:, :, of] - point_rows[:, None, to]
        found[of, to] = np.minimum(inside_polygon(arms, normal_rows[:, to]), 1.0)
    return found


def _convex_parts(face: Polygon) -> list[tuple[Array, float]]:
    """Corners (k, 3) and sign of each."""
    if face.is_convex:
        return [(face.corners, 1.0)]
    first = face.corners[0]
    found = []
    for second, third in zip(face.corners[1:-1], face.corners[2:], strict=True):
        sign = float(np.sign(np.cross(second - first, third - first) @ face.normal))
        if sign != 0:
            found.append((np.stack([first, second, third]), sign))
    return found


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

    For a disc ``log2(1 + (R/d)²)``; at five times the largest dimension (a rectangle's diagonal) it is 1 % at most.
    """
    distance = float(above_zero("distance_m", distance_m))
    exact = form_factor(face, face.centre + distance * face.normal, -face.normal)
    return float(np.log2(face.area_m2 / (np.pi * distance**2) / exact))
