"""What stands between a light and a point, and how much comes past it?

Flags and boards are opaque, scrims and nets let a part through straight on. A path is asked for each pair of a start
and an end; half-shadow of a large source comes from drawing it from many points of its face. Where two things hide
parts of one patch it matters which parts: two boards hinged to each other leave nothing between them, two flags one
behind the other hide the same half. Such a patch is looked at in pieces, each hidden or not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from recipes.light.geometry import Face, cross, unit
from recipes.light.source import Source
from recipes.quantity import Array, part

__all__ = ["RAYS_A_SIDE", "Blocker", "passing", "visible_share"]

RAYS_A_SIDE = 8
"""A face is seen by 64 rays, each for a patch that an edge may hide in part: half-shadow to a hundredth of the light.
By rays that are hidden or not, an edge along a side would hide a whole row at once, up to a fifth of it."""

_PIECES_A_SIDE = 8

_TOUCHING = 1e-7
_MOST_AT_ONCE = 1_000_000
_PAIRS_AT_ONCE = 8_000
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
    found = [(blocker, _hidden(starts, ends, blocker.face, sizes_m)) for blocker in blockers]
    hiding = [(blocker, hidden) for blocker, hidden in found if hidden is not None]
    if not hiding:
        return None
    passed = reduce(
        np.multiply, [hidden * blocker.transmittance + (1.0 - hidden) for blocker, hidden in hiding]
    )
    if sizes_m is not None and len(hiding) > 1:
        edges = np.sum([(hidden > 0) & (hidden < 1) for _, hidden in hiding], axis=0)
        end, start = np.nonzero((edges > 1) & (passed > 0))
        at_once = _PAIRS_AT_ONCE // _PIECES_A_SIDE**2
        for first in range(0, len(end), at_once):
            to, of = end[first : first + at_once], start[first : first + at_once]
            some = [(blocker.face, blocker.transmittance, hidden[to, of] > 0) for blocker, hidden in hiding]
            passed[to, of] = _passing_pieces(starts[of], ends[to], sizes_m[of], some)
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
    before, after = _off_plane(face, starts), _off_plane(face, ends)
    found: Array | None = None
    for side in (1.0, -1.0):
        # Only ways from one side of the plane to the other are looked at.
        these, those = np.flatnonzero(side * before > 0), np.flatnonzero(side * after < 0)
        if not len(these) or not len(those):
            continue
        there = face.along_axes(starts[these]), np.abs(before[these])
        here, after_m = face.along_axes(ends[those]), np.abs(after[those])
        sizes = None if sizes_m is None else sizes_m[these]
        at_once = max(1, _PAIRS_AT_ONCE // len(these))
        for first in range(0, len(those), at_once):
            some = slice(first, first + at_once)
            hidden = _hidden_from(face, *there, here[:, some], after_m[some], sizes)
            if hidden.any():
                found = np.zeros((len(ends), len(starts))) if found is None else found
                found[np.ix_(those[some], these)] = hidden
    return found


def _hidden_from(
    face: Face, there: Array, start_m: Array, here: Array, end_m: Array, sizes_m: Array | None
) -> Array:
    """The same, for starts and ends on either side of the face's plane, by their coordinates (2, n) along the face's
    axes and how far they lie off the plane, (n,) each.

    A way meets the plane nearer to the one that is nearer to it: ``(d_e s + d_s e) / (d_s + d_e)``.
    """
    near = end_m[:, None] / (start_m + end_m[:, None])
    spots = there[:, None, :] - here[:, :, None]
    spots *= near
    spots += here[:, :, None]
    inside = face.inside_by_m(spots.reshape(2, -1)).reshape(near.shape)
    if sizes_m is None:
        return np.asarray(inside >= 0, dtype=np.float64)
    # A patch is as much smaller in the plane as that is nearer to the end. A face narrower than it hides as much of it
    # as the face is wide.
    across = np.maximum(sizes_m * near, 1e-12)
    return np.asarray(np.clip(0.5 + inside / across, 0.0, np.minimum(face.narrow_m / across, 1.0)))


def _passing_pieces(
    starts: Array, ends: Array, sizes_m: Array, things: Sequence[tuple[Face, float, NDArray[np.bool_]]]
) -> Array:
    """What passes from a patch round each start to the end of the same row, (m, 3) each, piece by piece, (m,).

    The patch is taken for a square across the way. Each thing has its face, its transmittance and in which rows (m,) it
    hides anything: pieces of a patch that lies on a board stick out on either side of it.
    """
    ways = ends - starts
    level = np.where(np.abs(ways[:, 2:]) > np.abs(ways[:, :1]), [1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
    aside = unit(cross(ways, level))
    up = unit(cross(aside, ways))
    steps = (np.arange(_PIECES_A_SIDE) + 0.5) / _PIECES_A_SIDE - 0.5
    first, second = (one.ravel() for one in np.meshgrid(steps, steps))
    off = first[:, None] * aside[:, None, :] + second[:, None] * up[:, None, :]
    pieces = starts[:, None, :] + sizes_m[:, None, None] * off
    passed = np.ones(pieces.shape[:2])
    for face, transmittance, hides in things:
        before, after = _off_plane(face, pieces), _off_plane(face, ends)[:, None]
        crossing = (before * after < 0) & hides[:, None]
        part = after / np.where(crossing, after - before, 1.0)
        spots = ends[:, None, :] + part[..., None] * (pieces - ends[:, None, :])
        inside = face.inside_by_m(face.along_axes(spots.reshape(-1, 3)))
        passed[crossing & (inside.reshape(crossing.shape) >= 0)] *= transmittance
    return np.asarray(passed.mean(axis=1))


def _off_plane(face: Face, points: Array) -> Array:
    """How far points (n, 3) lie off the plane of a face, in m; nothing where they touch it."""
    heights = face.height_over(points)
    return np.where(np.abs(heights) > _TOUCHING * face.across_m, heights, 0.0)
