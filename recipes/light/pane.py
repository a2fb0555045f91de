"""Where is a window, what part of it does a point see, and which way does each part look?

Plan and compass. The plan has its origin on the floor at the mark, +y from the mark to the camera, +x at bearing 90
degrees (bearings clockwise, seen from above), z up. ``room_north_deg`` is the compass azimuth of the mark-to-camera
line, so

    compass azimuth = room_north_deg + bearing
    east  =  x cos r + y sin r
    north = -x sin r + y cos r          r = room_north_deg
    up    =  z

A camera that stands due south of the mark (it looks north) has room_north_deg 180; a window on its right hand side,
at bearing 270 seen from the mark, then looks out east, azimuth 90.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from recipes.light.glass import Glass
from recipes.quantity import Array, above_zero, at_least_zero, finite, within

__all__ = [
    "PARTS",
    "PaneSamples",
    "Part",
    "WindowPane",
    "bearing_of_azimuth_deg",
    "clip_polygon",
    "compass_to_plan",
    "plan_to_compass",
    "sample_pane",
]

Part = Literal["sky", "ground"]
"""What a ray through the glass ends at."""

PARTS: tuple[Part, ...] = ("sky", "ground")


def bearing_of_azimuth_deg(azimuth_deg: float, room_north_deg: float) -> float:
    """The plan bearing (0 to 360) of a compass azimuth."""
    return float((finite("azimuth_deg", azimuth_deg) - finite("room_north_deg", room_north_deg)) % 360.0)


def plan_to_compass(vectors: Array, room_north_deg: float) -> Array:
    """Plan vectors (..., 3) as (east, north, up)."""
    r = math.radians(room_north_deg)
    turn = np.array([[math.cos(r), math.sin(r), 0.0], [-math.sin(r), math.cos(r), 0.0], [0.0, 0.0, 1.0]])
    return np.asarray(vectors @ turn.T, dtype=np.float64)


def compass_to_plan(vectors: Array, room_north_deg: float) -> Array:
    """Vectors (..., 3) given as (east, north, up), in the plan."""
    return plan_to_compass(vectors, -room_north_deg)


@dataclass(frozen=True)
class WindowPane:
    """A rectangle of glass, without depth: what a deep reveal takes of slanting light is not taken off.

    ``x_m``, ``y_m`` is the middle of the pane in the plan, ``sill_m`` the height of its lowest edge above the
    floor. ``azimuth_deg`` is the true compass azimuth that the pane looks out to. ``tilt_deg`` leans its outward
    side to the sky: 0 for a wall, 90 for a flat skylight, whose ``height_m`` then runs along the azimuth and whose
    ``sill_m`` is its height above the floor.
    """

    width_m: float
    height_m: float
    sill_m: float
    x_m: float
    y_m: float
    azimuth_deg: float
    glass: Glass = field(default_factory=Glass)
    tilt_deg: float = 0.0

    def __post_init__(self) -> None:
        above_zero("width_m", self.width_m)
        above_zero("height_m", self.height_m)
        at_least_zero("sill_m", self.sill_m)
        for name in ("x_m", "y_m", "azimuth_deg"):
            finite(name, getattr(self, name))
        within("tilt_deg", self.tilt_deg, 0, 90)

    @classmethod
    def centred(
        cls,
        centre_m: tuple[float, float, float],
        width_m: float,
        height_m: float,
        azimuth_deg: float,
        glass: Glass,
        tilt_deg: float,
    ) -> WindowPane:
        """A pane known by its middle, (x, y, z) in the plan."""
        x, y, z = centre_m
        sill = z - height_m / 2 * math.cos(math.radians(tilt_deg))
        return cls(width_m, height_m, sill, x, y, azimuth_deg, glass, tilt_deg)

    @property
    def centre(self) -> Array:
        """The middle of the pane, (3,) in the plan."""
        rise = self.height_m / 2 * math.cos(math.radians(self.tilt_deg))
        return np.array([self.x_m, self.y_m, self.sill_m + rise])

    @property
    def area_m2(self) -> float:
        """Its area in square metres."""
        return self.width_m * self.height_m

    def outward(self, room_north_deg: float) -> Array:
        """The unit normal to the outside, (3,) in the plan."""
        bearing = math.radians(bearing_of_azimuth_deg(self.azimuth_deg, room_north_deg))
        tilt = math.radians(self.tilt_deg)
        level = math.cos(tilt)
        return np.array([math.sin(bearing) * level, math.cos(bearing) * level, math.sin(tilt)])

    def sides(self, room_north_deg: float) -> tuple[Array, Array]:
        """Unit vectors along the width and up the height, (3,) each in the plan."""
        bearing = math.radians(bearing_of_azimuth_deg(self.azimuth_deg, room_north_deg))
        along = np.array([math.cos(bearing), -math.sin(bearing), 0.0])
        return along, np.cross(along, self.outward(room_north_deg))

    def corners(self, room_north_deg: float) -> Array:
        """The four corners in order, (4, 3) in the plan."""
        along, up = self.sides(room_north_deg)
        half_w, half_h = along * self.width_m / 2, up * self.height_m / 2
        around = np.array([-half_w - half_h, half_w - half_h, half_w + half_h, -half_w + half_h])
        return np.asarray(self.centre + around, dtype=np.float64)

    def passes(self, point: Array, directions: Array, room_north_deg: float) -> NDArray[np.bool_]:
        """Whether the ray from a point inside goes out through the pane, for each plan direction (n, 3)."""
        outward = self.outward(room_north_deg)
        along, up = self.sides(room_north_deg)
        ahead = directions @ outward
        depth = float((self.centre - point) @ outward)
        leaves = (ahead > 1e-9) & (depth > 0)
        hit = point + directions * (depth / np.where(leaves, ahead, 1.0))[:, None] - self.centre
        within_width = np.abs(hit @ along) <= self.width_m / 2
        within_height = np.abs(hit @ up) <= self.height_m / 2
        return np.asarray(leaves & within_width & within_height, dtype=np.bool_)


@dataclass(frozen=True)
class PaneSamples:
    """Rays from a point out through the pane.

    ``directions`` (n, 3) are plan unit vectors, ``solid_angle_sr`` (n,) what each stands for,
    ``incidence_deg`` (n,) the angle to the pane's normal. Empty when the point sees nothing of it.
    """

    directions: Array
    solid_angle_sr: Array
    incidence_deg: Array


def clip_polygon(polygon: Array, point: Array, normal: Array) -> Array:
    """The part of a convex polygon (n, 3) on the side of a plane that its normal points to; may be empty.

    In a plane (n, 2) that of a line."""
    heights = (polygon - point) @ normal
    kept: list[Array] = []
    for i in range(len(polygon)):
        j = (i + 1) % len(polygon)
        if heights[i] >= 0:
            kept.append(polygon[i])
        if (heights[i] >= 0) != (heights[j] >= 0):
            kept.append(polygon[i] + (polygon[j] - polygon[i]) * heights[i] / (heights[i] - heights[j]))
    return np.array(kept) if len(kept) >= 3 else polygon[:0]


def sample_pane(
    pane: WindowPane, point: Array, room_north_deg: float, part: Part, facing: Array | None = None
) -> PaneSamples:
    """Rays from a point through that part of the pane which shows sky, or ground.

    The horizon is at the height of the point. With ``facing`` (a unit normal) only what lies before that face
    counts. Quadrature: triangles cut until none is larger than its distance, 64 Gauss points in each.
    """
    outward = pane.outward(room_north_deg)
    if (pane.centre - point) @ outward <= 1e-9:
        return _nothing()
    upward = np.array([0.0, 0.0, 1.0 if part == "sky" else -1.0])
    polygon = clip_polygon(pane.corners(room_north_deg), point, upward)
    if facing is not None and len(polygon):
        polygon = clip_polygon(polygon, point, facing)
    triangles = [
        piece
        for i in range(1, len(polygon) - 1)
        for piece in _small_triangles(polygon[[0, i, i + 1]] - point)
    ]
    if not triangles:
        return _nothing()
    offsets, areas = _gauss_points(np.array(triangles))
    distance = np.linalg.norm(offsets, axis=1)
    directions = offsets / distance[:, None]
    cosine = np.clip(directions @ outward, 0.0, 1.0)
    return PaneSamples(
        directions=directions,
        solid_angle_sr=areas * cosine / distance**2,
        incidence_deg=np.degrees(np.arccos(cosine)),
    )


def _nothing() -> PaneSamples:
    return PaneSamples(np.zeros((0, 3)), np.zeros(0), np.zeros(0))


def _small_triangles(triangle: Array, depth: int = 40) -> list[Array]:
    """The triangle, seen from the origin, in pieces no longer than their distance."""
    edges = np.linalg.norm(triangle - np.roll(triangle, -1, axis=0), axis=1)
    longest = int(np.argmax(edges))
    if depth == 0 or edges[longest] <= 0.8 * np.linalg.norm(triangle.mean(axis=0)):
        return [triangle]
    a, b, c = np.roll(triangle, -longest, axis=0)
    middle = (a + b) / 2
    halves = (np.array([a, middle, c]), np.array([middle, b, c]))
    return [piece for half in halves for piece in _small_triangles(half, depth - 1)]


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
_U, _V = (grid.ravel() for grid in np.meshgrid((_NODES + 1) / 2, (_NODES + 1) / 2, indexing="ij"))
_UV_WEIGHTS = np.outer(_WEIGHTS / 2, _WEIGHTS / 2).ravel() * _U * 2


def _gauss_points(triangles: Array) -> tuple[Array, Array]:
    """Points (n, 3) and the area each stands for, from triangles (m, 3, 3)."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    areas = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    points = (
        a[:, None, :]
        + _U[None, :, None] * (b - a)[:, None, :]
        + (_U * _V)[None, :, None] * (c - b)[:, None, :]
    )
    return points.reshape(-1, 3), (areas[:, None] * _UV_WEIGHTS[None, :]).ravel()
