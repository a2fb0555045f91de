"""What somebody says about a place and a room, as plain values."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["CircuitEntry", "PlaceEntry", "RoomEntry", "WindowEntry"]


@dataclass(frozen=True)
class PlaceEntry:
    """A house: its zone decides the wall clock, its country the rules that apply."""

    name: str
    zone: str = "UTC"
    country: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    altitude_m: float = 0.0
    directions: str = ""
    travel_minutes: int = 0


@dataclass(frozen=True)
class WindowEntry:
    """A pane of glass, measured as `studio.places.models.RoomWindow` says."""

    name: str
    wall: str
    offset_m: float
    sill_m: float
    width_m: float
    height_m: float
    transmittance: float = 0.8


@dataclass(frozen=True)
class CircuitEntry:
    """A fused supply."""

    name: str
    voltage_v: float = 230.0
    rated_a: float = 16.0
    breaker: str = "B"
    sockets: int = 2


@dataclass(frozen=True)
class RoomEntry:
    """A room with its windows and circuits, measured as `studio.places.models.Room` says."""

    name: str
    width_m: float
    depth_m: float
    height_m: float
    mark_x_m: float
    mark_y_m: float
    beam_height_m: float | None = None
    wall_reflectance: float = 0.5
    floor_reflectance: float = 0.2
    ceiling_reflectance: float = 0.7
    north_deg: float = 0.0
    outdoors: bool = False
    temperature_c: float | None = None
    wind_m_per_s: float | None = None
    windows: tuple[WindowEntry, ...] = ()
    circuits: tuple[CircuitEntry, ...] = ()
