"""Where on a plan does the light break off: at the edges of shadows and at the feet of what stands there?

Of each lamp and each thing in the way, the outline of the thing is cast from the lamp's corners onto the level of the
receivers: half-shadow begins and ends along those lines. A face that reaches through the level cuts it along a line,
with light before it and none behind.

Source: central projection; similar triangles.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from recipes.light.geometry import Face
from recipes.light.refining import Mask, Plan
from recipes.quantity import Array

__all__ = ["feet", "marked", "shadow_lines"]


def shadow_lines(lamps: Array, faces: Sequence[Face], height_m: float) -> Array:
    """Lines (n, 2, 2), from x, y to x, y, onto which points of lamps (k, 3) cast the edges of faces at a height."""
    found = [np.zeros((0, 2, 2))]
    for face in faces:
        corners = face.corners_round()
        for lamp in lamps:
            edges = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
            found.append(_cast(edges, lamp, height_m))
    return np.concatenate(found)


def _cast(edges: Array, lamp: Array, height_m: float) -> Array:
    """Edges (n, 2, 3) as a lamp casts them onto the level; what lies beyond the lamp's own height goes nowhere."""
    sign = 1.0 if lamp[2] >= height_m else -1.0
    # Only what is nearer to the level than the lamp is, by a hair, has a shadow there.
    room = sign * (lamp[2] - edges[..., 2]) - 1e-3 * abs(lamp[2] - height_m) - 1e-9
    keep = room.max(axis=1) > 0
    edges, room = edges[keep], room[keep]
    start, end = edges[:, 0], edges[:, 1]
    drop = room[:, 0] - room[:, 1]
    part = (room[:, 0] / np.where(drop != 0, drop, 1.0))[:, None]
    meets = start + part * (end - start)
    ends = np.stack([np.where(room[:, :1] > 0, start, meets), np.where(room[:, 1:] > 0, end, meets)], axis=1)
    fall = (lamp[2] - height_m) / (lamp[2] - ends[..., 2])
    return np.asarray(lamp[:2] + fall[..., None] * (ends[..., :2] - lamp[:2]))


def feet(faces: Sequence[Face], height_m: float) -> Array:
    """Lines (n, 2, 2) along which faces reach through the level."""
    found = [np.zeros((0, 2, 2))]
    for face in faces:
        corners = face.corners_round()
        above = corners[:, 2] - height_m
        after, ends = np.roll(above, -1), np.roll(corners, -1, axis=0)
        through = (above >= 0) != (after >= 0)
        part = (above[through] / (above[through] - after[through]))[:, None]
        meets = corners[through] + part * (ends[through] - corners[through])
        found.append(meets[:, :2].reshape(-1, 2, 2))
    return np.concatenate(found)


def marked(plan: Plan, lines: Array) -> Mask:
    """The points of a plan, (ny, nx), that have one of the lines within a step of theirs."""
    found = np.zeros(plan.shape, dtype=np.bool_)
    low, high = np.array([plan.x_m[0], plan.y_m[0]]), np.array([plan.x_m[-1], plan.y_m[-1]])
    step = np.array([np.diff(plan.x_m).min(), np.diff(plan.y_m).min()])
    for start, end in lines:
        first, last = _inside(start, end - start, low, high)
        if first > last:
            continue
        count = int(2.0 * np.max(np.abs(end - start) * (last - first) / step)) + 2
        x, y = np.clip(start + np.linspace(first, last, count)[:, None] * (end - start), low, high).T
        column, row = np.searchsorted(plan.x_m, x), np.searchsorted(plan.y_m, y)
        for down in (row, np.maximum(row - 1, 0)):
            for across in (column, np.maximum(column - 1, 0)):
                found[down, across] = True
    return found


def _inside(start: Array, way: Array, low: Array, high: Array) -> tuple[float, float]:
    """From which part of a way to which it runs inside a rectangle; the first above the second where it never does."""
    along = np.where(way != 0, way, 1e-30)
    ends = np.sort(np.stack([low - start, high - start]) / along, axis=0)
    return max(0.0, float(ends[0].max())), min(1.0, float(ends[1].min()))
