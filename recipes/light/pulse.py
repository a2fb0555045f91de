"""How long is a flash, and how do its two published durations relate?

ISO 2827 knows two: t0.5, the time above half of the peak ("effective"), and t0.1, the time above a tenth of
it ("total"). They measure different things: their ratio is 1 for a cut-off pulse, about 3.3 for an ideal
discharge, 2.2 to 3.3 for real ones. So a duration always carries its criterion here, and two are compared
only when it is the same one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import brentq

from recipes.quantity import Array, N, above_zero, at_least_zero, finite, plain, share

__all__ = [
    "EXPONENTIAL_RATIO",
    "RATIO_WHEN_UNKNOWN",
    "REAL_PULSE_RATIO",
    "Criterion",
    "FlashDuration",
    "T01Estimate",
    "cut_time_over_decay",
    "decay_time_s",
    "durations_from_trace",
    "light_lost_stops",
    "ratio_with_rise",
    "truncated_ratio",
]

Criterion = Literal["t0.1", "t0.5"]

EXPONENTIAL_RATIO = math.log(10) / math.log(2)
"""t0.1 over t0.5 of an ideal exponential discharge: 3.3219."""

REAL_PULSE_RATIO = (2.2, EXPONENTIAL_RATIO)
"""Where the ratio of real discharges lies, from a double exponential that takes up to 0.3 of its decay time to rise."""

RATIO_WHEN_UNKNOWN = 3.0
"""A fair default when only t0.5 is published; anything built on it is an estimate."""


@dataclass(frozen=True)
class T01Estimate:
    """t0.1 in seconds with the band it may lie in; ``estimated`` is False when it was published as t0.1."""

    shortest_s: float
    likely_s: float
    longest_s: float
    estimated: bool


@dataclass(frozen=True)
class FlashDuration:
    """A published duration together with what it measures."""

    seconds: float
    criterion: Criterion

    def __post_init__(self) -> None:
        above_zero("seconds", self.seconds)
        if self.criterion not in ("t0.1", "t0.5"):
            raise ValueError(
                f"criterion is {self.criterion!r}; give 't0.1' or 't0.5', as the maker's sheet says."
            )

    def stops_longer_than(self, other: FlashDuration) -> float:
        """How many doublings this flash is longer than another of the same criterion.

        Raises ValueError when one is t0.5 and the other t0.1: they measure different things.
        """
        if self.criterion != other.criterion:
            raise ValueError(
                f"{self.criterion} cannot be compared with {other.criterion}; "
                f"bring both to t0.1 with as_t01 and mind the band."
            )
        return math.log2(self.seconds / other.seconds)

    def as_t01(self, cut_at: float | None = None) -> T01Estimate:
        """t0.1 of this flash, with its band when it has to be guessed from t0.5.

        ``cut_at`` is the part of its full light at which a switch (IGBT) ends the flash, None where it burns out by
        itself. The ratio of a cut discharge runs from 1 (half of the light or less) to that of a whole one
        (`truncated_ratio`); a real switch and a real discharge differ, so the whole of that is the band.
        """
        if self.criterion == "t0.1":
            return T01Estimate(self.seconds, self.seconds, self.seconds, estimated=False)
        lowest, likely = REAL_PULSE_RATIO[0], RATIO_WHEN_UNKNOWN
        if cut_at is not None:
            lowest, likely = 1.0, min(RATIO_WHEN_UNKNOWN, _ratio_cut_at(cut_at))
        return T01Estimate(
            self.seconds * lowest, self.seconds * likely, self.seconds * REAL_PULSE_RATIO[1], estimated=True
        )


def decay_time_s(t01_s: N) -> N:
    """Decay time of the ideal exponential discharge with this t0.1, in s: ``t0.1 / ln 10``."""
    return plain(above_zero("t01_s", t01_s) / np.log(10.0))


def light_lost_stops(open_s: N, t01_s: N) -> N:
    """Light that an ideal exponential flash still gives after the shutter closed, in stops lost (positive).

    ``open_s`` is how long the shutter stays open from the start of the flash; 0 or less loses everything.

    Equation: ``-log2(1 - exp(-open / tau))`` with ``tau = t0.1 / ln 10``.
    """
    decay = np.asarray(decay_time_s(t01_s))
    opened = np.maximum(finite("open_s", open_s), 0.0)
    with np.errstate(divide="ignore"):
        return plain(-np.log2(-np.expm1(-opened / decay)) + 0.0)


def truncated_ratio(cut_over_decay: N) -> N:
    """t0.1 over t0.5 of an exponential discharge that a switch cuts off at ``cut_over_decay`` decay times.

    1 up to ln 2 (the cut ends both), 3.3219 from ln 10 on (the cut ends neither).
    """
    cut = above_zero("cut_over_decay", cut_over_decay)
    return plain(np.minimum(cut, np.log(10.0)) / np.minimum(cut, np.log(2.0)))


def cut_time_over_decay(energy_fraction: N) -> N:
    """When a switched flash must be cut to give a fraction of its full light, in decay times.

    Equation: ``-ln(1 - f)``; infinite for the full flash. Ideal: real units differ, so durations belong in a
    table.
    """
    fraction = share("energy_fraction", energy_fraction)
    with np.errstate(divide="ignore"):
        return plain(-np.log1p(-fraction))


def _ratio_cut_at(energy_fraction: float) -> float:
    """t0.1 over t0.5 of an exponential discharge that gives a fraction of its light before it is cut."""
    # From nine tenths on the cut comes after t0.1 has ended; the full light has no cut at all.
    return float(truncated_ratio(cut_time_over_decay(np.minimum(share("cut_at", energy_fraction), 0.9))))


def ratio_with_rise(rise_over_decay: float) -> float:
    """t0.1 over t0.5 of a discharge that also takes time to rise: ``exp(-t) - exp(-t / r)``.

    ``rise_over_decay`` is r, above 0 and below 1. Solved numerically; the ratio falls from 3.32 as r grows.
    """
    rise = float(above_zero("rise_over_decay", rise_over_decay))
    if rise >= 1.0:
        raise ValueError(f"rise_over_decay is {rise:g}; give a rise shorter than the decay, below 1.")

    def light(time: float) -> float:
        return math.exp(-time) - math.exp(-time / rise)

    peak_time = -math.log(rise) * rise / (1.0 - rise)
    peak = light(peak_time)

    def time_above(level: float) -> float:
        def over(time: float) -> float:
            return light(time) - level * peak

        begins = float(brentq(over, 0.0, peak_time))
        ends = float(brentq(over, peak_time, peak_time + 50.0))
        return ends - begins

    return time_above(0.1) / time_above(0.5)


def durations_from_trace(time_s: Array, intensity: Array) -> tuple[FlashDuration, FlashDuration]:
    """t0.5 and t0.1 of a flash as a photodiode saw it.

    Parameters: rising times in s and the light at each, in any unit with darkness at 0; of one length.
    Counts from the first rise over the level to the last fall under it, straight between samples. Returns the pair
    (t0.5, t0.1).

    Raises ValueError when the trace is dark, out of order, or begins or ends above the level: then part of the flash
    was not recorded.
    """
    times = finite("time_s", time_s)
    light = at_least_zero("intensity", intensity)
    if times.ndim != 1 or times.shape != light.shape or times.size == 0:
        raise ValueError("time_s and intensity do not pair up; give two columns of the same length.")
    if np.any(np.diff(times) <= 0):
        raise ValueError("time_s does not rise throughout; sort the trace by time and drop doubles.")
    if light.max() <= 0:
        raise ValueError("intensity is dark throughout; give a trace with a flash in it.")

    def above(part_of_peak: float, name: str) -> float:
        level = part_of_peak * light.max()
        over = np.flatnonzero(light > level)
        first, last = int(over[0]), int(over[-1])
        if first == 0 or last == light.size - 1:
            raise ValueError(
                f"the trace begins or ends above the level of {name}; record a little before and after."
            )
        begins = np.interp(level, light[first - 1 : first + 1], times[first - 1 : first + 1])
        ends = np.interp(-level, -light[last : last + 2], times[last : last + 2])
        return float(ends - begins)

    return FlashDuration(above(0.5, "t0.5"), "t0.5"), FlashDuration(above(0.1, "t0.1"), "t0.1")
