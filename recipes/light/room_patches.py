"""How do the patches of a room see each other, and the boards in it, past what stands between them?

The sides of a room are cut into patches (`recipes.light.box_factors`); what stands in the room hides some of them from
each other, and its own sides are patches too. A board's factors to the room's patches are the mean over a few points of
it; those back follow by reciprocity, ``A_i F_ij = A_j F_ji``.

Source: R. Siegel, J. R. Howell, *Thermal Radiation Heat Transfer* (reciprocity); slopes that keep the mean of a cell,
B. van Leer, *Journal of Computational Physics* 23 (1977), from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from recipes.light.bounce import Surface
from recipes.light.box_factors import PATCHES_A_SIDE, SIDES, box_factors, places_of_patches
from recipes.light.form_factor import polygon_factors
from recipes.light.geometry import Face
from recipes.light.obstruction import Blocker, passing
from recipes.light.quadrature import Rows, even_nodes
from recipes.quantity import Array

__all__ = ["RoomPatches"]

_ON_THE_WALL_M = 1e-9
_POINTS_A_SIDE = 4
_ALONG = np.array([[axis for axis in range(3) if axis != normal] for normal, _ in SIDES])
"""The two axes of the box that each side runs along."""


@dataclass(frozen=True, eq=False)
class RoomPatches:
    """The patches of a box from ``low`` (3,) to ``high`` (3,), in the order of `SIDES`, past blockers."""

    low: Array
    high: Array
    blockers: tuple[Blocker, ...] = field(default=())

    @cached_property
    def corners(self) -> Array:
        """The corners (patches, 4, 3), in order round each patch."""
        step = (self.high - self.low) / PATCHES_A_SIDE
        corners = np.repeat((self.low + places_of_patches() * step)[:, None, :], 4, axis=1)
        for side, (normal, end) in enumerate(SIDES):
            own = corners[side * PATCHES_A_SIDE**2 : (side + 1) * PATCHES_A_SIDE**2]
            first, second = (axis for axis in range(3) if axis != normal)
            own[:, 1:3, first] += step[first]
            own[:, 2:, second] += step[second]
            if end:
                own[:, :, normal] = self.high[normal]
        return corners

    @cached_property
    def areas_m2(self) -> Array:
        """Area of each patch in m², (patches,)."""
        sides = self.corners[:, [1, 3]] - self.corners[:, :1]
        return np.asarray(np.prod(np.sqrt((sides**2).sum(axis=2)), axis=1))

    @cached_property
    def factors(self) -> Array:
        """From patch to patch, (from, to)."""
        size = self.high - self.low
        found = box_factors((float(size[0]), float(size[1]), float(size[2])))
        if not self.blockers:
            return found
        seen = self._passing(self.corners.mean(axis=1))
        return found * (seen + seen.T) / 2.0

    def seen_from(self, points: Array, normals: Array) -> Array:
        """The factors (patches, r) for receivers at points (r, 3) that look along unit normals (r, 3). One on a side of
        the room sees nothing of that side."""
        ends = np.repeat([end for _, end in SIDES], PATCHES_A_SIDE**2)
        axes = np.repeat([axis for axis, _ in SIDES], PATCHES_A_SIDE**2)
        before = np.where(
            ends[:, None] == 0, points.T[axes] - self.low[axes, None], self.high[axes, None] - points.T[axes]
        )
        factors = polygon_factors(self.corners, before > _ON_THE_WALL_M, points, normals)
        return factors * self._passing(points) if self.blockers else factors

    def seen_from_sides(self, faces: Sequence[Face]) -> Array:
        """The mean factors (faces, patches) over the fronts of faces in the room."""
        nodes = [even_nodes(face, _POINTS_A_SIDE) for face in faces]
        counts = [len(one.points) for one in nodes]
        points = np.concatenate([one.points for one in nodes])
        factors = self.seen_from(points, np.repeat([face.normal for face in faces], counts, axis=0))
        shares = np.concatenate([one.areas_m2 / one.areas_m2.sum() for one in nodes])
        return np.asarray(np.add.reduceat(factors * shares, np.cumsum([0, *counts[:-1]]), axis=1).T)

    def shares_of(self, points: Array, areas_m2: Array, sides: Rows) -> Array:
        """What part of each patch's mean points (n, 3) of the room's sides (n,) stand for, (n, patches)."""
        patch, _ = self._holding(points, sides)
        shares = np.zeros((len(patch), len(self.areas_m2)))
        shares[np.arange(len(patch)), patch] = areas_m2
        return np.asarray(shares / shares.sum(axis=0))

    def carried_to(self, points: Array, sides: Rows, means: Array) -> Array:
        """What patches have on average, (k, patches), at points (n, 3) of the room's sides (n,), (k, n).

        Over a patch it rises and falls evenly, as steeply as its neighbours on that side say, and less where it would
        go below nothing; that leaves the mean as it is.
        """
        grid = means.reshape(-1, len(SIDES), PATCHES_A_SIDE, PATCHES_A_SIDE)
        rises = np.stack([np.gradient(grid, axis=axis) for axis in (2, 3)]).reshape(2, *means.shape)
        lowest = np.abs(rises).sum(axis=0) / 2.0
        rises *= np.minimum(means / np.where(lowest > 0, lowest, 1.0), 1.0)
        patch, off = self._holding(points, sides)
        return np.asarray(means[:, patch] + rises[0][:, patch] * off[0] + rises[1][:, patch] * off[1])

    def with_sides(self, sides: Sequence[Surface]) -> Array:
        """Factors (from, to) of the patches and then of sides that stand in the room, which do not see each other."""
        arriving = self.seen_from_sides([side.taking for side in sides])
        leaving = self.seen_from_sides([side.face for side in sides]) if _any_through(sides) else arriving
        areas = np.array([side.face.area_m2 for side in sides])
        to_sides = (leaving * areas[:, None] / self.areas_m2).T
        return np.block([[self.factors, to_sides], [arriving, np.zeros((len(sides), len(sides)))]])

    def _holding(self, points: Array, sides: Rows) -> tuple[Rows, Array]:
        """The patches (n,) that hold points (n, 3) of the room's sides (n,), and how far (2, n) along the side each
        point lies off the middle of its patch, in sides of the patch."""
        places = (points - self.low) / (self.high - self.low) * PATCHES_A_SIDE
        along = np.take_along_axis(places, _ALONG[sides], axis=1).T
        first, second = cells = np.clip(np.floor(along), 0, PATCHES_A_SIDE - 1).astype(np.int64)
        return (sides * PATCHES_A_SIDE + first) * PATCHES_A_SIDE + second, along - cells - 0.5

    def _passing(self, points: Array) -> Array:
        """What part of each patch's light gets to each point, by the middles of its quarters, (patches, r)."""
        middle = self.corners.mean(axis=1, keepdims=True)
        quarters = ((self.corners + middle) / 2.0).reshape(-1, 3)
        passed = passing(quarters, points, self.blockers, np.repeat(np.sqrt(self.areas_m2) / 2.0, 4))
        if passed is None:
            return np.ones((len(self.corners), len(points)))
        return np.asarray(passed.reshape(len(points), -1, 4).mean(axis=2).T)


def _any_through(sides: Sequence[Surface]) -> bool:
    return any(side.through for side in sides)
