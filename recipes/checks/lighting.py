"""What the lights of a setup give each zone at full power, and what is there without them.

Everything is in ``q = 2**P``, the light that would put a zone at placement P with the recipe's camera, so that parts
add.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from recipes.checks.exposure import exposure_of, flash_loss_stops, lens_loss_stops, meter_of
from recipes.checks.heads import HeadOutput, HeadOutputs, Missing
from recipes.checks.panels import panels_of
from recipes.checks.setup import AssignedLight, Setup
from recipes.checks.stage import board_of, places_to_move, room_box, source_of, zone_points
from recipes.light.apex import Exposure, MeterProfile
from recipes.light.dome import OVER_FLAT_SPREAD_STOPS, OVER_FLAT_STOPS, read_by_dome
from recipes.light.geometry import TowardsNowhere
from recipes.light.scene import (
    Board,
    Illumination,
    LitScene,
    Scene,
    Scrim,
    Source,
    light_scene,
    luminance_of,
)
from recipes.light.spread import combined_stops
from recipes.light.strobe import Strobe
from recipes.look import AmbientReading, Light, Target, Zone

__all__ = [
    "Lighting",
    "LitZone",
    "SetLight",
    "Staged",
    "light_up",
    "lit_stage",
    "stage_lights",
]


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
    """A light of the recipe with its heads: ``at_full`` is ``2**P`` that it alone gives each zone at full power.

    ``by_way`` is the same by the way it comes: straight, off each board, through each scrim, off the room. ``output``
    is how its light follows its setting; None when a unit or figure is missing, as ``missing`` says.
    ``head_spread_stops`` is one standard deviation of what leaves it, ``spread_stops`` that of what it gives its main
    zone.
    """

    name: str
    plan: Light
    output: Strobe | None
    at_full: Mapping[str, float]
    by_way: Mapping[str, tuple[float, ...]]
    main_zone: str
    head_spread_stops: float
    spread_stops: float
    estimated: bool
    missing: str
    unit_tags: tuple[str, ...]

    def full_of(self, zone: str) -> float:
        """``2**P`` on a zone at full power."""
        return self.at_full.get(zone, 0.0)


@dataclass(frozen=True)
class Lighting:
    """All zones and all lights of a setup.

    ``way_spreads_stops`` is one standard deviation of each way that light comes: of a board's reflectance, of a scrim,
    of the room; ``lens_spread_stops`` that of what the lens takes, the same for all. ``stage`` is the scene with every
    light at full power, its boards and its room lit, so that other points can be asked for; None where nothing stands
    on it, or not inside the room.
    """

    zones: tuple[LitZone, ...]
    lights: tuple[SetLight, ...]
    way_spreads_stops: tuple[float, ...]
    lens_spread_stops: float
    stage: LitScene | None = field(default=None, compare=False, repr=False)

    def zone(self, name: str) -> LitZone:
        """The zone of that name; raises KeyError."""
        return self._zones_by_name[name]

    def full(self, light: str, zone: str) -> float:
        """``2**P`` that a light alone gives a zone at full power; nothing where lamps change nothing."""
        return self._lights_by_name[light].full_of(zone)

    def with_output(self, light: str, output: HeadOutput, times: float) -> Lighting:
        """The same with other heads behind the modifier of one light, which give ``times`` as much at full power."""
        lights = (self._given(one, output, times) if one.name == light else one for one in self.lights)
        return replace(self, lights=tuple(lights))

    def _given(self, light: SetLight, output: HeadOutput, times: float) -> SetLight:
        by_way = {zone: tuple(way * times for way in ways) for zone, ways in light.by_way.items()}
        own, main = output.spread_stops, by_way.get(light.main_zone, ())
        return replace(
            light,
            output=output.strobe,
            at_full={zone: sum(ways) for zone, ways in by_way.items()},
            by_way=by_way,
            head_spread_stops=own,
            spread_stops=_spread_of(own, main, self.way_spreads_stops),
            estimated=output.estimated,
        )

    @cached_property
    def _zones_by_name(self) -> dict[str, LitZone]:
        return {zone.name: zone for zone in self.zones}

    @cached_property
    def _lights_by_name(self) -> dict[str, SetLight]:
        return {light.name: light for light in self.lights}


@dataclass(frozen=True)
class Staged:
    """The lights of a setup in their places at full power, as far as units and figures are there.

    ``outputs`` by the name of the light; ``missing`` says for every other light what it lacks.
    """

    sources: tuple[Source, ...]
    boards: tuple[Board, ...]
    scrims: tuple[Scrim, ...]
    outputs: Mapping[str, HeadOutput]
    missing: Mapping[str, str]


def stage_lights(setup: Setup) -> Staged:
    """Heads, faces, boards and scrims in their places."""
    of_heads = HeadOutputs(meter_of(setup))
    outputs: dict[str, HeadOutput] = {}
    sources: list[Source] = []
    boards: list[Board] = []
    missing: dict[str, str] = {}
    for light in setup.lights:
        try:
            output = of_heads.of(light)
            source = source_of(light, output, setup.look)
            board = board_of(light)
        except (Missing, TowardsNowhere) as lack:
            missing[light.plan.name] = str(lack)
            continue
        outputs[light.plan.name] = output
        sources.append(source)
        if board is not None:
            boards.append(board)
    standing, scrims = panels_of(setup)
    return Staged(tuple(sources), (*boards, *standing), scrims, outputs, missing)


def light_up(setup: Setup) -> Lighting:
    """The terms of every sum, for the setup's camera, meter, units and room.

    A light that lacks a unit or a figure stays in, with ``missing`` saying which; it lights nothing.
    """
    meter, exposure = meter_of(setup), exposure_of(setup)
    staged = stage_lights(setup)
    stage, found, trouble = _illumination(setup, staged)
    zones = tuple(_zone(zone, setup, exposure, meter) for zone in setup.look.zones)
    return Lighting(
        zones=zones,
        lights=tuple(
            _set_light(
                light,
                setup,
                staged.outputs.get(light.plan.name),
                found,
                exposure,
                meter,
                staged.missing.get(light.plan.name, trouble),
            )
            for light in setup.lights
        ),
        way_spreads_stops=found.way_spreads_stops if found is not None else (),
        lens_spread_stops=lens_loss_stops(setup)[1],
        stage=stage,
    )


def lit_stage(setup: Setup, staged: Staged) -> LitScene:
    """The scene with its boards and its room lit, for receivers in the zones and where the subject may move.

    Raises ValueError when a light stands outside the room.
    """
    scene = Scene(staged.sources, staged.boards, room=room_box(setup.room), scrims=staged.scrims)
    points, _ = zone_points(setup.look.zones)
    takes_light = np.array([not zone.glows for zone in setup.look.zones])
    return light_scene(scene, points[takes_light], places_to_move(setup))


def _illumination(setup: Setup, staged: Staged) -> tuple[LitScene | None, Illumination | None, str]:
    """The stage and the light on every zone, or what stands in the way of computing it."""
    if not staged.sources:
        return None, None, ""
    try:
        stage = lit_stage(setup, staged)
        return stage, _on_zones(stage, setup), ""
    except ValueError as error:
        return None, None, f"a place inside the room: {error}"


def _on_zones(stage: LitScene, setup: Setup) -> Illumination:
    """The light on every zone; where a dome reads it, what that makes of it."""
    points, normals = zone_points(setup.look.zones)
    found = stage.at(points, normals)
    read = np.flatnonzero([zone.reading == "incident" for zone in setup.look.zones])
    if meter_of(setup).receptor == "flat" or not len(read):
        return found
    amounts = found.amounts.copy()
    amounts[:, :, read] = read_by_dome(stage, points[read], normals[read]).amounts
    return replace(found, amounts=amounts)


def _set_light(
    light: AssignedLight,
    setup: Setup,
    output: HeadOutput | None,
    found: Illumination | None,
    exposure: Exposure,
    meter: MeterProfile,
    missing: str,
) -> SetLight:
    by_way: dict[str, tuple[float, ...]] = {}
    spreads: tuple[float, ...] = ()
    if output is not None and found is not None:
        spreads = found.way_spreads_stops
        amounts = found.by_way(light.plan.name) * 2.0 ** -flash_loss_stops(light, setup)
        for zone, ways in zip(setup.look.zones, amounts.T, strict=True):
            factor = _parts(zone, 1.0, light.plan.source == "strobe", exposure, meter)
            by_way[zone.name] = tuple(float(way) * factor for way in ways)
    at_full = {zone: sum(ways) for zone, ways in by_way.items()}
    main_zone = _main_zone(light.plan, setup, at_full)
    own = output.spread_stops if output else 0.0
    return SetLight(
        name=light.plan.name,
        plan=light.plan,
        output=output.strobe if output is not None else None,
        at_full=at_full,
        by_way=by_way,
        main_zone=main_zone,
        head_spread_stops=own,
        spread_stops=_spread_of(own, by_way.get(main_zone, ()), spreads),
        estimated=output.estimated if output else False,
        missing=missing,
        unit_tags=tuple(head.tag for head in light.heads),
    )


def _spread_of(own: float, ways: Sequence[float], spreads: Sequence[float]) -> float:
    """One standard deviation of what a light gives a zone: of itself, and of each way by its share."""
    total = sum(ways)
    if total <= 0:
        return own
    shares = [way / total for way in ways]
    return float(combined_stops(own, *(s * spread for s, spread in zip(shares, spreads, strict=True))))


def _parts(zone: Zone, amount: float, flash: bool, exposure: Exposure, meter: MeterProfile) -> float:
    """``2**P`` of an amount of light on a zone: lx·s of flash, lux of light that burns."""
    if zone.glows:
        return 0.0
    seen = amount if flash else amount * float(exposure.time_s)
    if zone.reading == "incident":
        return float(seen * exposure.gain / meter.c_incident)
    return float(luminance_of(zone.reflectance, seen) * exposure.gain / meter.k_reflected)


def _main_zone(plan: Light, setup: Setup, at_full: Mapping[str, float]) -> str:
    """The zone a light is there for: the first it lifts, the one it is aimed at, else the one it lights most."""
    if plan.lifts:
        return plan.lifts[0].zone
    if plan.aim is not None and not setup.look.zone(plan.aim).glows:
        return plan.aim
    lit = [zone.name for zone in setup.look.zones if not zone.glows and not zone.stays_dark]
    return max(lit, key=lambda name: at_full.get(name, 0.0), default="")


def _zone(zone: Zone, setup: Setup, exposure: Exposure, meter: MeterProfile) -> LitZone:
    reading = next((one for one in setup.look.ambient if one.zone == zone.name), None)
    ambient = None if reading is None else _ambient(zone, reading, exposure, meter)
    spread = reading.spread_stops if reading else 0.0
    if ambient is not None and reading is not None and reading.lux is not None and meter.receptor == "dome":
        ambient *= 2.0**OVER_FLAT_STOPS
        spread = float(combined_stops(spread, OVER_FLAT_SPREAD_STOPS))
    return LitZone(
        name=zone.name,
        reading=zone.reading,
        target=zone.target,
        stays_dark=zone.stays_dark,
        glows=zone.glows,
        ambient=ambient,
        ambient_spread_stops=spread,
        missing="" if reading else f"an ambient reading of {zone.name} (0 lux in a blacked-out room)",
    )


def _ambient(zone: Zone, reading: AmbientReading, exposure: Exposure, meter: MeterProfile) -> float:
    """``2**P`` of what the meter read with every lamp off."""
    incident = zone.reading == "incident"
    constant = meter.c_incident if incident else meter.k_reflected
    if reading.triple is not None:
        read = reading.triple
        steady = constant * read.f_number**2 / (read.iso_exact * read.time_s)
    elif reading.ev100 is not None:
        steady = constant / 100.0 * 2.0**reading.ev100
    else:
        steady = (reading.lux if incident else reading.cd_m2) or 0.0
    return float(np.float64(steady) * exposure.time_s * exposure.gain / constant)
