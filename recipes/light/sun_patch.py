"""When does the sun come through a window to the mark, and where does its patch lie?

Parallel rays through the corners of the pane: the patch on the floor, or on the upright plane through the mark that
faces the camera, is the pane's shape cast along them. Coordinates and orientation as in `pane`.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from recipes.light.bracket import Interval
from recipes.light.pane import WindowPane, clip_polygon, compass_to_plan
from recipes.light.sun import Site, SunPath, instants_through, sun_path
from recipes.quantity import Array, N, above_zero, finite, plain

__all__ = [
    "floor_patch",
    "patch_depth_m",
    "patch_on_plane",
    "profile_angle_deg",
    "subject_patch",
    "sun_intervals",
    "sun_reaches",
    "sun_visits",
]

FLOOR = (np.zeros(3), np.array([0.0, 0.0, 1.0]))
SUBJECT_PLANE = (np.zeros(3), np.array([0.0, 1.0, 0.0]))

EDGE_TOLERANCE_S = 1.0


def profile_angle_deg(sun_elevation_deg: N, sun_azimuth_deg: N, pane_azimuth_deg: float) -> N:
    """The sun's elevation projected on the plane across a wall window; NaN while the sun is behind the wall.

    Equation: ``tan p = tan(elevation) / cos(azimuth difference)``.
    """
    off = np.cos(
        np.radians(finite("sun_azimuth_deg", sun_azimuth_deg) - finite("pane_azimuth_deg", pane_azimuth_deg))
    )
    rise = np.tan(np.radians(finite("sun_elevation_deg", sun_elevation_deg)))
    before = off > 1e-12
    return plain(np.where(before, np.degrees(np.arctan2(rise, np.where(before, off, 1.0))), np.nan))


def patch_depth_m(head_m: float, profile_deg: float) -> float:
    """How far into the room the sun falls on the floor, from the height of the window's upper edge, in m.

    Raises ValueError when the profile angle is not above 0 (no sun through the window).
    """
    return float(above_zero("head_m", head_m)) / math.tan(
        math.radians(float(above_zero("profile_deg", profile_deg)))
    )


def sun_reaches(
    pane: WindowPane, sun: SunPath, point_m: tuple[float, float, float], *, room_north_deg: float
) -> NDArray[np.bool_]:
    """Whether the sun's centre is seen through the pane from a point, at each instant. Clouds are not asked."""
    to_sun = compass_to_plan(sun.direction, room_north_deg)
    passes = pane.passes(np.array(point_m, dtype=np.float64), to_sun, room_north_deg)
    return np.asarray(passes & (sun.apparent_elevation_deg > 0), dtype=np.bool_)


def sun_intervals(
    pane: WindowPane,
    site: Site,
    start: datetime,
    end: datetime,
    point_m: tuple[float, float, float],
    *,
    room_north_deg: float,
    step_s: float = 300.0,
) -> tuple[Interval, ...]:
    """When the sun comes through the pane to a point, between two instants, each edge to a second.

    A visit shorter than ``step_s`` may be missed.
    """
    # Four instants at least, to find the sun between them.
    step = min(step_s, max((end - start).total_seconds() / 4, 1.0))
    instants = [*instants_through(start, end, step)]
    if instants[-1] < end:
        instants.append(end.astimezone(UTC))
    return sun_visits(pane, sun_path(site, instants), point_m, room_north_deg=room_north_deg)


def sun_visits(
    pane: WindowPane, sun: SunPath, point_m: tuple[float, float, float], *, room_north_deg: float
) -> tuple[Interval, ...]:
    """When the sun comes through the pane to a point, each edge to a second, within a path of four instants or more.

    A visit shorter than the time between two instants may be missed.
    """
    instants = sun.instants
    lit = sun_reaches(pane, sun, point_m, room_north_deg=room_north_deg)
    changes = np.flatnonzero(lit[1:] != lit[:-1])
    before = [instants[i] for i in changes]
    after = [instants[i + 1] for i in changes]
    longest_s = max(((b - a).total_seconds() for a, b in pairwise(instants)), default=1.0)
    for _ in range(math.ceil(math.log2(longest_s / EDGE_TOLERANCE_S)) if len(changes) else 0):
        middle = [a + (b - a) / 2 for a, b in zip(before, after, strict=True)]
        reached = sun_reaches(pane, sun.between(middle), point_m, room_north_deg=room_north_deg)
        same = reached == lit[changes]
        before = [m if s else a for m, s, a in zip(middle, same, before, strict=True)]
        after = [b if s else m for m, s, b in zip(middle, same, after, strict=True)]
    edges = [_to_second(a + (b - a) / 2) for a, b in zip(before, after, strict=True)]
    if lit[0]:
        edges.insert(0, instants[0])
    if lit[-1]:
        edges.append(instants[-1])
    return tuple(Interval(edges[i], edges[i + 1]) for i in range(0, len(edges), 2))


def patch_on_plane(
    pane: WindowPane, to_sun: Array, plane_point: Array, plane_normal: Array, *, room_north_deg: float
) -> Array:
    """The sun's patch on a plane, as corners (n, 3) in the plan; (0, 3) when no sun gets there.

    ``to_sun`` is the plan unit vector towards the sun. The plane is lit from whichever side the pane is on.
    """
    outward = pane.outward(room_north_deg)
    slope = float(to_sun @ plane_normal)
    if to_sun @ outward <= 1e-9 or to_sun[2] <= 0 or abs(slope) < 1e-9:
        return np.zeros((0, 3))
    # Only the part of the pane that lies on the sun's side of the plane casts onto it.
    glass = clip_polygon(pane.corners(room_north_deg), plane_point, plane_normal * math.copysign(1.0, slope))
    if not len(glass):
        return glass
    travel = ((glass - plane_point) @ plane_normal) / slope
    return np.asarray(glass - travel[:, None] * to_sun, dtype=np.float64)


def floor_patch(pane: WindowPane, to_sun: Array, *, room_north_deg: float) -> Array:
    """The sun's patch on the floor, corners (n, 3) in the plan with z = 0; walls and furniture are not asked."""
    return patch_on_plane(pane, to_sun, *FLOOR, room_north_deg=room_north_deg)


def subject_patch(pane: WindowPane, to_sun: Array, *, room_north_deg: float) -> Array:
    """The sun's patch on the upright plane through the mark that faces the camera (y = 0), above the floor."""
    patch = patch_on_plane(pane, to_sun, *SUBJECT_PLANE, room_north_deg=room_north_deg)
    return clip_polygon(patch, *FLOOR) if len(patch) else patch


def _to_second(instant: datetime) -> datetime:
    return (instant + timedelta(microseconds=500_000)).replace(microsecond=0)
