"""How does the ambient that was read in a zone go on over the room, when it comes in by the windows?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from recipes.checks.exposure import meter_of
from recipes.checks.lighting import Lighting
from recipes.checks.panels import panels_of
from recipes.checks.panes import panes_of
from recipes.checks.setup import Setup
from recipes.checks.stage import room_box, zone_points
from recipes.light.dome import OVER_FLAT_STOPS
from recipes.light.ev_map import FloorGrid, window_map
from recipes.light.scene import Scene
from recipes.light.sky import OVERCAST, Sky
from recipes.light.window_room import WindowsInRoom, windows_in_room
from recipes.look import AmbientReading, Zone
from recipes.quantity import Array

__all__ = ["NO_AMBIENT", "SKY", "Ambient", "ambient_of", "windows_of"]

SKY = Sky(OVERCAST, np.array([[0.0, 0.0, 1.0]]), np.array([10_000.0]), np.array([0.0]))
"""Only how the light falls off counts, not how much there is."""


@dataclass(frozen=True, eq=False)
class Ambient:
    """``amount`` is ``2**P`` of the ambient where it was read. ``windows`` are what it comes in by, and ``read_lux`` is
    what the meter would read of them there; None: nobody knows where it comes from, and it is taken as even.
    ``spread_stops`` is one standard deviation of the reading, the same for every point."""

    amount: float
    windows: WindowsInRoom | None = None
    read_lux: float = 1.0
    spread_stops: float = 0.0

    def at(self, points: Array, normals: Array) -> Array:
        """``2**P`` for faces at points (n, 3) along unit normals (n, 3), (n,)."""
        if self.windows is None:
            return np.full(len(points), self.amount)
        return np.asarray(self.amount * self.windows.lux_at(points, normals) / self.read_lux)

    def over(self, grid: FloorGrid, height_m: float, facing: Array) -> Array | float:
        """The same over a plan, (ny, nx), at one height for one facing (3,)."""
        if self.windows is None:
            return self.amount
        return np.asarray(self.amount * window_map(self.windows, grid, height_m, facing) / self.read_lux)


NO_AMBIENT = Ambient(0.0)


def windows_of(setup: Setup, lighting: Lighting) -> WindowsInRoom | None:
    """The room as its windows light it under a covered sky, for receivers near the zones; None where there are no
    windows, or no zone stands in the room."""
    room = room_box(setup.room)
    if room is None or setup.room is None or not setup.room.windows:
        return None
    points, _ = zone_points(setup.look.zones)
    points = points[~room.outside(points)]
    if not len(points):
        return None
    return windows_in_room(
        panes_of(setup.room),
        SKY,
        _without_lamps(setup, lighting, Scene((), room=room)),
        points,
        room_north_deg=setup.room.north_deg,
    )


def ambient_of(
    setup: Setup, lighting: Lighting, zone: Zone, by: Callable[[], WindowsInRoom | None] | None = None
) -> Ambient:
    """The ambient of a zone. It comes in by the windows when its reading names the hour, as one of daylight does, the
    room has windows and they light the zone. ``by`` gives `windows_of` the setup where that is there already."""
    lit = lighting.zone(zone.name)
    amount = lit.ambient or 0.0
    reading = next((one for one in setup.look.ambient if one.zone == zone.name), None)
    even = Ambient(amount, spread_stops=lit.ambient_spread_stops)
    points, normals = zone_points((zone,))
    room = room_box(setup.room)
    if amount <= 0 or reading is None or reading.at is None or room is None or room.outside(points).any():
        return even
    windows = by() if by else windows_of(setup, lighting)
    if windows is None:
        return even
    read_lux = _read_lux(windows, points, normals, setup, reading)
    return replace(even, windows=windows, read_lux=read_lux) if read_lux > 0 else even


def _read_lux(
    windows: WindowsInRoom, points: Array, normals: Array, setup: Setup, reading: AmbientReading
) -> float:
    """What the meter would read of the windows: a map is of flat faces, and a dome sees what comes from aside too."""
    by_dome = setup.look.zone(reading.zone).reading == "incident" and meter_of(setup).receptor == "dome"
    if by_dome and reading.lux is None:
        return float(windows.read_by_dome_lux(points, normals)[0])
    # Lux are of a flat receptor, and were raised for the dome of the shoot.
    return float(windows.lux_at(points, normals)[0]) * (2.0**OVER_FLAT_STOPS if by_dome else 1.0)


def _without_lamps(setup: Setup, lighting: Lighting, empty: Scene) -> Scene:
    """What stands in the room."""
    if lighting.stage is not None:
        return lighting.stage.scene
    boards, scrims = panels_of(setup)
    return replace(empty, boards=boards, scrims=scrims)
