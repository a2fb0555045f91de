"""What does the dome of an incident meter read, where light is reckoned on flat faces?

A dome answers to light from an angle a to its axis as the area that a hemisphere shows to it, ``(1 + cos a) / 2``: half
of what comes from straight aside counts, and of what comes from behind next to nothing. So

    reading = ( E_0 + E(n) - E(-n) ) / 2

with E(n) what a flat receptor along n gets, and E_0 all that comes, from whatever side, counted in full. E_0 is four
times the mean of flat receptors turned all round, and 32 of those tell it of soft light. What comes straight from a
lamp is too narrow for them: there a flat receptor that is turned to the lamp tells it, and how much wider the lamp's
solid angle is than its configuration factor says.

Source: the shape is the projected area of a hemisphere, as the R package photobiologySensors documents it for entrance
optics (``angular_response``, "dome"); that ISO 2720 asks domes for a cardioid is read second-hand. The 32 directions
and weights: A. D. McLaren, *Mathematics of Computation* 17 (1963), from memory, tested. Solid angle of a triangle: A.
Van Oosterom, J. Strackee, *IEEE Transactions on Biomedical Engineering* 30(2) (1983).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from recipes.light.boundary import inside_polygon
from recipes.light.geometry import cross, dot
from recipes.light.illumination import Illumination
from recipes.light.lamps import Lamps
from recipes.light.scene import LitScene
from recipes.quantity import Array

__all__ = [
    "ALL_ROUND",
    "ALL_ROUND_WEIGHTS",
    "OVER_FLAT_SPREAD_STOPS",
    "OVER_FLAT_STOPS",
    "on_axis_over_flat",
    "read_by_dome",
]

OVER_FLAT_STOPS = 0.91
OVER_FLAT_SPREAD_STOPS = 0.37
"""What a dome reads over a flat receptor when nobody says where the light comes from: nothing more when it is all
ahead, a stop when it is the same from all sides, more when it is far aside. Mean and one standard deviation, as when
any share of it comes the same from all sides and the rest from one direction, of all before the face any."""

_GOLDEN = (1.0 + np.sqrt(5.0)) / 2.0


def _turned(a: float, b: float) -> list[tuple[float, float, float]]:
    """(0, a, b) with both signs, and its cyclic turns."""
    both = [(x, y) for x in (a, -a) for y in (b, -b)]
    return [turn for x, y in both for turn in ((0.0, x, y), (x, y, 0.0), (y, 0.0, x))]


_TWELVE = np.array(_turned(1.0, _GOLDEN)) / np.sqrt(1.0 + _GOLDEN**2)
_CUBE = [(x, y, z) for x in (1.0, -1.0) for y in (1.0, -1.0) for z in (1.0, -1.0)]
_TWENTY = np.array([*_CUBE, *_turned(_GOLDEN, 1.0 / _GOLDEN)]) / np.sqrt(3.0)

ALL_ROUND = np.concatenate([_TWELVE, _TWENTY])
"""Directions (32, 3) to the corners of an icosahedron and of its dual."""

ALL_ROUND_WEIGHTS = np.repeat([5.0 / 168.0, 27.0 / 840.0], [12, 20])
"""What part of the sphere each stands for."""


def read_by_dome(stage: LitScene, points_m: Array, normals: Array) -> Illumination:
    """What domes at points (n, 3) read whose axes point along unit normals (n, 3), as lux or lx·s straight ahead.

    Raises ValueError when a point lies outside the room.
    """
    both = stage.at(points_m[None], np.stack([normals, -normals]))
    ahead, behind = np.moveaxis(both.amounts, 2, 0)
    flat = stage.at(points_m[None], ALL_ROUND[:, None, :]).amounts
    from_all_sides = 4.0 * np.einsum("spdn,d->spn", flat, ALL_ROUND_WEIGHTS)
    from_all_sides[:, 0] = _straight_from_all_sides(stage, points_m)
    return replace(both, amounts=np.asarray((from_all_sides + ahead - behind) / 2.0))


def on_axis_over_flat(lamps: Lamps, points_m: Array) -> Array:
    """What a dome that is turned to each lamp reads over what a flat receptor does, (s, n) at points (n, 3): 1 for a
    point, up to 3/2 close to a large face."""
    return np.asarray((1.0 + _wider(lamps, points_m)) / 2.0)


def _straight_from_all_sides(stage: LitScene, points: Array) -> Array:
    """What comes straight from each lamp, counted in full from whatever side, (s, n)."""
    towards = _unit(stage.lamps.centres[:, None, :] - points)
    turned = stage.straight(points[None], towards).amounts[:, 0]
    each = np.arange(len(turned))
    return np.asarray(turned[each, each] * _wider(stage.lamps, points))


def _wider(lamps: Lamps, points: Array) -> Array:
    """E_0 over what a flat receptor gets that is turned to an even face, (s, n): its solid angle over pi F; 1 for a
    point."""
    arms = _unit(lamps.outlines[:, None] - points[:, None])
    solid = sum(
        _solid_angle(arms[:, :, 0], arms[:, :, row], arms[:, :, row + 1])
        for row in range(1, arms.shape[2] - 1)
    )
    towards = _unit(lamps.centres[:, None, :] - points)
    pairs = arms.reshape(-1, *arms.shape[2:]).transpose(2, 1, 0)
    seen = np.pi * inside_polygon(pairs, towards.reshape(-1, 3).T).reshape(towards.shape[:2])
    face = seen > 1e-12
    return np.where(face, np.abs(solid) / np.where(face, seen, 1.0), 1.0)


def _solid_angle(first: Array, second: Array, third: Array) -> Array:
    """Of triangles, by unit vectors (..., 3) to their corners."""
    inside = 1.0 + dot(first, second) + dot(second, third) + dot(third, first)
    return np.asarray(2.0 * np.arctan2(dot(first, cross(second, third)), inside))


def _unit(vectors: Array) -> Array:
    return np.asarray(vectors / np.sqrt(np.maximum(dot(vectors, vectors), 1e-30))[..., None])
