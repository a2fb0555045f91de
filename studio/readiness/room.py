"""A room's record as the calculation sees it: from the mark, in metres and compass degrees."""

from __future__ import annotations

from recipes.checks.setup import Circuit, Window
from recipes.checks.setup import Room as RoomSeen
from studio.places.models import Room, RoomWindow

__all__ = ["room_seen_from_the_mark"]

_OUTWARD_BEARING = {
    RoomWindow.Wall.NEAR: 0.0,
    RoomWindow.Wall.LEFT: 90.0,
    RoomWindow.Wall.FAR: 180.0,
    RoomWindow.Wall.RIGHT: 270.0,
}


def room_seen_from_the_mark(room: Room) -> RoomSeen:
    """The room's plain values; windows and circuits must be prefetched by whoever cares about queries."""
    return RoomSeen(
        name=str(room),
        width_m=room.width_m,
        depth_m=room.depth_m,
        height_m=room.height_m,
        mark_m=(room.mark_x_m, room.mark_y_m),
        wall_reflectance=room.wall_reflectance,
        floor_reflectance=room.floor_reflectance,
        ceiling_reflectance=room.ceiling_reflectance,
        windows=tuple(_window(room, window) for window in room.windows.all()),
        circuits=tuple(
            Circuit(c.name, c.voltage_v, c.rated_a, c.breaker, c.sockets) for c in room.circuits.all()
        ),
        country=room.place.country,
        latitude_deg=room.place.latitude_deg,
        longitude_deg=room.place.longitude_deg,
        altitude_m=room.place.altitude_m,
        north_deg=room.north_deg,
        outdoors=room.outdoors,
        wind_m_per_s=room.wind_m_per_s,
        temperature_c=room.temperature_c,
        beam_height_m=room.beam_height_m,
    )


def _window(room: Room, window: RoomWindow) -> Window:
    across, along = _centre_from_left_and_far(room, window)
    roof = window.wall == RoomWindow.Wall.ROOF
    height = room.height_m if roof else window.sill_m + window.height_m / 2
    bearing = 0.0 if roof else _OUTWARD_BEARING[RoomWindow.Wall(window.wall)]
    return Window(
        name=window.name,
        width_m=window.width_m,
        height_m=window.height_m,
        sill_m=room.height_m if roof else window.sill_m,
        centre_m=(room.mark_x_m - across, along - room.mark_y_m, height),
        azimuth_deg=(room.north_deg + bearing) % 360,
        transmittance=window.transmittance,
        skylight=roof,
    )


def _centre_from_left_and_far(room: Room, window: RoomWindow) -> tuple[float, float]:
    """Metres from the left wall and from the far wall to the pane's centre."""
    middle = window.offset_m + window.width_m / 2
    match window.wall:
        case RoomWindow.Wall.FAR:
            return middle, 0.0
        case RoomWindow.Wall.NEAR:
            return room.width_m - middle, room.depth_m
        case RoomWindow.Wall.LEFT:
            return 0.0, room.depth_m - middle
        case RoomWindow.Wall.RIGHT:
            return room.width_m, middle
        case _:
            return middle, window.sill_m + window.height_m / 2
