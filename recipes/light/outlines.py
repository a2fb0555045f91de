"""What is left of convex outlines on one side of a line or a plane? Many at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from recipes.quantity import Array

__all__ = ["Counts", "clipped", "following"]

Counts = NDArray[np.int64]


def clipped(corners: Array, count: Counts, heights: Array) -> tuple[Array, Counts]:
    """The parts where the height is not negative: outlines (t, k + 1, d) and how many corners (t,) each has.

    Parameters: outlines (t, k, d) of which the first ``count`` (t,) corners hold, and the height (t, k) of each corner.
    Heights run straight along edges. Outlines that share an edge find the very same point on it.
    """
    size = corners.shape[1]
    after = following(count, size)
    row = np.arange(len(corners))[:, None]
    ends, end_heights = corners[row, after], heights[row, after]
    there = np.arange(size) < count[:, None]
    start_in, end_in = there & (heights >= 0), there & (end_heights >= 0)
    kept = np.stack([start_in, start_in != end_in], axis=-1).reshape(-1, 2 * size)
    meets = _meeting(corners, ends, heights, end_heights)
    points = np.stack([corners, meets], axis=2).reshape(-1, 2 * size, corners.shape[2])
    order = np.argsort(~kept, axis=1, kind="stable")[:, : size + 1]
    return points[row, order], kept.sum(axis=1)


def following(count: Counts, size: int) -> Counts:
    """Which corner follows each of ``size``, round outlines of so many, (t, size)."""
    after = np.arange(1, size + 1)
    return np.asarray(np.where(after < count[:, None], after, 0), dtype=np.int64)


def _meeting(starts: Array, ends: Array, heights: Array, end_heights: Array) -> Array:
    """Where edges (..., d) meet height 0, reckoned from the end that comes first by its coordinates."""
    turned = (starts[..., 0] > ends[..., 0]) | (
        (starts[..., 0] == ends[..., 0]) & (starts[..., 1] > ends[..., 1])
    )
    first, second = np.where(turned, end_heights, heights), np.where(turned, heights, end_heights)
    drop = first - second
    part = (first / np.where(drop != 0, drop, 1.0))[..., None]
    turned = turned[..., None]
    begin = np.where(turned, ends, starts)
    return np.asarray(begin + part * (np.where(turned, starts, ends) - begin))
