"""How much light does a strobe give at a setting, and which setting gives the light that is wanted?

Settings are counted in stops from full power: 0 is full, -1 half, -6 one sixty-fourth. What a head gives at a setting
is what somebody metered there; between two readings it runs monotone, in stops; beyond the last reading nobody knows.
One reading alone stands for the whole scale, a stop a stop: that is what the scale promises, not what was measured.

Where there is no reading at all, energy times efficacy is the last resort, half a stop either way, and marked as
estimated.

Source: ISO 1230 (guide number), ISO 10157 (flash meters); F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980)
for the interpolation. Efficacy of xenon flash: tables of lamp efficacies give 30 to 50 lm/W.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from typing import Literal, Protocol

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from recipes.light.apex import MeterProfile
from recipes.light.emission import Emission
from recipes.light.geometry import Face
from recipes.light.source import PointEmitter, Source
from recipes.light.spread import combined_stops
from recipes.quantity import Array, above_zero, at_least_zero, finite

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

Step = Literal["1", "1/2", "1/3", "1/10"]
_STEPS: dict[Step, float] = {"1": 1.0, "1/2": 1 / 2, "1/3": 1 / 3, "1/10": 1 / 10}
_DUST = 1e-9


class SettingOutOfTable(ValueError):
    """A setting, or an output, that no reading covers."""


class OutputFigure(Protocol):
    """One line of a calibration: what a flash meter showed at a setting, on the axis, at ISO 100."""

    @property
    def setting_stops(self) -> float: ...
    @property
    def f_number_iso100(self) -> float: ...
    @property
    def distance_m(self) -> float: ...


@dataclass(frozen=True)
class SettingGrid:
    """The settings a head can be dialled to: full power and down in steps to the lowest."""

    lowest_stops: float
    step_stops: float

    def __post_init__(self) -> None:
        finite("lowest_stops", self.lowest_stops)
        above_zero("step_stops", self.step_stops)
        if self.lowest_stops > 0:
            raise ValueError(
                f"lowest_stops is {self.lowest_stops:g}; settings count down from full power, give 0 or less."
            )

    @classmethod
    def of(cls, lowest_stops: float, step: Step) -> SettingGrid:
        """From the step as a spec sheet writes it: "1", "1/2", "1/3" or "1/10"."""
        return cls(lowest_stops, _STEPS[step])

    @property
    def steps(self) -> int:
        """How many steps the lowest setting lies under full power."""
        return int(np.floor(-self.lowest_stops / self.step_stops + 1e-6))

    def settings(self) -> tuple[float, ...]:
        """Every setting, from full power down, in stops."""
        return tuple(0.0 - n * self.step_stops for n in range(self.steps + 1))

    def holds(self, setting_stops: float) -> bool:
        """Whether a setting lies inside the range, on the grid or between."""
        return self.lowest_stops - _DUST <= setting_stops <= _DUST

    def nearest(self, setting_stops: float) -> float:
        """The setting on the grid nearest to the one wanted, inside the range; between two, the brighter."""
        wanted = float(finite("setting_stops", setting_stops))
        steps = np.clip(np.ceil(-wanted / self.step_stops - 0.5 - _DUST), 0, self.steps)
        return 0.0 - float(steps) * self.step_stops

    def at_least(self, setting_stops: float) -> float | None:
        """The lowest setting on the grid that is no dimmer than the one wanted; None above full power."""
        wanted = float(finite("setting_stops", setting_stops))
        steps = int(np.clip(np.floor(-wanted / self.step_stops + _DUST), -1, self.steps))
        return None if steps < 0 else 0.0 - steps * self.step_stops


@dataclass(frozen=True)
class OutputCurve:
    """Output against setting, both in stops, from readings.

    ``settings_stops`` rise and ``output_stops`` rise with them (light in stops, from any zero). One point alone means a
    stop a stop. Raises ValueError when two points are at one setting or a higher setting gave no more light.
    """

    settings_stops: tuple[float, ...]
    output_stops: tuple[float, ...]

    def __post_init__(self) -> None:
        if not self.settings_stops or len(self.settings_stops) != len(self.output_stops):
            raise ValueError(
                "the settings and the outputs do not pair up; give one output for each of one or more settings."
            )
        finite("settings_stops", np.array(self.settings_stops))
        finite("output_stops", np.array(self.output_stops))
        pairs = list(zip(self.settings_stops, self.output_stops, strict=True))
        for (low, less), (high, more) in pairwise(pairs):
            if high <= low:
                raise ValueError(
                    f"two readings stand at {high:g} stops or out of order; keep one, lowest first."
                )
            if more <= less:
                raise ValueError(
                    f"the reading at {high:g} stops gives no more light than the one at {low:g}; read them again."
                )

    @property
    def is_nominal(self) -> bool:
        """Whether one reading stands for the whole scale."""
        return len(self.settings_stops) == 1

    @cached_property
    def _curve(self) -> PchipInterpolator:
        return PchipInterpolator(self.settings_stops, self.output_stops, extrapolate=False)

    def at(self, setting_stops: float) -> float:
        """Output at a setting, in stops. Raises `SettingOutOfTable` beyond the readings."""
        setting = float(finite("setting_stops", setting_stops))
        if self.is_nominal:
            return self.output_stops[0] + setting - self.settings_stops[0]
        if setting in self.settings_stops:
            return self.output_stops[self.settings_stops.index(setting)]
        return float(self._curve(self._inside("setting", setting, self.settings_stops)))

    def setting_for(self, output_stops: float) -> float:
        """The setting that gives this output. Raises `SettingOutOfTable` beyond the readings."""
        output = float(finite("output_stops", output_stops))
        if self.is_nominal:
            return self.settings_stops[0] + output - self.output_stops[0]
        wanted = self._inside("output", output, self.output_stops)
        low, high = self.settings_stops[0], self.settings_stops[-1]
        if wanted <= self.output_stops[0] + _DUST:
            return low
        if wanted >= self.output_stops[-1] - _DUST:
            return high
        return float(brentq(lambda setting: float(self._curve(setting)) - wanted, low, high, xtol=1e-12))

    @staticmethod
    def _inside(what: str, value: float, table: tuple[float, ...]) -> float:
        if not table[0] - _DUST <= value <= table[-1] + _DUST:
            raise SettingOutOfTable(
                f"the {what} {value:+.2f} stops lies beyond the readings, which run from {table[0]:+.2f} to "
                f"{table[-1]:+.2f}; meter the head there and add the reading."
            )
        return min(max(value, table[0]), table[-1])


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
        if self.heads < 1:
            raise ValueError(f"heads is {self.heads}; give 1 or more.")

    @property
    def lowest(self) -> float:
        """The lowest setting in stops."""
        return self.grid.lowest_stops

    @property
    def step(self) -> float:
        """The step of the settings in stops."""
        return self.grid.step_stops

    def flux_lms(self, setting_stops: float = 0.0) -> float:
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

    ``emitter`` is the face of the modifier that was on the head, None when it was small against the distance. With a
    guide number give it as f-number at 1 m (or any other distance: a point has no near field).
    """
    exposure = meter.lxs_of_flash(f_number, iso)
    return float(exposure / _lux_of_a_lumen(np.array([distance_m]), emitter, emission)[0])


