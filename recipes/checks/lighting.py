"""What the lights of a setup give each zone at full power, and what is there without them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from recipes.checks.setup import Setup
from recipes.look import Light, Target

__all__ = ["Lighting", "LitZone", "OutputCurve", "SetLight", "light_up"]


class OutputCurve(Protocol):
    """How a head's output follows its setting. Settings and outputs in stops from full power."""

    @property
    def lowest(self) -> float: ...
    @property
    def step(self) -> float: ...
    def output_stops(self, setting_stops: float) -> float: ...
    def setting_for(self, output_stops: float) -> float: ...
    def nearest_setting(self, setting_stops: float) -> float: ...


@dataclass(frozen=True)
class LitZone:
    """A zone with what it has without the lamps: ``ambient`` is ``2**P`` of the ambient alone, None when unread."""

    name: str
    reading: str
    target: Target
    stays_dark: bool
    glows: bool
    ambient: float | None
    ambient_spread_stops: float
    missing: str


@dataclass(frozen=True)
class SetLight:
    """A light of the recipe with its heads: ``at_full`` is ``2**P`` that it alone gives each zone at full power."""

    name: str
    plan: Light
    output: OutputCurve
    at_full: Mapping[str, float]
    main_zone: str
    spread_stops: float
    estimated: bool
    missing: str
    unit_tags: tuple[str, ...]

    def full_of(self, zone: str) -> float:
        """``2**P`` on a zone at full power."""
        return self.at_full.get(zone, 0.0)


@dataclass(frozen=True)
class Lighting:
    """All zones and all lights of a setup."""

    zones: tuple[LitZone, ...]
    lights: tuple[SetLight, ...]

    def zone(self, name: str) -> LitZone:
        """The zone of that name; raises KeyError."""
        return {zone.name: zone for zone in self.zones}[name]

    def full(self, light: str, zone: str) -> float:
        """``2**P`` that a light alone gives a zone at full power; nothing where lamps change nothing."""
        if self.zone(zone).glows:
            return 0.0
        return {one.name: one for one in self.lights}[light].full_of(zone)


def light_up(setup: Setup) -> Lighting:
    """The terms of every sum, for the setup's camera, meter, units and room."""
    raise NotImplementedError
