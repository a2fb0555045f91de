"""How much of each lamp's light gets past flags and boards to each point?

Seen from a point, a lamp's outline is cast onto the plane of what stands in the way. Outside the blocker's own outline
all of the light passes, inside it only what the blocker lets through. Where the two overlap in part, in half-shadow,
what they have in common hides its own configuration factor of the lamp's; that is exact for an even face. Of two things
that hide parts of one lamp,

    share = 1 - (1 - t1) h1 - (1 - t2) h2 + (1 - t1) (1 - t2) h12

with h the part that each hides, h12 what both do, t what they let through. Rays (`recipes.light.obstruction`) are drawn
only where three hide parts of one lamp, or one cuts through it, and for lamps that are not evenly bright.

Source: Lambert's boundary integral of the clipped outline; inclusion and exclusion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from recipes.light.boundary import inside_polygon
from recipes.light.geometry import Disc, Face, Polygon, cross
from recipes.light.lamps import Lamps
from recipes.light.obstruction import Blocker, visible_share
from recipes.light.outlines import Counts, clipped
from recipes.quantity import Array

__all__ = ["visible_shares"]

Mask = NDArray[np.bool_]

_TOUCHING = 1e-7


def visible_shares(
    lamps: Lamps, points: Array, normals: Array, blockers: Sequence[Blocker], lit: Mask
) -> Array:
    """The part of each lamp's direct light, 0 to 1, that reaches receivers (n, 3) past the blockers, (s, n).

    ``lit`` (s, n) says which lamps reach which receivers when nothing stands in the way; of the others nothing is
    known, and they are given 1.
    """
    shares = np.ones(lit.shape)
    gone = np.zeros(lit.shape)
    halves = np.zeros(lit.shape, dtype=np.int64)
    by_rays = np.zeros(lit.shape, dtype=np.bool_)
    covers = [_cover(blocker.face, lamps.corners, points, lit) for blocker in blockers]
    for blocker, cover in zip(blockers, covers, strict=True):
        shares[cover.whole] *= blocker.transmittance
        halves += cover.partly
        by_rays |= cover.cutting
        if not (isinstance(blocker.face, Polygon) and blocker.face.is_convex):
            by_rays |= cover.partly
    by_rays |= (halves > 2) | ((halves > 0) & ~lamps.even[:, None])
    exact = (halves > 0) & ~by_rays & (shares > 0)
    for first, cover in enumerate(covers):
        lamp, receiver = np.nonzero(cover.partly & exact)
        if not len(lamp):
            continue
        seen = _Seen(lamps.outlines[lamp], points[receiver], normals[receiver])
        opaque = 1.0 - blockers[first].transmittance
        hidden = seen.behind(blockers[first].face)
        # Of what two hide between them, what both hide was taken away twice.
        lost = opaque * hidden.share
        for second in range(first):
            both = np.flatnonzero(covers[second].partly[lamp, receiver])
            if len(both):
                twice = hidden.some(both).behind(blockers[second].face)
                lost[both] -= opaque * (1.0 - blockers[second].transmittance) * twice.share
        gone[lamp, receiver] += lost
    shares *= 1.0 - np.clip(gone, 0.0, 1.0)
    by_rays &= shares > 0
    for row in np.flatnonzero(by_rays.any(axis=1)):
        these = np.flatnonzero(by_rays[row])
        shares[row, these] = visible_share(lamps.sources[row], points[these], normals[these], blockers)
    return shares


@dataclass(frozen=True, eq=False)
class _Cover:
    """Where a face hides ``whole`` lamps from points, where it may hide them ``partly``, and where it is ``cutting``
    through one, (s, n) each."""

    whole: Mask
    partly: Mask
    cutting: Mask


def _cover(face: Face, corners: Array, points: Array, lit: Mask) -> _Cover:
    slack = _TOUCHING * face.across_m
    ends = face.height_over(points)
    starts = face.height_over(corners)
    whole, partly, cutting = (np.zeros(lit.shape, dtype=np.bool_) for _ in range(3))
    lowest, highest = starts.min(axis=1), starts.max(axis=1)
    before, behind = (lowest >= -slack) & (highest > slack), (highest <= slack) & (lowest < -slack)
    cutting[(lowest < -slack) & (highest > slack)] = np.abs(ends) > slack
    cutting &= lit
    if cutting.any():
        cutting &= _boxes_meet(face, corners, points)
    across = (before[:, None] & (ends < -slack)) | (behind[:, None] & (ends > slack))
    lamp, receiver = np.nonzero(across & lit)
    if len(lamp):
        inside, apart = _against(face, _cast(face, corners[lamp], points[receiver]))
        whole[lamp, receiver] = inside
        partly[lamp, receiver] = ~inside & ~apart
    return _Cover(whole, partly, cutting)


def _cast(face: Face, outlines: Array, points: Array) -> Array:
    """Outlines (m, k, 3) as seen from points (m, 3), on the plane of a face between them."""
    ends, starts = face.height_over(points)[:, None], face.height_over(outlines)
    here = points[:, None, :]
    return np.asarray(here + (ends / (ends - starts))[..., None] * (outlines - here))


@dataclass(frozen=True, eq=False)
class _Seen:
    """Parts of evenly bright outlines (m, k, 3) as receivers at points (m, 3) see them, and their share (m,) of the
    whole outlines' light; ``whole`` (m,) are the configuration factors of those."""

    outlines: Array
    points: Array
    normals: Array
    count: Counts | None = None
    whole: Array | None = None

    @cached_property
    def factors(self) -> Array:
        arms = (self.outlines - self.points[:, None, :]).transpose(2, 1, 0)
        return inside_polygon(arms, self.normals.T)

    @cached_property
    def share(self) -> Array:
        whole = self.factors if self.whole is None else self.whole
        return np.asarray(np.clip(self.factors / np.where(whole > 0, whole, 1.0), 0.0, 1.0))

    def some(self, rows: NDArray[np.int64]) -> _Seen:
        """Of some receivers only."""
        count = None if self.count is None else self.count[rows]
        whole = None if self.whole is None else self.whole[rows]
        return _Seen(self.outlines[rows], self.points[rows], self.normals[rows], count, whole)

    def behind(self, face: Face) -> _Seen:
        """The part of them that a convex polygon hides."""
        common = _cast(face, self.outlines, self.points)
        count = np.full(len(common), common.shape[1]) if self.count is None else self.count
        corners = face.corners_round()
        for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            common, count = clipped(common, count, (common - start) @ cross(face.normal, end - start))
        common = np.take_along_axis(common, _padding(count, common.shape[1])[..., None], 1)
        # Fewer than three corners hold nothing between them.
        common = np.where((count >= 3)[:, None, None], common, common[:, :1])
        whole = self.factors if self.whole is None else self.whole
        return _Seen(common, self.points, self.normals, count, whole)


def _padding(count: Counts, size: int) -> Counts:
    """Every corner, then the last one of each outline again and again."""
    return np.minimum(np.arange(size), np.maximum(count - 1, 0)[:, None])


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


def _boxes_meet(face: Face, corners: Array, points: Array) -> Mask:
    """Whether the box round a lamp and a point meets the box round the face, (s, n)."""
    own, slack = face.corners_round(), _TOUCHING * face.across_m
    low = np.minimum(corners.min(axis=1)[:, None, :], points[None, :, :])
    high = np.maximum(corners.max(axis=1)[:, None, :], points[None, :, :])
    return np.asarray(
        ((low <= own.max(axis=0) + slack) & (high >= own.min(axis=0) - slack)).all(axis=2), dtype=np.bool_
    )
