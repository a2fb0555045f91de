"""Which settings has a head, and how much does it give at each?

Settings are counted in stops from full power: 0 is full, -1 half, -6 one sixty-fourth. Between two readings the output
runs monotone, in stops; beyond the last reading nobody knows. One reading alone stands for the whole scale, a stop a
stop.

Source: F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) for the interpolation.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from recipes.quantity import above_zero, finite

__all__ = ["OutputCurve", "SettingGrid", "SettingOutOfTable", "Step"]

Step = Literal["1", "1/2", "1/3", "1/10"]
_STEPS: dict[Step, float] = {"1": 1.0, "1/2": 1 / 2, "1/3": 1 / 3, "1/10": 1 / 10}
_DUST = 1e-9


class SettingOutOfTable(ValueError):
    """A setting, or an output, that no reading covers."""


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
        return PchipInterpolator(self.settings_stops, self.output_stops)

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
