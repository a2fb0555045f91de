"""How much light does a strobe give at a setting, and which setting gives the light that is wanted?

Settings are counted in stops from full power: 0 is full, -1 half, -6 one sixty-fourth. What a head gives at a setting
is what somebody metered there; between two readings it runs monotone, in stops; beyond the last reading nobody knows.
One reading alone stands for the whole scale, a stop a stop: that is what the scale promises, not what was measured.

Where there is no reading at all, energy times efficacy is the last resort, half a stop either way, and marked as
estimated.

Source: ISO 1230 (guide number), ISO 10157 (flash meters). Efficacy of xenon flash: tables of lamp efficacies give 30
to 50 lm/W.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

import numpy as np

from recipes.light.apex import MeterProfile
from recipes.light.dome import on_axis_over_flat
from recipes.light.emission import Emission
from recipes.light.geometry import Face
from recipes.light.lamps import Lamps
from recipes.light.output_curve import OutputCurve, SettingGrid, SettingOutOfTable
from recipes.light.source import PointEmitter, Source
from recipes.light.spread import combined_stops
from recipes.quantity import Array, above_zero, at_least_zero, finite, whole

__all__ = [
    "EFFICACY_SPREAD_STOPS",
    "NOMINAL_SCALE_SPREAD_STOPS",
    "READING_SPREAD_STOPS",
    "XENON_EFFICACY_LM_PER_W",
    "OutputCurve",
    "OutputFigure",
    "SettingGrid",
    "SettingOutOfTable",
    "Strobe",
    "flux_of_energy_lms",
    "flux_of_reading_lms",
    "strobe_from_energy",
    "strobe_from_readings",
]

XENON_EFFICACY_LM_PER_W = 35.0
EFFICACY_SPREAD_STOPS = 0.5
"""Xenon flash gives 30 to 50 lm/W; 35 is half a stop from the far end."""

READING_SPREAD_STOPS = 0.1
"""A flash meter shows tenths of a stop: common practice, no source."""

NOMINAL_SCALE_SPREAD_STOPS = 0.15
"""What a head's own scale may be off from a stop a stop: common practice, no source."""


class OutputFigure(Protocol):
    """One line of a calibration: what a flash meter showed at a setting, on the axis, at ISO 100."""

    @property
    def setting_stops(self) -> float: ...
    @property
    def f_number_iso100(self) -> float: ...
    @property
    def distance_m(self) -> float: ...


Figure = TypeVar("Figure", bound=OutputFigure)


@dataclass(frozen=True)
class Strobe:
    """A head with its modifier, as metered: what leaves the face at each setting.

    ``curve`` gives log2 of the flux in lm·s. ``estimated`` is True when no reading stands behind it.
    ``spread_stops`` is one standard deviation of the flux.
    """

    curve: OutputCurve
    grid: SettingGrid
    spread_stops: float
    estimated: bool = False
    heads: int = field(default=1)

    def __post_init__(self) -> None:
        at_least_zero("spread_stops", self.spread_stops)
        whole("heads", self.heads, at_least=1)

    @property
    def lowest(self) -> float:
        """The lowest setting in stops."""
        return self.grid.lowest_stops

    @property
    def step(self) -> float:
        """The step of the settings in stops."""
        return self.grid.step_stops

    def flux_lms(self, setting_stops: float) -> float:
        """Flux at a setting, of all its heads together, in lm·s. Raises `SettingOutOfTable`."""
        self._in_range(setting_stops)
        return float(self.heads * 2.0 ** self.curve.at(setting_stops))

    def output_stops(self, setting_stops: float) -> float:
        """Output at a setting against full power, in stops: 0 at full, negative below."""
        self._in_range(setting_stops)
        return self.curve.at(setting_stops) - self.curve.at(0.0)

    def setting_for(self, output_stops: float) -> float:
        """The setting, not held to the grid, that gives an output against full power, both in stops.

        More than full power, or less than the lowest setting, is answered a stop a stop from the end: how much is
        missing, not a setting that exists. Raises `SettingOutOfTable` where readings are missing inside the range.
        """
        wanted = float(finite("output_stops", output_stops))
        if wanted > 0:
            return wanted
        least = self.output_stops(self.lowest)
        if wanted < least:
            return self.lowest + wanted - least
        return self.curve.setting_for(self.curve.at(0.0) + wanted)

    def nearest_setting(self, setting_stops: float) -> float:
        """The setting on the head's own grid and inside its range nearest to the one wanted."""
        return self.grid.nearest(setting_stops)

    def _in_range(self, setting_stops: float) -> None:
        if not self.grid.holds(setting_stops):
            raise SettingOutOfTable(
                f"the setting {setting_stops:+.2f} stops is not one this head has; it runs from 0 (full) down to "
                f"{self.lowest:+.2f}."
            )


