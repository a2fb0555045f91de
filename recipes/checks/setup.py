"""What a check is given: a recipe, the units assigned to it, the room and the time, as plain frozen values.

A `Setup` holds no database row and no clock: the same one always gives the same findings. Whoever builds it
(the service, a test, an import) takes care that it says what is true.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Generic, TypeVar

from gear.specs import (
    AdapterSpec,
    BatterySpec,
    BoardSpec,
    BoomSpec,
    CableSpec,
    CameraSpec,
    ChargerSpec,
    ContinuousSpec,
    DistributionSpec,
    GelSpec,
    LensSpec,
    MeterSpec,
    ModifierSpec,
    NdSpec,
    ReceiverSpec,
    ScrimSpec,
    SpecSheet,
    StandSpec,
    StrobeSpec,
    TriggerSpec,
    WeightSpec,
)
from recipes.look import Light, Look, Panel

__all__ = [
    "AssignedLight",
    "AssignedPanel",
    "BatteryState",
    "Circuit",
    "PackedUnit",
    "Room",
    "Setup",
    "Unit",
    "Window",
]

S_co = TypeVar("S_co", bound=SpecSheet, covariant=True)


@dataclass(frozen=True)
class Unit(Generic[S_co]):
    """One physical thing with its tag and its sheet.

    ``fit_for_use`` is False while it is in quarantine, repair, lost or written off, and ``why_not`` says so.
    ``promised`` is True when this shoot holds it for its whole blocked interval; else ``clash`` says who has it.
    ``type_slug`` and ``type_name`` name its gear type. ``inspection_due`` is the day (YYYY-MM-DD) by which it must
    be inspected again, empty when nothing is due. ``health`` is the share of the rated capacity that a battery
    still holds, as last measured; ``channel`` the radio channel that is set on it.
    """

    tag: str
    type_slug: str
    type_name: str
    spec: S_co
    fit_for_use: bool = True
    why_not: str = ""
    promised: bool = True
    clash: str = ""
    inspection_due: str = ""
    health: float | None = None
    case_tag: str = ""
    channel: int | None = None


@dataclass(frozen=True)
class BatteryState:
    """A battery at this shoot: ``temperature_c`` is where it will work; None when nobody has said."""

    unit: Unit[BatterySpec]
    temperature_c: float | None = None


@dataclass(frozen=True)
class AssignedLight:
    """A light of the recipe with the units that will make it; what is None has not been assigned."""

    plan: Light
    heads: tuple[Unit[StrobeSpec] | Unit[ContinuousSpec], ...] = ()
    modifier: Unit[ModifierSpec] | None = None
    board: Unit[BoardSpec] | None = None
    scrim: Unit[ScrimSpec] | None = None
    gels: tuple[Unit[GelSpec], ...] = ()
    adapter: Unit[AdapterSpec] | None = None
    stand: Unit[StandSpec] | None = None
    board_stand: Unit[StandSpec] | None = None
    boom: Unit[BoomSpec] | None = None
    weights: tuple[Unit[WeightSpec], ...] = ()
    batteries: tuple[BatteryState, ...] = ()
    receiver: Unit[ReceiverSpec] | None = None
    cables: tuple[Unit[CableSpec], ...] = ()
    circuit: str = ""


@dataclass(frozen=True)
class AssignedPanel:
    """A board, flag or scrim of the recipe with the unit that will be it, and what holds it."""

    plan: Panel
    unit: Unit[BoardSpec] | Unit[ScrimSpec] | None = None
    stand: Unit[StandSpec] | None = None
    weights: tuple[Unit[WeightSpec], ...] = ()


@dataclass(frozen=True)
class Window:
    """A pane in a wall. ``centre_m`` is (x, y, z) from the mark; ``azimuth_deg`` is the compass bearing of the
    direction the pane looks out to."""

    name: str
    width_m: float
    height_m: float
    sill_m: float
    centre_m: tuple[float, float, float]
    azimuth_deg: float
    transmittance: float = 0.8
    skylight: bool = False


@dataclass(frozen=True)
class Circuit:
    """A fused supply in the room. ``breaker`` is its tripping type; ``place`` the rule set that applies."""

    name: str
    voltage_v: float
    rated_a: float
    breaker: str
    sockets: int


@dataclass(frozen=True)
class Room:
    """The room of the shoot, seen from the mark.

    ``mark_m`` is where the mark stands: metres from the left wall and from the far wall, as the camera sees them.
    The left wall is then at x = +mark_m[0] and the far wall at y = -mark_m[1] of the mark's own frame.
    ``north_deg`` is the compass bearing of the mark-to-camera line.
    """

    name: str
    width_m: float
    depth_m: float
    height_m: float
    mark_m: tuple[float, float]
    wall_reflectance: float
    floor_reflectance: float
    ceiling_reflectance: float
    windows: tuple[Window, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    country: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    altitude_m: float = 0.0
    north_deg: float = 0.0
    outdoors: bool = False
    wind_m_per_s: float | None = None
    temperature_c: float | None = None
    beam_height_m: float | None = None


@dataclass(frozen=True)
class PackedUnit:
    """A unit that the shoot has promised, whatever its job: what the packing list will hold."""

    unit: Unit[SpecSheet]
    job: str


@dataclass(frozen=True)
class Setup:
    """Everything the checks may look at, for one recipe at one shoot."""

    look: Look
    lights: tuple[AssignedLight, ...]
    panels: tuple[AssignedPanel, ...] = ()
    room: Room | None = None
    starts: datetime | None = None
    ends: datetime | None = None
    camera: Unit[CameraSpec] | None = None
    lens: Unit[LensSpec] | None = None
    meter: Unit[MeterSpec] | None = None
    trigger: Unit[TriggerSpec] | None = None
    nd: tuple[Unit[NdSpec], ...] = ()
    chargers: tuple[Unit[ChargerSpec], ...] = ()
    distribution: tuple[Unit[DistributionSpec], ...] = ()
    packed: tuple[PackedUnit, ...] = field(default=())
    channels_in_the_building: tuple[tuple[str, int, str], ...] = ()
    """Other shoots at the same time in the same building: (radio system, channel, whose)."""
    hours_until_next_shoot: float | None = None
    travels_by_air: bool = False
    travellers: int = 1
    """How many people share the batteries out among them in the air."""

    @cached_property
    def units(self) -> tuple[Unit[SpecSheet], ...]:
        """Every unit that has a job here, once each, in the order of the jobs."""
        found: dict[str, Unit[SpecSheet]] = {}
        for unit in self._jobs():
            if unit is not None:
                found.setdefault(unit.tag, unit)
        return tuple(found.values())

    def _jobs(self) -> Iterator[Unit[SpecSheet] | None]:
        yield from (self.camera, self.lens, self.meter, self.trigger)
        yield from self.nd
        yield from self.chargers
        yield from self.distribution
        for light in self.lights:
            yield from light.heads
            yield from (light.modifier, light.board, light.scrim, light.adapter, light.stand)
            yield from (light.board_stand, light.boom, light.receiver)
            yield from light.gels
            yield from light.weights
            yield from light.cables
            yield from (battery.unit for battery in light.batteries)
        for panel in self.panels:
            yield from (panel.unit, panel.stand)
            yield from panel.weights
        yield from (packed.unit for packed in self.packed)
