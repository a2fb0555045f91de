"""Where does the sun lie on the floor of the room while the shoot lasts?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from shapely.geometry import Point, Polygon

from recipes.checks.panes import panes_of, site_of
from recipes.checks.setup import Room, Setup
from recipes.light.pane import clip_polygon, compass_to_plan
from recipes.light.sun import sun_path
from recipes.light.sun_patch import floor_patch
from recipes.quantity import Array

__all__ = ["MOST_MOMENTS", "FloorSun", "moments_of", "sun_on_floor"]

MOST_MOMENTS = 5
"""More patches than this lie over each other on a plan."""

_SLIVER_M2 = 1e-4


@dataclass(frozen=True)
class FloorSun:
    """The patch of one window at one moment: corners on the floor in metres from the mark, its size, and how far its
    nearest point is from the mark (0 when the mark lies in it)."""

    at: datetime
    window: str
    outline_m: tuple[tuple[float, float], ...]
    area_m2: float
    from_mark_m: float


def moments_of(starts: datetime, ends: datetime) -> tuple[datetime, ...]:
    """Start and end, and between them whole hours of the wall clock in even steps; at most `MOST_MOMENTS`."""
    length = ends - starts
    if length <= timedelta(0):
        return (starts,)
    step_h = 1
    while length > timedelta(hours=step_h * (MOST_MOMENTS - 1)):
        step_h += 1
    # Hours are counted as instants: on a day on which the clocks change, too, none is missed or told twice.
    zone, until = starts.tzinfo, ends.timestamp()
    first = starts.replace(minute=0, second=0, microsecond=0).timestamp() + 3600.0
    between = np.arange(first, until, 3600.0 * step_h)
    # An hour right beside the start or the end would draw the same patch twice.
    beside = 900.0
    kept = [at for at in between if at - starts.timestamp() >= beside and until - at >= beside]
    return (starts, *(datetime.fromtimestamp(at, zone) for at in kept[: MOST_MOMENTS - 2]), ends)


def sun_on_floor(setup: Setup) -> tuple[FloorSun, ...] | None:
    """The sun's patches through the shoot on a cloudless day, in the order of time; empty when none reaches the floor.

    None when it cannot be told: no window, no hours, or no place on earth. Walls bound the patch; furniture, curtains
    and the houses outside are not known.
    """
    room = setup.room
    if room is None or room.outdoors or not room.windows or setup.starts is None or setup.ends is None:
        return None
    site = site_of(room)
    if site is None:
        return None
    moments = moments_of(setup.starts, setup.ends)
    sun = sun_path(site, moments)
    to_sun = compass_to_plan(sun.direction, room.north_deg)
    found = []
    for at, ray in zip(moments, to_sun, strict=True):
        for window, pane in zip(room.windows, panes_of(room), strict=True):
            corners = _inside(room, floor_patch(pane, ray, room_north_deg=room.north_deg)[:, :2])
            outline = tuple((float(x), float(y)) for x, y in corners)
            patch = Polygon(outline)
            if patch.area > _SLIVER_M2:
                found.append(
                    FloorSun(at, window.name, outline, float(patch.area), patch.distance(Point(0.0, 0.0)))
                )
    return tuple(found)


def _inside(room: Room, corners: Array) -> Array:
    """The part of a patch (n, 2) that lies between the walls."""
    left, far = room.mark_m[0], -room.mark_m[1]
    low, high = np.array([left - room.width_m, far]), np.array([left, far + room.depth_m])
    for across in np.eye(2):
        corners = clip_polygon(clip_polygon(corners, low, across), high, -across)
    return corners
