"""What stands between a light and a point, and how much comes past it?

Flags and boards are opaque, scrims and nets let a part through straight on. A path is asked for each pair of a start
and an end; half-shadow of a large source comes from drawing it from many points of its face.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recipes.light.geometry import Face
from recipes.light.source import Source
from recipes.quantity import Array, part

__all__ = ["RAYS_A_SIDE", "Blocker", "passing", "visible_share"]

RAYS_A_SIDE = 8
"""A face is seen by 64 rays, each for a patch that an edge may hide in part: half-shadow to a hundredth of the light.
By rays that are hidden or not, an edge along a side would hide a whole row at once, up to a fifth of it."""

_TOUCHING = 1e-7
_MOST_AT_ONCE = 1_000_000
_PAIRS_AT_ONCE = 16_000
"""Pairs of a start and an end: what fits the processor's own memory goes twice as fast."""


@dataclass(frozen=True, eq=False)
class Blocker:
    """A flat thing in the way: 0 transmittance for a flag, more for a scrim or net. It works from both sides."""

    face: Face
    transmittance: float = 0.0
    label: str = ""

    def __post_init__(self) -> None:
        part(f"transmittance of {self.label or 'a blocker'}", self.transmittance)


def passing(
    starts: Array, ends: Array, blockers: Sequence[Blocker], sizes_m: Array | None = None
) -> Array | None:
    """The part of the light that passes from each start (n, 3) to each end (r, 3), (r, n).

    None when nothing stands between any of them. A path that only begins or ends on a blocker does not cross it.
    ``sizes_m`` (n,) are the sides of the patches that the starts stand for: one that an edge runs through is hidden in
    part, as far as the edge, seen from the end, has come across it; a narrower thing hides as much as it is wide. In
    the plane of what stands in the way a patch is as much smaller as that is nearer to the end.
    """
    passed: Array | None = None
    for blocker in blockers:
        hidden = _hidden(starts, ends, blocker.face, sizes_m)
        if hidden is not None:
            lets = hidden * blocker.transmittance + (1.0 - hidden)
            passed = lets if passed is None else passed * lets
    return passed


def visible_share(
    source: Source,
    points: Array,
    normals: Array,
    blockers: Sequence[Blocker],
    rays_a_side: int = RAYS_A_SIDE,
) -> Array:
    """The part of a source's direct light, 0 to 1, that reaches receivers (r, 3) past the blockers, (r,).

    Rays are weighted by what each part of the face gives the receiver.
    """
    nodes = source.nodes(rays_a_side)
    sizes_m = np.sqrt(np.abs(nodes.areas_m2)) if isinstance(source.emitter, Face) else None
    share = np.ones(len(points))
    at_once = max(1, _MOST_AT_ONCE // len(nodes.points))
    for start in range(0, len(points), at_once):
        these = slice(start, start + at_once)
        passed = passing(nodes.points, points[these], blockers, sizes_m)
        if passed is None:
            continue
        weights = source.per_lumen(nodes.points, points[these], normals[these]) * nodes.areas_m2
        whole = weights.sum(axis=1)
        lit = whole > 0
        share[these] = np.where(lit, (weights * passed).sum(axis=1) / np.where(lit, whole, 1.0), 1.0)
    return share


def _hidden(starts: Array, ends: Array, face: Face, sizes_m: Array | None) -> Array | None:
    """What part of each start a face hides from each end, (r, n); None when nothing of any."""
    slack = _TOUCHING * face.across_m
    before, after = face.height_over(starts), face.height_over(ends)
    from_there, to_here = face.along_axes(starts), face.along_axes(ends)
    found: Array | None = None
    at_once = max(1, _PAIRS_AT_ONCE // len(starts))
    for first in range(0, len(ends), at_once):
        here = after[first : first + at_once]
        through = (before > slack) & (here < -slack)[:, None]
        through |= (before < -slack) & (here > slack)[:, None]
        end, start = np.nonzero(through)
        end += first
        where = before[start] / (before[start] - after[end])
        spots = from_there[:, start] + where * (to_here[:, end] - from_there[:, start])
        sizes = None if sizes_m is None else sizes_m[start] * (1.0 - where)
        covered = _covered(face, spots, sizes)
        if covered.any():
            found = np.zeros((len(ends), len(starts))) if found is None else found
            found[end, start] = covered
    return found


def _covered(face: Face, spots: Array, sizes_m: Array | None) -> Array:
    """What part of patches of its plane a face covers, (n,): all or nothing of those without a size."""
    inside = face.inside_by_m(spots)
    if sizes_m is None:
        return np.asarray(inside >= 0, dtype=np.float64)
    # A face narrower than a patch covers as much of it as the face is wide.
    across = np.maximum(sizes_m, 1e-12)
    return np.clip(0.5 + inside / across, 0.0, np.minimum(face.narrow_m / across, 1.0))
