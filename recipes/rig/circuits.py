"""Does the circuit carry what is plugged into it: on average, at the peak, and when it is switched on?

Average draw heats the wiring and is what the continuous-load rule is about; the peak while packs recycle together
loads the breaker; the inrush at switch-on may trip its magnetic release at once. All in VA: an uncorrected pack at
power factor 0.6 loads a circuit two thirds more than its watts say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, plain, share
from recipes.rig.place_rules import ContinuousRule

__all__ = [
    "BREAKER_BANDS",
    "THERMAL_BAND",
    "BreakerAnswer",
    "BreakerBand",
    "CircuitMargin",
    "Load",
    "RecyclingDraw",
    "SwitchOn",
    "apparent_va",
    "average_draw_w",
    "breaker_at_inrush",
    "circuit_margin",
    "inrush_let_through_a2s",
    "inrush_peak_a",
    "load_current_a",
    "recycling_draw",
    "required_rating_a",
    "switch_on_order",
    "three_phase_va",
]


def apparent_va(power_w: N, power_factor: N) -> N:
    """Apparent power in VA: ``P / PF``."""
    return plain(at_least_zero("power_w", power_w) / share("power_factor", power_factor))


def load_current_a(apparent_va: N, voltage_v: N) -> N:
    """Current in A of a single-phase load: ``S / U``."""
    return plain(at_least_zero("apparent_va", apparent_va) / above_zero("voltage_v", voltage_v))


def three_phase_va(line_voltage_v: N, current_a: N) -> N:
    """What a three-phase outlet carries over all phases, in VA: ``sqrt(3) U I``, U between two phases."""
    return plain(
        np.sqrt(3.0) * above_zero("line_voltage_v", line_voltage_v) * at_least_zero("current_a", current_a)
    )


def average_draw_w(energy_ws: N, interval_s: N, efficiency: N) -> N:
    """Average power of a pack that flashes every ``interval_s``, in W: ``E / (t eta)``."""
    energy = at_least_zero("energy_ws", energy_ws)
    return plain(energy / (above_zero("interval_s", interval_s) * share("efficiency", efficiency)))


@dataclass(frozen=True)
class RecyclingDraw:
    """What a pack takes from the socket while it recycles."""

    power_w: float
    apparent_va: float
    current_a: float


def recycling_draw(
    energy_ws: float, recycle_s: float, efficiency: float, power_factor: float, voltage_v: float
) -> RecyclingDraw:
    """Peak draw of a pack: its energy put back within the recycle time, through its efficiency and power factor."""
    power = average_draw_w(energy_ws, float(above_zero("recycle_s", recycle_s)), efficiency)
    apparent = apparent_va(power, power_factor)
    return RecyclingDraw(power, apparent, load_current_a(apparent, voltage_v))


def required_rating_a(continuous_a: N, other_a: N, factor: N) -> N:
    """Least rating of breaker and conductor, in A: ``factor * continuous + other``.

    Source: NEC (NFPA 70) 210.19(A)(1) and 210.20(A) with factor 1.25.
    """
    return plain(
        above_zero("factor", factor) * at_least_zero("continuous_a", continuous_a)
        + at_least_zero("other_a", other_a)
    )


@dataclass(frozen=True)
class Load:
    """One thing on a circuit: its draw averaged over the session and at its peak, in VA.

    ``steady_va`` is what of its average it draws without a break, and ``hours`` how long; from the rule's hours on it
    counts as continuous.
    ``inrush_a`` is its peak current at switch-on, None when its sheet does not say. ``power_factor`` is what part of
    its VA are watts, at the peak as on average.
    """

    name: str
    average_va: float
    peak_va: float
    hours: float = 0.0
    inrush_a: float | None = None
    power_factor: float = 1.0
    steady_va: float = 0.0

    def __post_init__(self) -> None:
        share(f"power_factor of {self.name}", self.power_factor)
        at_least_zero(f"average_va of {self.name}", self.average_va)
        at_least_zero(f"peak_va of {self.name}", self.peak_va)
        at_least_zero(f"steady_va of {self.name}", self.steady_va)
        at_least_zero(f"hours of {self.name}", self.hours)
        if self.peak_va < self.average_va:
            raise ValueError(
                f"peak_va of {self.name} is below its average_va; give the larger one as the peak."
            )
        if self.average_va < self.steady_va:
            raise ValueError(
                f"average_va of {self.name} is below its steady_va, which is a part of it; give the larger one as the "
                "average."
            )
        if self.inrush_a is not None:
            at_least_zero(f"inrush_a of {self.name}", self.inrush_a)

    @property
    def peak_w(self) -> float:
        """Real power at the peak, in W: what an engine has to turn."""
        return self.peak_va * self.power_factor


@dataclass(frozen=True)
class CircuitMargin:
    """A circuit's load against its rating, in VA; a margin is positive when it is kept.

    ``average_margin_va`` after the continuous-load rule, ``peak_margin_va`` with every peak at the same moment.
    """

    rated_va: float
    counted_average_va: float
    average_margin_va: float
    peak_va: float
    peak_margin_va: float
    rule: ContinuousRule

    @property
    def margin_va(self) -> float:
        return min(self.average_margin_va, self.peak_margin_va)


def circuit_margin(
    loads: Sequence[Load], voltage_v: float, rated_a: float, rule: ContinuousRule
) -> CircuitMargin:
    """Does one single-phase circuit carry these loads?

    What is continuous counts ``rule.factor`` times, all else once; peaks are added without the factor and without
    hoping that packs recycle at different moments.
    """
    rated = float(above_zero("voltage_v", voltage_v)) * float(above_zero("rated_a", rated_a))
    continuous = sum(load.steady_va for load in loads if load.hours >= rule.hours - 1e-9)
    counted = sum(load.average_va for load in loads) + (rule.factor - 1.0) * continuous
    peak = sum(load.peak_va for load in loads)
    return CircuitMargin(rated, counted, rated - counted, peak, rated - peak, rule)


@dataclass(frozen=True)
class BreakerBand:
    """Between ``holds_below`` and ``trips_from`` times its rated current a breaker may or may not trip at once."""

    type: Literal["B", "C", "D"]
    holds_below: float
    trips_from: float
    source: str = "IEC 60898-1"


BREAKER_BANDS: Mapping[str, BreakerBand] = MappingProxyType(
    {
        band.type: band
        for band in (BreakerBand("B", 3.0, 5.0), BreakerBand("C", 5.0, 10.0), BreakerBand("D", 10.0, 20.0))
    }
)

THERMAL_BAND = (1.13, 1.45)
"""Conventional non-tripping and tripping current over the rated one, within the hour. Source: IEC 60898-1."""

BreakerAnswer = Literal["holds", "may trip", "trips"]


def breaker_at_inrush(inrush_a: float, rated_a: float, breaker: str) -> BreakerAnswer:
    """What the magnetic release does at this current: surely not, perhaps, or surely trip at once.

    Compares the peak with the band, which is in effective values: on the cautious side. A very short peak may pass
    all the same. Raises ValueError for an unknown type.
    """
    if breaker not in BREAKER_BANDS:
        raise ValueError(
            f"breaker is {breaker!r}; give B, C or D, as it is printed before the rated current."
        )
    times = float(at_least_zero("inrush_a", inrush_a)) / float(above_zero("rated_a", rated_a))
    band = BREAKER_BANDS[breaker]
    if times <= band.holds_below + 1e-9:
        return "holds"
    return "trips" if times >= band.trips_from - 1e-9 else "may trip"


def inrush_peak_a(peak_voltage_v: N, loop_ohm: N, limiter_ohm: N = 0.0) -> N:
    """Peak current into empty capacitors, in A: crest voltage over loop and inrush limiter."""
    resistance = above_zero("loop_ohm", loop_ohm) + at_least_zero("limiter_ohm", limiter_ohm)
    return plain(above_zero("peak_voltage_v", peak_voltage_v) / resistance)


def inrush_let_through_a2s(capacitance_f: N, peak_voltage_v: N, loop_ohm: N) -> N:
    """The pulse's square-of-current integral, in A^2 s: ``C U^2 / 2R``. Fuses are rated by it."""
    charge_energy = (
        above_zero("capacitance_f", capacitance_f) * above_zero("peak_voltage_v", peak_voltage_v) ** 2
    )
    return plain(charge_energy / (2.0 * above_zero("loop_ohm", loop_ohm)))


@dataclass(frozen=True)
class SwitchOn:
    """One step of switching on: this load, and the current on the circuit at that moment, in A."""

    name: str
    inrush_a: float
    running_a: float

    @property
    def total_a(self) -> float:
        return self.inrush_a + self.running_a


def switch_on_order(loads: Sequence[Load], voltage_v: float) -> tuple[SwitchOn, ...]:
    """In what order to switch on, one after another, so that the highest moment is as low as it can be.

    The load whose inrush exceeds its running current most goes first, while the circuit is empty. A load without a
    stated inrush counts with its peak draw. After switch-on each runs at its average.
    """
    volts = float(above_zero("voltage_v", voltage_v))

    def inrush(load: Load) -> float:
        return load.inrush_a if load.inrush_a is not None else load.peak_va / volts

    ordered = sorted(loads, key=lambda load: (-(inrush(load) - load.average_va / volts), load.name))
    steps = []
    running = 0.0
    for load in ordered:
        steps.append(SwitchOn(load.name, inrush(load), running))
        running += load.average_va / volts
    return tuple(steps)
