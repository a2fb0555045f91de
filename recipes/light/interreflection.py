"""How much light does a room add by throwing it to and fro?

First bounces have a geometry and are computed from it (`recipes.light.bounce`). From the second bounce on, light is
exchanged between patches of floor, ceiling and walls and the boards between them, each evenly bright: with F the
configuration factors between patches, past what stands in the way, rho their reflectances and B_1 what the first bounce
left on them,

    B = rho F B_1 + rho F B        (radiosity)

Over a patch that is not quite even: it rises and falls towards its neighbours, and receivers see it at the points at
which they see the first bounce. In a box of one reflectance this is what the integrating-sphere formula
``Phi / A · rho / (1 - rho)`` has after its first term, ``Phi / A · rho² / (1 - rho)``, to a tenth of a stop at the
median and half a stop at most; the first term depends on where one stands and looks, so the whole formula is a stop off
and more. A room with things in it is known to no better than half a stop, so it comes with its spread.

The factors are those of `recipes.light.room_patches`. All lamps are solved for at once, with a column each.

Source: R. Siegel, J. R. Howell, *Thermal Radiation Heat Transfer* (enclosures of grey diffuse surfaces); sphere formula
of lighting handbooks; a path tracer in tests/reference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from recipes.light.bounce import LitSurfaces, Surface
from recipes.light.box_factors import PATCHES_A_SIDE
from recipes.light.geometry import Polygon, rectangle
from recipes.light.obstruction import Blocker
from recipes.light.room_patches import RoomPatches
from recipes.quantity import Array, N, above_zero, at_least_zero, plain, within

__all__ = ["ROOM_SPREAD_STOPS", "RoomBox", "later_bounces", "sphere_light"]

ROOM_SPREAD_STOPS = 0.5
"""One standard deviation of what a room adds: reflectances guessed by eye, furniture left out."""

MOST_REFLECTANCE = 0.98


@dataclass(frozen=True)
class RoomBox:
    """A room as a box of matt surfaces, seen from the mark.

    ``mark_m``: metres from the mark to the left and to the far wall, as the camera sees them, so the left wall is at
    x = +mark_m[0] and the far wall at y = -mark_m[1]. ``walls`` are the reflectances of left, right, far, near wall.
    """

    width_m: float
    depth_m: float
    height_m: float
    mark_m: tuple[float, float]
    floor_reflectance: float = 0.2
    ceiling_reflectance: float = 0.7
    walls: tuple[float, float, float, float] = (0.5, 0.5, 0.5, 0.5)
    spread_stops: float = ROOM_SPREAD_STOPS

    def __post_init__(self) -> None:
        above_zero("width_m", self.width_m)
        above_zero("depth_m", self.depth_m)
        above_zero("height_m", self.height_m)
        within("the mark's distance from the left wall", self.mark_m[0], 0.0, self.width_m)
        within("the mark's distance from the far wall", self.mark_m[1], 0.0, self.depth_m)
        within("floor_reflectance", self.floor_reflectance, 0.0, MOST_REFLECTANCE)
        within("ceiling_reflectance", self.ceiling_reflectance, 0.0, MOST_REFLECTANCE)
        for reflectance in self.walls:
            within("a wall's reflectance", reflectance, 0.0, MOST_REFLECTANCE)
        at_least_zero("spread_stops", self.spread_stops)

    @property
    def low(self) -> Array:
        """The corner with the smallest coordinates, (3,)."""
        return np.array([self.mark_m[0] - self.width_m, -self.mark_m[1], 0.0])

    @property
    def high(self) -> Array:
        """The corner with the largest coordinates, (3,)."""
        return np.asarray(self.low + np.array([self.width_m, self.depth_m, self.height_m]))

    @cached_property
    def surfaces(self) -> tuple[tuple[str, Polygon, float], ...]:
        """Name, face looking inwards, reflectance, of floor, ceiling and the left, right, far and near wall."""
        low, high = self.low, self.high
        middle = (low + high) / 2.0
        width, depth, height = self.width_m, self.depth_m, self.height_m
        x, y, z = np.eye(3)
        left, right, far, near = self.walls
        return (
            ("floor", rectangle([*middle[:2], low[2]], z, width, depth), self.floor_reflectance),
            ("ceiling", rectangle([*middle[:2], high[2]], -z, width, depth), self.ceiling_reflectance),
            ("left wall", rectangle([high[0], middle[1], middle[2]], -x, depth, height), left),
            ("right wall", rectangle([low[0], middle[1], middle[2]], x, depth, height), right),
            ("far wall", rectangle([middle[0], low[1], middle[2]], y, width, height), far),
            ("near wall", rectangle([middle[0], high[1], middle[2]], -y, width, height), near),
        )

    @property
    def area_m2(self) -> float:
        """Area of all six surfaces in m²."""
        width, depth, height = self.width_m, self.depth_m, self.height_m
        return 2.0 * (width * depth + width * height + depth * height)

    @property
    def mean_reflectance(self) -> float:
        """Reflectance of the room, weighted by area."""
        return float(sum(face.area_m2 * rho for _, face, rho in self.surfaces) / self.area_m2)

    def outside(self, points: Array) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Which points (..., 3) lie outside the box."""
        slack = 1e-6
        return np.asarray(np.any((points < self.low - slack) | (points > self.high + slack), axis=-1))


def sphere_light(flux_lm: N, area_m2: N, reflectance: N) -> N:
    """Light on every surface of a closed room from all bounces, first ones included: ``Phi / A · rho / (1 - rho)``.

    Parameters: flux in lm (or lm·s), area of all surfaces in m², mean reflectance below 1. In lux (or lx·s).
    """
    rho = within("reflectance", reflectance, 0.0, MOST_REFLECTANCE)
    return plain(at_least_zero("flux_lm", flux_lm) / above_zero("area_m2", area_m2) * rho / (1.0 - rho))


def later_bounces(
    room: RoomBox,
    walls: LitSurfaces,
    sides: Sequence[Surface] = (),
    sent_lm: Array | None = None,
    between: Sequence[Blocker] = (),
) -> LitSurfaces:
    """The room's walls with what they send out after two bounces or more.

    Parameters: the room's six surfaces as the sources light them, in the order of `RoomBox.surfaces`; the sides of
    boards and scrims that take part; flux (sources, sides) in lm that leaves each of those before the room has lit it;
    what stands between the patches.
    """
    patches = RoomPatches(room.low, room.high, tuple(between))
    reflectance = np.repeat([rho for _, _, rho in room.surfaces], PATCHES_A_SIDE**2)
    nodes = walls.nodes
    sent = walls.exitance @ patches.shares_of(nodes.points, nodes.areas_m2, nodes.faces)
    factors = patches.factors
    if sides:
        factors = patches.with_sides(sides)
        reflectance = np.append(reflectance, [side.reflectance for side in sides])
        given = np.zeros((len(sent), len(sides))) if sent_lm is None else sent_lm
        sent = np.concatenate([sent, given / [side.face.area_m2 for side in sides]], axis=1)
    exchange = np.eye(len(reflectance)) - reflectance[:, None] * factors
    found = np.linalg.solve(exchange, reflectance[:, None] * (factors @ sent.T)).T
    of_patches = np.asarray(found[:, : len(patches.areas_m2)], dtype=np.float64)
    return replace(walls, exitance=patches.carried_to(nodes.points, nodes.faces, of_patches))
