"""How much of a receiver's world lies inside an outline? Lambert's boundary integral, clipped to the horizon.

    F = 1 / 2 pi · | n · closed integral of (r x dr) / r² |

Along a straight edge the integral is the angle between its ends, turned about their common normal; along an arc of a
circle it has a closed form too. What is cut off below the receiver's horizon is replaced by the straight edge along
it, in the horizon's plane, so that the outline is closed again.

Everything here is in pairs of one outline and one receiver: a pair is a column, a coordinate a row.

Source: J. H. Lambert, *Photometria* (1760); J. R. Howell, *A Catalog of Radiation Configuration Factors*.
"""

from __future__ import annotations

import numpy as np

from recipes.light.geometry import dot
from recipes.quantity import Array

__all__ = ["inside_circle", "inside_polygon"]

_ROUNDING = 1e-12
"""A hundred times what three coordinates of one size may lose in a difference, and too little to be seen."""


def inside_polygon(arms: Array, normals: Array) -> Array:
    """F of convex polygons, (n,): ``arms`` (3, corners, n) run from receiver to corner, ``normals`` (3, n)."""
    heights = arms[0] * normals[0] + arms[1] * normals[1] + arms[2] * normals[2]
    clear = heights.min(axis=0) >= 0
    if clear.all():
        total = _edges(arms, _next(arms), normals).sum(axis=0)
    else:
        total = np.zeros(arms.shape[2])
        whole, cut = np.flatnonzero(clear), np.flatnonzero(~clear)
        if len(whole):
            seen = arms[:, :, whole]
            total[whole] = _edges(seen, _next(seen), normals[:, whole]).sum(axis=0)
        total[cut] = _above_horizon(arms[:, :, cut], heights[:, cut], normals[:, cut])
    return np.asarray(np.abs(total) / (2.0 * np.pi))


def _above_horizon(arms: Array, heights: Array, normals: Array) -> Array:
    """The sum over the edges above the horizon, closed along it; 0 where the whole outline lies below."""
    ends, end_heights = _next(arms), np.concatenate([heights[1:], heights[:1]])
    start_up, end_up = heights >= 0, end_heights >= 0
    goes_down, comes_up = start_up & ~end_up, end_up & ~start_up
    meets = arms + heights / np.where(start_up != end_up, heights - end_heights, 1.0) * (ends - arms)
    edges = _edges(np.where(comes_up, meets, arms), np.where(goes_down, meets, ends), normals)
    column = np.arange(arms.shape[2])
    leaves, enters = (meets[:, np.argmax(where, axis=0), column] for where in (goes_down, comes_up))
    total = np.where(start_up | end_up, edges, 0.0).sum(axis=0) + _edges(leaves, enters, normals)
    return np.asarray(total)


def _next(arms: Array) -> Array:
    """Of each corner (3, corners, n) the one that follows, and the first after the last."""
    return np.concatenate([arms[:, 1:], arms[:, :1]], axis=1)


def _edges(start: Array, end: Array, normals: Array) -> Array:
    """Angle between two arms (3, ..., n), times the part of their common normal along ``normals`` (3, n); 0 in line."""
    x = start[1] * end[2] - start[2] * end[1]
    y = start[2] * end[0] - start[0] * end[2]
    z = start[0] * end[1] - start[1] * end[0]
    sine = np.sqrt(x * x + y * y + z * z)
    turn = np.arctan2(sine, start[0] * end[0] + start[1] * end[1] + start[2] * end[2])
    along = x * normals[0] + y * normals[1] + z * normals[2]
    return np.asarray(turn * along / np.where(sine > 0, sine, 1.0))


