"""What leaves the face of a light: from the sheets of its head, modifier, scrim and gels."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from math import log2, prod

from gear.specs import ContinuousSpec, FigureSource, ModifierSpec, OutputPoint, StrobeSpec
from recipes.checks.exposure import receptor_of
from recipes.checks.setup import AssignedLight, Unit
from recipes.checks.sheet_spread import spread_of, stated_spread
from recipes.light.apex import MeterProfile
from recipes.light.emission import Emission, beam
from recipes.light.gels import GEL_SPREAD_STOPS
from recipes.light.geometry import Face, disc, rectangle, regular_polygon
from recipes.light.scrim import SCRIM_SPREAD_STOPS
from recipes.light.spread import combined_stops
from recipes.light.strobe import (
    EFFICACY_SPREAD_STOPS,
    OutputCurve,
    SettingGrid,
    Strobe,
    flux_of_energy_lms,
    strobe_from_readings,
)

__all__ = ["HeadOutput", "HeadOutputs", "Missing", "emission_of", "face_of", "head_output"]

_ORIGIN, _AHEAD = (0.0, 0.0, 0.0), (0.0, 1.0, 0.0)


class Missing(ValueError):
    """A figure or a unit that the sum needs and nobody has given; the text names it."""


@dataclass(frozen=True)
class HeadOutput:
    """A light's heads with all that is on them: flux against setting (lm·s of flash, lm of a light that burns)."""

    strobe: Strobe
    spread_stops: float
    estimated: bool

    @property
    def full_flux(self) -> float:
        """Flux at full power."""
        return self.strobe.flux_lms(0.0)


def face_of(modifier: ModifierSpec, centre_m: object = _ORIGIN, normal: object = _AHEAD) -> Face:
    """The emitting face of a modifier, in its place."""
    if modifier.shape == "disc":
        return disc(centre_m, normal, modifier.width_m)  # type: ignore[arg-type]
    if modifier.corners is not None:
        return regular_polygon(centre_m, normal, modifier.corners, modifier.width_m)  # type: ignore[arg-type]
    return rectangle(centre_m, normal, modifier.width_m, modifier.height_m or modifier.width_m)  # type: ignore[arg-type]


def emission_of(modifier: ModifierSpec | None, head: StrobeSpec | ContinuousSpec) -> Emission | None:
    """The shape of the beam: the modifier's, else the bare head's; None for a face that spreads evenly."""
    if modifier is None:
        return beam(head.beam_angle_deg)
    return beam(modifier.beam_angle_deg) if modifier.beam_angle_deg is not None else None


def head_output(light: AssignedLight, meter: MeterProfile) -> HeadOutput:
    """What the assigned heads give through what is on them. Raises `Missing`."""
    return HeadOutputs(meter).of(light)


class HeadOutputs:
    """What heads give under one meter. Six heads of one kind with one modifier are reckoned once."""

    def __init__(self, meter: MeterProfile) -> None:
        self.meter = meter
        self._known: list[tuple[tuple[object, ...], HeadOutput]] = []

    def of(self, light: AssignedLight) -> HeadOutput:
        """What the assigned heads give through what is on them. Raises `Missing`."""
        if not light.heads:
            raise Missing("a head")
        if light.plan.modifier is not None and light.modifier is None:
            raise Missing("a modifier")
        outputs = [self._one(head, light) for head in light.heads]
        first = outputs[0]
        total = sum(output.full_flux for output in outputs) * _passed(light)
        lift = log2(total / first.full_flux)
        curve = OutputCurve(
            first.strobe.curve.settings_stops,
            tuple(stops + lift for stops in first.strobe.curve.output_stops),
        )
        return HeadOutput(
            replace(first.strobe, curve=curve),
            spread_stops=float(
                combined_stops(max(output.spread_stops for output in outputs), *_filter_spreads(light))
            ),
            estimated=any(output.estimated for output in outputs),
        )

    def _one(self, head: Unit[StrobeSpec] | Unit[ContinuousSpec], light: AssignedLight) -> HeadOutput:
        modifier = light.modifier
        wanted = (
            head.spec,
            modifier and modifier.spec,
            modifier and modifier.type_slug,
            _hangs_on_beam(light),
        )
        for sheets, output in self._known:
            if sheets == wanted:
                return output
        output = _one(head, light, self.meter)
        self._known.append((wanted, output))
        return output


def _passed(light: AssignedLight) -> float:
    """The share of the light that scrim and gels let through; assigned units go before the recipe's wishes."""
    gels = (
        [gel.spec.transmittance for gel in light.gels]
        if light.gels
        else [gel.transmittance for gel in light.plan.gels]
    )
    scrim = light.scrim.spec.transmittance if light.scrim else light.plan.scrim_transmittance or 1.0
    return prod(gels) * scrim