def _lux_of_a_lumen(distances_m: Array, emitter: Face | None, emission: Emission | None) -> Array:
    """What one lumen that leaves the emitter gives on its axis, (n,) for distances (n,)."""
    above_zero("distance_m", distances_m)
    lamp = PointEmitter(np.zeros(3), np.array([0.0, 1.0, 0.0])) if emitter is None else emitter
    one = Source("one lumen", "flash", lamp, 1.0, emission)
    return one.light_at(one.centre + distances_m[:, None] * one.axis, -one.axis)


def flux_of_energy_lms(energy_ws: float, efficacy_lm_per_w: float = XENON_EFFICACY_LM_PER_W) -> float:
    """Flux from stored energy in W·s by efficacy in lm/W, in lm·s. An estimate; modifier losses are not in it."""
    return float(above_zero("energy_ws", energy_ws) * above_zero("efficacy_lm_per_w", efficacy_lm_per_w))


def strobe_from_readings(
    readings: Iterable[OutputFigure],
    grid: SettingGrid,
    meter: MeterProfile,
    emitter: Face | None = None,
    emission: Emission | None = None,
    spread_stops: float = READING_SPREAD_STOPS,
    heads: int = 1,
) -> Strobe:
    """A strobe from flash meter readings on its axis, all with the same modifier.

    ``emitter`` and ``emission`` are those of that modifier; see `flux_of_reading_lms`. Raises ValueError without any
    reading, or when the readings contradict each other.
    """
    lines = sorted(readings, key=lambda line: line.setting_stops)
    exposures = np.asarray(meter.lxs_of_flash(np.array([line.f_number_iso100 for line in lines])))
    fluxes = exposures / _lux_of_a_lumen(np.array([line.distance_m for line in lines]), emitter, emission)
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
