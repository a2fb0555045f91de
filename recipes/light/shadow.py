"""How much of each lamp's light gets past flags and boards to each point?

Seen from a point, a lamp's outline is cast onto the plane of what stands in the way. Outside the blocker's own outline
all of the light passes, inside it only what the blocker lets through. Where the two overlap in part, in half-shadow,
what they have in common hides its own configuration factor of the lamp's; that is exact for an even face. Of things
that hide parts of one lamp,

    share = 1 - sum of (1 - t) h + sum over pairs of (1 - t1) (1 - t2) h12 - sum over threes ...

with h the part that each hides, h12 what both do, t what they let through. Of a lamp that a blocker cuts through, only
what lies behind the blocker can be hidden. A disc in the way is a polygon of its area. Rays
(`recipes.light.obstruction`) are drawn only for lamps that are not evenly bright, and past inward corners.

Source: Lambert's boundary integral (`recipes.light.overlap`); inclusion and exclusion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from recipes.light.boundary import inside_polygon
from recipes.light.geometry import Disc, Face, Polygon
from recipes.light.lamps import Lamps, outline_of
from recipes.light.obstruction import Blocker, visible_share
from recipes.light.outlines import Counts, clipped
from recipes.light.overlap import inside_all
from recipes.quantity import Array

__all__ = ["visible_shares"]

Mask = NDArray[np.bool_]

_TOUCHING = 1e-7
_NOTHING = 1e-300


def visible_shares(
    lamps: Lamps, points: Array, normals: Array, blockers: Sequence[Blocker], lit: Mask
) -> Array:
    """The part of each lamp's direct light, 0 to 1, that reaches receivers (n, 3) past the blockers, (s, n).

    ``lit`` (s, n) says which lamps reach which receivers when nothing stands in the way; of the others nothing is
    known, and they are given 1.
    """
    shares = np.ones(lit.shape)
    by_rays = np.zeros(lit.shape, dtype=np.bool_)
    covers = [_cover(blocker.face, lamps.corners, points, lit) for blocker in blockers]
    for blocker, cover in zip(blockers, covers, strict=True):
        shares[cover.whole] *= blocker.transmittance
        by_rays |= cover.partly if _has_inward_corners(blocker.face) else cover.partly & ~lamps.even[:, None]
    lamp, receiver = np.nonzero(np.any([cover.partly for cover in covers], axis=0) & ~by_rays & (shares > 0))
    if len(lamp):
        partly = np.stack([cover.partly[lamp, receiver] for cover in covers])
        seen = _Seen(lamps.outlines[lamp], points[receiver], normals[receiver])
        taken = _taken(seen, blockers, partly, ()) / np.maximum(seen.factors, _NOTHING)
        shares[lamp, receiver] *= 1.0 - np.clip(taken, 0.0, 1.0)
    by_rays &= shares > 0
    for row in np.flatnonzero(by_rays.any(axis=1)):
        these = np.flatnonzero(by_rays[row])
        shares[row, these] = visible_share(lamps.sources[row], points[these], normals[these], blockers)
    return shares


def _taken(
    seen: _Seen, blockers: Sequence[Blocker], partly: NDArray[np.bool_], behind: tuple[Face, ...]
) -> Array:
    """What blockers take of the light that all of some faces hide, or of all light where there are no such faces, as
    configuration factors (m,); each blocker may hide it ``partly`` (blockers, m)."""
    taken = np.zeros(len(seen.points))
    for row, blocker in enumerate(blockers):
        these = np.flatnonzero(partly[row])
        if not len(these):
            continue
        some = seen if len(these) == len(taken) else seen.some(these)
        faces = (*behind, blocker.face)
        hidden = some.hidden_by(*faces)
        # What several hide between them, each but the last would take away once more.
        hidden -= _taken(some, blockers[:row], partly[:row, these] & (hidden > 0), faces)
        taken[these] += (1.0 - blocker.transmittance) * hidden
    return taken


def _has_inward_corners(face: Face) -> bool:
    return isinstance(face, Polygon) and not face.is_convex


@dataclass(frozen=True, eq=False)
class _Cover:
    """Where a face hides ``whole`` lamps from points and where it may hide them ``partly``, (s, n) each."""

    whole: Mask
    partly: Mask


def _cover(face: Face, corners: Array, points: Array, lit: Mask) -> _Cover:
    slack = _TOUCHING * face.across_m
    ends = face.height_over(points)
    starts = face.height_over(corners)
    whole, partly = (np.zeros(lit.shape, dtype=np.bool_) for _ in range(2))
    below, above = starts.min(axis=1) < -slack, starts.max(axis=1) > slack
    across = (above[:, None] & (ends < -slack)) | (below[:, None] & (ends > slack))
    lamp, receiver = np.nonzero(across & lit)
    if len(lamp):
        behind, _ = _beyond(face, corners[lamp], points[receiver])
        inside, apart = _against(face, _cast(face, behind, points[receiver]))
        inside &= ~(below & above)[lamp]
        whole[lamp, receiver] = inside
        partly[lamp, receiver] = ~inside & ~apart
    return _Cover(whole, partly)


def _beyond(face: Face, outlines: Array, points: Array) -> tuple[Array, Counts]:
    """What of outlines (m, k, 3) lies behind the plane of a face, seen from points (m, 3); how many corners (m,) each
    has, the last one repeated."""
    heights = -np.sign(face.height_over(points))[:, None] * face.height_over(outlines)
    count = np.full(len(outlines), outlines.shape[1])
    if (heights >= 0).all():
        return outlines, count
    parts, count = clipped(outlines, count, heights)
    return _filled(parts, count), count


def _cast(face: Face, outlines: Array, points: Array) -> Array:
    """Outlines (m, k, 3) as seen from points (m, 3), on the plane of a face between them."""
    ends, starts = face.height_over(points)[:, None], face.height_over(outlines)
    here = points[:, None, :]
    return np.asarray(here + (ends / (ends - starts))[..., None] * (outlines - here))


@dataclass(frozen=True, eq=False)
class _Seen:
    """Evenly bright outlines (m, k, 3) as receivers at points (m, 3) that look along ``normals`` (m, 3) see them."""

    outlines: Array
    points: Array
    normals: Array

    @cached_property
    def factors(self) -> Array:
        """The configuration factors, (m,)."""
        return inside_polygon(self._arms(self.outlines), self.normals.T)

    def some(self, rows: NDArray[np.int64]) -> _Seen:
        """Of some receivers only."""
        return _Seen(self.outlines[rows], self.points[rows], self.normals[rows])

    def hidden_by(self, *faces: Face) -> Array:
        """The configuration factors (m,) of what lies behind each of some convex polygons."""
        outlines, there = self.outlines, np.ones(len(self.points), dtype=np.bool_)
        for face in faces:
            outlines, count = _beyond(face, outlines, self.points)
            # Fewer than three corners hold nothing between them.
            there &= count >= 3
        covers = [self._arms(outline_of(face)[None]) for face in faces]
        return inside_all([self._arms(outlines), *covers], self.normals.T) * there

    def _arms(self, corners: Array) -> Array:
        return np.asarray((corners - self.points[:, None, :]).transpose(2, 1, 0))


def _filled(outlines: Array, count: Counts) -> Array:
    """Outlines (m, k, 3) with the last of their first ``count`` (m,) corners in place of all that follow."""
    kept = np.minimum(np.arange(outlines.shape[1]), (count - 1)[:, None])
    return np.asarray(outlines[np.arange(len(outlines))[:, None], kept])


def _against(face: Face, cast: Array) -> tuple[Mask, Mask]:
    """Which outlines (m, k, 3) in the face's plane lie wholly inside it, and which wholly beside it, (m,) each."""
    apart = np.zeros(len(cast), dtype=np.bool_)
    for side in face.axes:
        edge, spot = (face.corners_round() - face.centre) @ side, (cast - face.centre) @ side
        apart |= (spot.min(axis=1) > edge.max()) | (spot.max(axis=1) < edge.min())
    inside = np.zeros(len(cast), dtype=np.bool_)
    if isinstance(face, Disc) or (isinstance(face, Polygon) and face.is_convex):
        near = np.flatnonzero(~apart)
        inside[near] = face.contains(cast[near]).all(axis=1)
    return inside, apart