def flux_of_reading_lms(
    f_number: float,
    distance_m: float,
    meter: MeterProfile,
    emitter: Face | None = None,
    emission: Emission | None = None,
    iso: float = 100.0,
) -> float:
    """Flux that must leave the emitter for a flash meter on its axis to show this f-number at this distance, in lm·s.

    A dome close to a large face shows more than a flat receptor does. ``emitter`` is the face of the modifier that was
    on the head, None when it was small against the distance. With a guide number give it as f-number at 1 m (or any
    other distance: a point has no near field).
    """
    exposure = meter.lxs_of_flash(f_number, iso)
    return float(exposure / _of_a_lumen(np.array([distance_m]), [meter], emitter, emission)[0])


def _of_a_lumen(
    distances_m: Array, meters: Sequence[MeterProfile], emitter: Face | None, emission: Emission | None
) -> Array:
    """What one lumen that leaves the emitter gives meters on its axis, (n,) in lux, for distances (n,)."""
    above_zero("distance_m", distances_m)
    lamp = PointEmitter(np.zeros(3), np.array([0.0, 1.0, 0.0])) if emitter is None else emitter
    one = Source("one lumen", "flash", lamp, 1.0, emission)
    points = one.centre + distances_m[:, None] * one.axis
    domes = np.array([meter.receptor == "dome" for meter in meters])
    return one.light_at(points, -one.axis) * np.where(domes, on_axis_over_flat(Lamps([one]), points)[0], 1.0)


def flux_of_energy_lms(energy_ws: float, efficacy_lm_per_w: float = XENON_EFFICACY_LM_PER_W) -> float:
    """Flux from stored energy in W·s by efficacy in lm/W, in lm·s. An estimate; modifier losses are not in it."""
    return float(above_zero("energy_ws", energy_ws) * above_zero("efficacy_lm_per_w", efficacy_lm_per_w))


def strobe_from_readings(
    readings: Iterable[Figure],
    grid: SettingGrid,
    meter: MeterProfile | Callable[[Figure], MeterProfile],
    emitter: Face | None = None,
    emission: Emission | None = None,
    spread_stops: float = READING_SPREAD_STOPS,
    heads: int = 1,
) -> Strobe:
    """A strobe from flash meter readings on its axis, all with the same modifier.

    ``meter`` is the one that they were taken with, or says of each reading which. ``emitter`` and ``emission`` are
    those of that modifier; see `flux_of_reading_lms`. Raises ValueError without any reading, or when the readings
    contradict each other.
    """
    lines = sorted(readings, key=lambda line: line.setting_stops)
    meters = [meter if isinstance(meter, MeterProfile) else meter(line) for line in lines]
    exposures = np.array(
        [one.lxs_of_flash(line.f_number_iso100) for one, line in zip(meters, lines, strict=True)]
    )
    distances = np.array([line.distance_m for line in lines])
    fluxes = exposures / _of_a_lumen(distances, meters, emitter, emission)
    curve = _curve([line.setting_stops for line in lines], fluxes.tolist())
    scale = NOMINAL_SCALE_SPREAD_STOPS if curve.is_nominal else 0.0
    return Strobe(curve, grid, float(combined_stops(spread_stops, scale)), heads=heads)


def strobe_from_energy(
    energy_ws: float,
    grid: SettingGrid,
    efficacy_lm_per_w: float = XENON_EFFICACY_LM_PER_W,
    modifier_efficiency: float = 1.0,
    spread_stops: float = EFFICACY_SPREAD_STOPS,
    heads: int = 1,
) -> Strobe:
    """A strobe that nobody has metered: energy at full power by efficacy, less what the modifier keeps. Estimated."""
    flux = flux_of_energy_lms(energy_ws, efficacy_lm_per_w) * float(
        above_zero("modifier_efficiency", modifier_efficiency)
    )
    return Strobe(_curve([0.0], [flux]), grid, spread_stops, estimated=True, heads=heads)


def _curve(settings: Sequence[float], fluxes: Sequence[float]) -> OutputCurve:
    return OutputCurve(tuple(settings), tuple(float(np.log2(flux)) for flux in fluxes))
