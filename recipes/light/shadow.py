"""How much of each lamp's light gets past flags and boards to each point?

Seen from a point, a lamp's outline is cast onto the plane of what stands in the way. Outside the blocker's own outline
all of the light passes, inside it only what the blocker lets through. Where the two overlap in part, in half-shadow,
what they have in common hides its own configuration factor of the lamp's; that is exact for an even face. Rays
(`recipes.light.obstruction`) are drawn only where two blockers hide parts of one lamp, or one cuts through it, and for
lamps that are not evenly bright.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
    hiding = np.zeros(lit.shape, dtype=np.int64)
    by_rays = np.zeros(lit.shape, dtype=np.bool_)
    covers = [_cover(blocker.face, lamps.corners, points, lit) for blocker in blockers]
    for blocker, cover in zip(blockers, covers, strict=True):
        shares[cover.whole] *= blocker.transmittance
        hiding += cover.whole | cover.partly | cover.cutting
    for blocker, cover in zip(blockers, covers, strict=True):
        alone = cover.partly & (hiding == 1) & lamps.even[:, None]
        if isinstance(blocker.face, Polygon) and blocker.face.is_convex and alone.any():
            lamp, receiver = np.nonzero(alone)
            hidden = _hidden(blocker.face, lamps.outlines[lamp], points[receiver], normals[receiver])
            shares[alone] = 1.0 - (1.0 - blocker.transmittance) * hidden
            cover.partly[alone] = False
        by_rays |= cover.partly | cover.cutting
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


def _hidden(face: Polygon, outlines: Array, points: Array, normals: Array) -> Array:
    """What part of evenly bright outlines (m, k, 3) a convex face hides from receivers, (m,)."""
    cast = _cast(face, outlines, points)
    whole = inside_polygon(_arms(cast, points), normals.T)
    common, count = cast, np.full(len(cast), cast.shape[1])
    for start, end in zip(face.corners, np.roll(face.corners, -1, axis=0), strict=True):
        common, count = clipped(common, count, (common - start) @ cross(face.normal, end - start))
    common = np.take_along_axis(common, _padding(count, common.shape[1])[..., None], 1)
    hidden = np.where(count >= 3, inside_polygon(_arms(common, points), normals.T), 0.0)
    return np.asarray(np.clip(hidden / np.where(whole > 0, whole, 1.0), 0.0, 1.0))


def _arms(outlines: Array, points: Array) -> Array:
    return np.asarray((outlines - points[:, None, :]).transpose(2, 1, 0))


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
