"""How long does a strobe burn at a setting, and of what colour is it there?

Both come from the unit's own table, straight between two lines of it and nowhere else. They cannot be worked out from
the power: voltage-controlled heads burn longer and warmer at low settings, switched ones shorter and bluer.

Source: ISO 2827 (t0.5 and t0.1); behaviour of both designs is common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from recipes.light.pulse import FlashDuration, T01Estimate

__all__ = ["Colour", "ColourFigure", "DurationFigure", "colour_at", "t01_at"]

_DUST = 1e-9


class DurationFigure(Protocol):
    """One line of a unit's duration table; at least one of the two is stated."""

    @property
    def setting_stops(self) -> float: ...
    @property
    def t01_s(self) -> float | None: ...
    @property
    def t05_s(self) -> float | None: ...


class ColourFigure(Protocol):
    """One line of a unit's colour table."""

    @property
    def setting_stops(self) -> float: ...
    @property
    def cct_k(self) -> float: ...
    @property
    def duv(self) -> float: ...


@dataclass(frozen=True)
class Colour:
    """Correlated colour temperature in K and distance from the Planckian locus."""

    cct_k: float
    duv: float


def t01_at(
    table: Sequence[DurationFigure], setting_stops: float, cut_off: bool = False
) -> T01Estimate | None:
    """t0.1 at a setting; None where the table does not reach.

    Lines with t0.1 are used alone where they reach; else t0.5, which gives t0.1 only within a band (``cut_off``: the
    unit ends its flash by a switch). Between lines the time runs straight in its logarithm.
    """
    published = _between([(line.setting_stops, line.t01_s) for line in table], setting_stops)
    if published is not None:
        return FlashDuration(published, "t0.1").as_t01()
    half = _between([(line.setting_stops, line.t05_s) for line in table], setting_stops)
    if half is None:
        return None
    return FlashDuration(half, "t0.5").as_t01(2.0**setting_stops if cut_off else None)


def colour_at(table: Sequence[ColourFigure], setting_stops: float) -> Colour | None:
    """Colour at a setting; None where the table does not reach. Straight in mired, as lights shift, and in Duv."""
    lines = sorted(table, key=lambda line: line.setting_stops)
    settings = [line.setting_stops for line in lines]
    if not _reaches(settings, setting_stops):
        return None
    mired = np.interp(setting_stops, settings, [1e6 / line.cct_k for line in lines])
    return Colour(float(1e6 / mired), float(np.interp(setting_stops, settings, [line.duv for line in lines])))


def _between(lines: Sequence[tuple[float, float | None]], setting_stops: float) -> float | None:
    known = sorted((setting, seconds) for setting, seconds in lines if seconds is not None)
    settings = [setting for setting, _ in known]
    if not _reaches(settings, setting_stops):
        return None
    return float(np.exp2(np.interp(setting_stops, settings, np.log2([seconds for _, seconds in known]))))


def _reaches(settings: Sequence[float], setting_stops: float) -> bool:
    return bool(settings) and settings[0] - _DUST <= setting_stops <= settings[-1] + _DUST
