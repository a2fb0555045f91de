"""The room's windows and its place on earth, as the daylight functions take them."""

from __future__ import annotations

from recipes.checks.setup import Room
from recipes.light.glass import Glass
from recipes.light.pane import WindowPane
from recipes.light.sun import Site

__all__ = ["panes_of", "site_of"]


def panes_of(room: Room) -> tuple[WindowPane, ...]:
    """Every pane of the room; a skylight lies flat, with its length along the depth of the room."""
    return tuple(
        WindowPane.centred(
            window.centre_m,
            window.width_m,
            window.height_m,
            window.azimuth_deg,
            Glass(window.transmittance),
            tilt_deg=90.0 if window.skylight else 0.0,
        )
        for window in room.windows
    )


def site_of(room: Room) -> Site | None:
    """Where the room is on earth; None when nobody said."""
    if room.latitude_deg is None or room.longitude_deg is None:
        return None
    return Site(room.latitude_deg, room.longitude_deg, room.altitude_m)
