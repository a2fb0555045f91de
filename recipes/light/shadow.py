"""How much of each lamp's light gets past flags and boards to each point?

Seen from a point, a lamp's outline is cast onto the plane of what stands in the way. Outside the blocker's own outline
all of the light passes, inside it only what the blocker lets through. Only where the two overlap in part, in
half-shadow, are rays drawn (`recipes.light.obstruction`); that is a small part of a wall.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from recipes.light.geometry import Disc, Face, Polygon
from recipes.light.lamps import Lamps
from recipes.light.obstruction import Blocker, visible_share
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
    in_part = np.zeros(lit.shape, dtype=np.bool_)
    for blocker in blockers:
        covered, partly = _cover(blocker.face, lamps.corners, points, lit)
        shares[covered] *= blocker.transmittance
        in_part |= partly
    in_part &= shares > 0
    for row in np.flatnonzero(in_part.any(axis=1)):
        these = np.flatnonzero(in_part[row])
        shares[row, these] = visible_share(lamps.sources[row], points[these], normals[these], blockers)
    return shares


def _cover(face: Face, corners: Array, points: Array, lit: Mask) -> tuple[Mask, Mask]:
    """Where the face covers all of a lamp as the points see it, and where it may cover a part of it, (s, n) each."""
    slack = _TOUCHING * face.across_m
    ends = face.height_over(points)
    starts = face.height_over(corners)
    covered, partly = np.zeros(lit.shape, dtype=np.bool_), np.zeros(lit.shape, dtype=np.bool_)
    lowest, highest = starts.min(axis=1), starts.max(axis=1)
    before, behind = (lowest >= -slack) & (highest > slack), (highest <= slack) & (lowest < -slack)
    across = (before[:, None] & (ends < -slack)) | (behind[:, None] & (ends > slack))
    partly[(lowest < -slack) & (highest > slack)] = np.abs(ends) > slack
    partly &= lit
    if partly.any():
        partly &= _boxes_meet(face, corners, points)
    lamp, receiver = np.nonzero(across & lit)
    if len(lamp):
        drop = ends[receiver, None] / (ends[receiver, None] - starts[lamp])
        here = points[receiver, None, :]
        cast = here + drop[..., None] * (corners[lamp] - here)
        inside, apart = _against(face, cast)
        covered[lamp, receiver] = inside
        partly[lamp, receiver] = ~inside & ~apart
    return covered, partly


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
