"""Does the generator carry the lights?

It is limited twice: in VA by its windings, in W by its engine. Flash packs pull hard and let go, so their peaks
count in full, and practice loads a generator to 80 % at most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from recipes.quantity import N, above_zero, at_least_zero, part, plain, share
from recipes.rig.circuits import Load

__all__ = [
    "USUAL_LOADING",
    "GeneratorMargin",
    "generator_margin",
    "real_power_w",
    "run_time_h",
    "usable_power",
]

USUAL_LOADING = 0.8
"""Part of its rating that practice loads a generator with. Common practice, from memory, no source."""


def real_power_w(rated_va: N, power_factor: N) -> N:
    """Power of the engine behind the plate's VA, in W: ``S * PF``."""
    return plain(above_zero("rated_va", rated_va) * share("power_factor", power_factor))


def usable_power(rated: N, loading: N = USUAL_LOADING, derating: N = 0.0) -> N:
    """What may be loaded of a rating, in its own unit (W or VA).

    ``derating`` is the part lost to altitude and heat, by the maker's sheet.
    """
    return plain(above_zero("rated", rated) * share("loading", loading) * (1.0 - part("derating", derating)))


def run_time_h(tank_l: N, use_l_per_h: N) -> N:
    """Hours on one tank at the stated use, in h."""
    return plain(at_least_zero("tank_l", tank_l) / above_zero("use_l_per_h", use_l_per_h))


@dataclass(frozen=True)
class GeneratorMargin:
    """Load against what may be used; margins positive when kept. Peaks decide for VA, averages for W."""

    usable_va: float
    peak_va: float
    va_margin: float
    usable_w: float
    average_w: float
    w_margin: float

    @property
    def carries(self) -> bool:
        return self.va_margin >= -1e-9 and self.w_margin >= -1e-9


def generator_margin(
    loads: Sequence[Load],
    rated_va: float,
    power_factor: float = 0.8,
    load_power_factor: float = 1.0,
    loading: float = USUAL_LOADING,
    derating: float = 0.0,
) -> GeneratorMargin:
    """Does a generator carry these loads, with every peak at the same moment?

    ``load_power_factor`` turns the loads' average VA into watts; 1 is on the cautious side.
    """
    usable_w = usable_power(real_power_w(rated_va, power_factor), loading, derating)
    usable_va = usable_power(rated_va, loading, derating)
    peak = sum(load.peak_va for load in loads)
    average = sum(load.average_va for load in loads) * float(share("load_power_factor", load_power_factor))
    return GeneratorMargin(usable_va, peak, usable_va - peak, usable_w, average, usable_w - average)
