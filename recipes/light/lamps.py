"""What light do all the lamps of a scene throw straight onto many points?

`recipes.light.source` answers for one lamp; here all of them meet all points in one go, with a row a lamp. Faces that
spread evenly go through one call of the closed form.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from recipes.light.form_factor import Faces
from recipes.light.geometry import Disc, Face, Polygon, dot
from recipes.light.quadrature import nearest_of_cells
from recipes.light.source import Source
from recipes.quantity import Array

__all__ = ["Lamps", "outline_of"]

_BEHIND = 1e-9
_CORNERS_OF_A_DISC = 16


class Lamps:
    """Sources as arrays, with a row (s) a source.

    ``centres`` and ``axes`` are (s, 3); ``corners`` (s, k, 3) hold each emitter between them, the last one repeated
    where an emitter has fewer; ``across_m`` (s,) is how large it is, 0 for a point. ``even`` (s,) marks the convex
    faces that spread evenly; their ``outlines`` (s, k, 3) are their corners, of a disc those of a polygon of its area.
    """

    def __init__(self, sources: Sequence[Source]) -> None:
        self.sources = tuple(sources)
        emitters = [source.emitter for source in self.sources]
        self.centres = np.array([source.centre for source in self.sources]).reshape(-1, 3)
        self.axes = np.array([source.axis for source in self.sources]).reshape(-1, 3)
        self.across_m = np.array([one.across_m if isinstance(one, Face) else 0.0 for one in emitters])
        self.corners = _padded(
            [one.corners_round() if isinstance(one, Face) else one.position_m[None, :] for one in emitters]
        )
        self.outlines = _padded(
            [outline_of(one) if isinstance(one, Face) else one.position_m[None, :] for one in emitters]
        )
        self.even = np.array([_is_even(source) for source in self.sources], dtype=np.bool_)
        self._half_sides = np.array([_half_sides(source) for source in self.sources]).reshape(-1, 2, 3)
        glowing = [
            (row, source.flux_lm, source.emitter)
            for row, source in enumerate(self.sources)
            if isinstance(source.emitter, Face) and source.shape.is_lambertian
        ]
        self._lambertian = [row for row, _, _ in glowing]
        self._others = [row for row in range(len(self.sources)) if row not in self._lambertian]
        self._faces = Faces([face for _, _, face in glowing])
        self._exitance = np.array([flux / face.area_m2 for _, flux, face in glowing])[:, None]
        shapes = [source.shape for source in self.sources]
        self._wide = np.array([shape.wide for shape in shapes], dtype=np.bool_)
        self._half_angle = np.radians([shape.half_angle_deg for shape in shapes])

    def light_at(self, points: Array, normals: Array) -> Array:
        """What receivers (n, 3) looking along unit normals (n, 3) get from each, (s, n): lx·s of flash, lux of ambient.

        Nothing stands in the way here; see `recipes.light.shadow`.
        """
        found = np.zeros((len(self.sources), len(points)))
        if self._lambertian:
            found[self._lambertian] = self._exitance * self._faces.factors(points, normals)
        for row in self._others:
            found[row] = self.sources[row].light_at(points, normals)
        return found

    def can_reach(self, faces: Sequence[Face]) -> NDArray[np.bool_]:
        """Whether any light of each source can fall on the front of each face, (s, f)."""
        found = np.zeros((len(self.sources), len(faces)), dtype=np.bool_)
        for column, face in enumerate(faces):
            slack = _BEHIND * face.across_m
            before = face.height_over(self.corners).max(axis=1) > slack
            ahead = (face.corners_round()[None, :, :] - self.centres[:, None, :]) @ self.axes[:, :, None]
            found[:, column] = before & (self._wide | (ahead.max(axis=(1, 2)) > slack))
        return found

    def over_m(self, faces: Sequence[Face]) -> Array:
        """How far the nearest corner of each source is from the plane of each face, (s, f)."""
        return np.array([np.abs(face.height_over(self.corners)).min(axis=1) for face in faces]).T

    def detail_m(self, points: Array, sizes: Array, over_m: Array) -> Array:
        """How large a cell of a lit surface may be at points (k, 3), so that each source is even enough over it, (s, k)
        in m; ``sizes`` (k,) is how large the cells are, ``over_m`` (s, k) how far the sources are from their planes.
        Cells that a source does not reach may be as large as they are."""
        from_middle = points[None, :, :] - self.centres[:, None, :]
        reach = from_middle
        for half in self._half_sides.transpose(1, 0, 2):
            square = np.maximum(dot(half, half), 1e-300)
            along = np.clip(dot(from_middle, half[:, None, :]) / square[:, None], -1.0, 1.0)
            reach = reach - along[:, :, None] * half[:, None, :]
        distance, far = _length(reach), np.maximum(_length(from_middle), 1e-9)
        size = self.across_m[:, None] / 2.0
        narrow = np.tan(np.minimum(self._half_angle, np.pi / 4.0))[:, None]
        needed = narrow * np.maximum(nearest_of_cells(distance, over_m, sizes), size * 0.3)
        ahead = dot(from_middle, self.axes[:, None, :])
        off_axis = np.arccos(np.clip(ahead / far, -1.0, 1.0))
        spans = np.arctan2(sizes / 2.0 + size, far) + 3.0 * self._half_angle[:, None]
        reached = self._wide[:, None] | ((ahead + sizes / 2.0 > 0) & (off_axis < spans))
        return np.where(reached, needed, np.inf)


def _is_even(source: Source) -> bool:
    emitter = source.emitter
    convex = isinstance(emitter, Disc) or (isinstance(emitter, Polygon) and emitter.is_convex)
    return convex and source.shape.is_lambertian


def outline_of(face: Face) -> Array:
    """The corners (k, 3) of a polygon; of a disc those of a polygon of its area."""
    if isinstance(face, Disc):
        angles = np.arange(_CORNERS_OF_A_DISC) * (2.0 * np.pi / _CORNERS_OF_A_DISC)
        radius = face.radius_m * np.sqrt(2.0 * np.pi / _CORNERS_OF_A_DISC / np.sin(angles[1]))
        along, up = face.axes
        rim = np.cos(angles)[:, None] * along + np.sin(angles)[:, None] * up
        return np.asarray(face.centre + radius * rim)
    return face.corners_round()


def _padded(outlines: Sequence[Array]) -> Array:
    """Outlines (k, 3) of different k as one array (s, most k, 3)."""
    most = max((len(outline) for outline in outlines), default=1)
    return np.array(
        [np.concatenate([outline, outline[-1:].repeat(most - len(outline), 0)]) for outline in outlines]
    ).reshape(-1, most, 3)


def _half_sides(source: Source) -> tuple[Array, Array]:
    """Half of the two sides (3,) of a rectangle round the emitter's middle that holds it; nothing for a point."""
    emitter = source.emitter
    if isinstance(emitter, Disc):
        along, up = emitter.axes
        return along * emitter.radius_m, up * emitter.radius_m
    if isinstance(emitter, Polygon):
        return emitter.half_extents
    return np.zeros(3), np.zeros(3)


def _length(vectors: Array) -> Array:
    return np.sqrt(dot(vectors, vectors))