def _filter_spreads(light: AssignedLight) -> list[float]:
    """One standard deviation in stops of what each gel and the scrim let through."""
    if light.gels:
        spreads = [stated_spread(gel.spec.source_of("transmittance"), GEL_SPREAD_STOPS) for gel in light.gels]
    else:
        spreads = [GEL_SPREAD_STOPS] * len(light.plan.gels)
    if light.scrim:
        spreads.append(stated_spread(light.scrim.spec.source_of("transmittance"), SCRIM_SPREAD_STOPS))
    elif light.plan.scrim_transmittance:
        spreads.append(SCRIM_SPREAD_STOPS)
    return spreads


def _one(
    head: Unit[StrobeSpec] | Unit[ContinuousSpec], light: AssignedLight, meter: MeterProfile
) -> HeadOutput:
    modifier = light.modifier.spec if light.modifier else None
    slug = light.modifier.type_slug if light.modifier else "bare"
    if isinstance(head.spec, ContinuousSpec):
        return _burning(head.spec, modifier)
    spec = head.spec
    grid = SettingGrid.of(spec.lowest_setting_stops, spec.step)
    with_it = [point for point in spec.output if point.modifier == slug]
    if with_it and modifier is not None:
        return _metered(spec, with_it, grid, meter, face_of(modifier), emission_of(modifier, spec), 1.0, None)
    bare = [point for point in spec.output if point.modifier == "bare"]
    source = light.modifier.spec.source_of("efficiency") if light.modifier else None
    efficiency = modifier.efficiency if modifier else 1.0
    if bare:
        shape = spread_of(spec.source_of("beam_angle_deg")) if _hangs_on_beam(light) else 0.0
        return _metered(spec, bare, grid, meter, None, beam(spec.beam_angle_deg), efficiency, source, shape)
    if spec.efficacy_lm_per_w is not None:
        flux = flux_of_energy_lms(spec.energy_ws, spec.efficacy_lm_per_w) * efficiency
        spread = combined_stops(EFFICACY_SPREAD_STOPS, spread_of(source) if source else 0.0)
        return HeadOutput(
            Strobe(OutputCurve((0.0,), (log2(flux),)), grid, float(spread), True), float(spread), True
        )
    raise Missing(f"a meter reading of {head.type_name} bare or with what is on it, or its efficacy")


def _hangs_on_beam(light: AssignedLight) -> bool:
    """Whether all that leaves the head counts, where a bare reading tells what goes along its axis only: the beam angle
    makes the one of the other."""
    return light.modifier is not None or light.plan.bounce is not None


def _metered(
    spec: StrobeSpec,
    points: list[OutputPoint],
    grid: SettingGrid,
    meter: MeterProfile,
    face: Face | None,
    emission: Emission | None,
    efficiency: float,
    efficiency_source: FigureSource | None,
    shape_spread_stops: float = 0.0,
) -> HeadOutput:
    source = spec.source_of("output")
    strobe = strobe_from_readings(points, grid, partial(_read_with, meter), face, emission, spread_of(source))
    lowest = strobe.curve.settings_stops[0]
    if not strobe.curve.is_nominal and (
        lowest > grid.lowest_stops + 1e-9 or strobe.curve.settings_stops[-1] < -1e-9
    ):
        raise Missing(
            f"a meter reading at both ends of its scale (it has {lowest:+.1f} to "
            f"{strobe.curve.settings_stops[-1]:+.1f} of {grid.lowest_stops:+.1f} to 0)"
        )
    curve = OutputCurve(
        strobe.curve.settings_stops, tuple(stops + log2(efficiency) for stops in strobe.curve.output_stops)
    )
    of_efficiency = spread_of(efficiency_source) if efficiency_source else 0.0
    spread = combined_stops(strobe.spread_stops, of_efficiency, shape_spread_stops)
    estimated = source.basis == "estimated" or (
        efficiency_source is not None and efficiency_source.basis == "estimated"
    )
    return HeadOutput(replace(strobe, curve=curve), float(spread), estimated)


def _read_with(meter: MeterProfile, point: OutputPoint) -> MeterProfile:
    """The meter that a reading was taken with: the one it names, else that of the shoot."""
    if point.c_incident is None and point.receptor is None:
        return meter
    c_incident = meter.c_incident if point.c_incident is None else point.c_incident
    return replace(meter, c_incident=c_incident, receptor=receptor_of(point.receptor, c_incident))


def _burning(spec: ContinuousSpec, modifier: ModifierSpec | None) -> HeadOutput:
    flux = spec.flux_lm * (modifier.efficiency if modifier else 1.0)
    grid = SettingGrid.of(spec.lowest_setting_stops, spec.step)
    sources = [spec.source_of("flux_lm"), *([modifier.source_of("efficiency")] if modifier else [])]
    spread = float(combined_stops(*(spread_of(source) for source in sources)))
    return HeadOutput(
        Strobe(OutputCurve((0.0,), (log2(flux),)), grid, spread),
        spread,
        any(source.basis == "estimated" for source in sources),
    )