def inside_circle(to_centre: Array, axis: Array, radius: Array, some_way: Array, normals: Array) -> Array:
    """F of circles, (n,): ``to_centre`` (n, 3) runs from receiver to centre, ``axis`` (n, 3) out of the disc's front,
    ``radius`` (n,), ``some_way`` (n, 3) any direction in the disc's plane, ``normals`` (n, 3).

    The rim in angles from the side towards the receiver, where ``r² = A + D cos`` and the integral is closed.
    """
    level = to_centre - dot(to_centre, axis)[:, None] * axis
    offset = np.sqrt(dot(level, level))
    # A smaller offset is what rounding left of none, and its direction means nothing.
    aside = offset > _ROUNDING * np.sqrt(dot(to_centre, to_centre))
    towards = np.where(aside[:, None], -level / np.where(aside, offset, 1.0)[:, None], some_way)
    # Of a short difference of long vectors a part still lies along the axis.
    towards -= dot(towards, axis)[:, None] * axis
    towards /= np.sqrt(dot(towards, towards))[:, None]
    sideways = np.cross(axis, towards)

    height = dot(normals, to_centre)
    along, across = dot(normals, towards), dot(normals, sideways)
    slope = radius * np.hypot(along, across)
    # Half of the arc that is above the horizon, and the angle of its highest point.
    half = np.arccos(np.clip(-height / np.maximum(slope, 1e-300), -1.0, 1.0))
    top = np.arctan2(across, along)

    square = dot(to_centre, to_centre) + radius**2
    swing = -2.0 * radius * offset
    once, cosine, sine = _arc_integrals(square, swing, top - half, top + half)
    total = (
        radius**2 * dot(normals, axis) * once
        + radius * dot(normals, np.cross(to_centre, sideways)) * cosine
        - radius * dot(normals, np.cross(to_centre, towards)) * sine
    )
    cut = np.flatnonzero((half < np.pi) & (half > 0))
    if len(cut):
        ends = [
            to_centre[cut]
            + radius[cut, None]
            * (np.cos(angle)[:, None] * towards[cut] + np.sin(angle)[:, None] * sideways[cut])
            for angle in (top[cut] + half[cut], top[cut] - half[cut])
        ]
        total[cut] += _edges(ends[0].T, ends[1].T, normals[cut].T)
    return np.asarray(np.abs(total) / (2.0 * np.pi))


def _arc_integrals(square: Array, swing: Array, start: Array, end: Array) -> tuple[Array, Array, Array]:
    """Integrals of 1, cos and sin over ``square + swing cos`` from one angle to another."""
    ratio = swing / square
    root = np.sqrt(np.maximum((square - swing) * (square + swing), 1e-300))
    once = _arc_once(square, swing, root, end) - _arc_once(square, swing, root, start)
    # Of a smaller one more digits are lost than two terms of the series miss.
    lever = np.abs(ratio) > 1e-5
    safe = np.where(lever, swing, 1.0)
    cosine = np.where(
        lever,
        ((end - start) - square * once) / safe,
        _cosine_series(ratio, end, square) - _cosine_series(ratio, start, square),
    )
    sine = np.where(
        lever,
        -np.log((square + swing * np.cos(end)) / (square + swing * np.cos(start))) / safe,
        _sine_series(ratio, end, square) - _sine_series(ratio, start, square),
    )
    return once, cosine, sine


def _arc_once(square: Array, swing: Array, root: Array, angle: Array) -> Array:
    """From 0 to an angle of a whole turn at most, either way."""
    inner = np.arctan2((square - swing) * np.sin(angle / 2.0), root * np.cos(angle / 2.0))
    return np.asarray(2.0 / root * inner)


def _cosine_series(ratio: Array, angle: Array, square: Array) -> Array:
    """cos / (1 + q cos) = cos - q cos², integrated, for q below 1e-5."""
    return np.asarray((np.sin(angle) - ratio * (angle / 2.0 + np.sin(2.0 * angle) / 4.0)) / square)


def _sine_series(ratio: Array, angle: Array, square: Array) -> Array:
    """The same with sin above: sin - q sin cos."""
    return np.asarray((ratio * np.cos(angle) ** 2 / 2.0 - np.cos(angle)) / square)
