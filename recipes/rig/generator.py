"""Does the generator carry the lights?

It is limited twice: in VA by its windings, which carry the current whatever its phase, and in W by its engine, which
turns the real power only. Packs of a low power factor use up the windings first, corrected ones the engine. A pack
pulls hard for as long as it recycles, longer than the engine's flywheel lasts, so peaks count in full for both;
practice loads a generator to 80 % at most.

Source: ISO 8528-1 rates such sets in kVA at a power factor of 0.8, read second-hand (engineers' pages on both limits).
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
    """Peaks against what may be used, of the windings in VA and of the engine in W; margins positive when kept."""

    usable_va: float
    peak_va: float
    va_margin: float
    usable_w: float
    peak_w: float
    w_margin: float

    @property
    def carries(self) -> bool:
        return self.va_margin >= -1e-9 and self.w_margin >= -1e-9

    @property
    def engine_decides(self) -> bool:
        """Whether the engine is used up to a larger part than the windings."""
        return self.peak_w / self.usable_w > self.peak_va / self.usable_va


def generator_margin(
    loads: Sequence[Load],
    rated_va: float,
    power_factor: float = 0.8,
    loading: float = USUAL_LOADING,
    derating: float = 0.0,
) -> GeneratorMargin:
    """Does a generator carry these loads, with every peak at the same moment?

    Parameters: the loads with their power factors; the plate's VA and the part of it that the engine gives in W;
    ``loading`` and ``derating`` as in `usable_power`. Raises ValueError for figures that cannot be.
    """
    usable_w = usable_power(real_power_w(rated_va, power_factor), loading, derating)
    usable_va = usable_power(rated_va, loading, derating)
    peak_va, peak_w = sum(load.peak_va for load in loads), sum(load.peak_w for load in loads)
    return GeneratorMargin(usable_va, peak_va, usable_va - peak_va, usable_w, peak_w, usable_w - peak_w)
