"""How much voltage does the cable lose on the way?

Current goes out and comes back, so both conductors count; copper at 70 °C has a fifth more resistance than at 20;
the fine strands of an extension cord have about a tenth more than house wiring.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, finite, plain
from recipes.rig.place_rules import DropLimit

__all__ = [
    "AWG_OHM_PER_KFT_75C",
    "COPPER_COEFFICIENT_PER_K",
    "COPPER_RESISTIVITY_20C",
    "IEC_60228_OHM_PER_KM",
    "CableRun",
    "ConductorClass",
    "DropMargin",
    "awg_section_mm2",
    "conductor_ohm_per_km",
    "copper_ohm_per_km",
    "drop_margin",
    "ohm_per_km_from_kft",
    "table_drop_v",
    "temperature_factor",
    "voltage_drop_v",
]

COPPER_RESISTIVITY_20C = 0.017241
"""Annealed copper at 20 °C, in ohm mm^2/m. Source: IACS, IEC 60028."""

COPPER_COEFFICIENT_PER_K = 0.00393
"""Rise of its resistance per kelvin, from 20 °C. Source: IEC 60028."""

METRES_PER_FOOT = 0.3048

ConductorClass = Literal[1, 2, 5]
"""1 solid, 2 stranded: fixed wiring; 5 flexible: cords."""

_SOLID_OR_STRANDED: Mapping[float, float] = MappingProxyType(
    {0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4.0: 4.61, 6.0: 3.08, 10.0: 1.83}
)
_FLEXIBLE: Mapping[float, float] = MappingProxyType(
    {0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91}
)

IEC_60228_OHM_PER_KM: Mapping[ConductorClass, Mapping[float, float]] = MappingProxyType(
    {1: _SOLID_OR_STRANDED, 2: _SOLID_OR_STRANDED, 5: _FLEXIBLE}
)
"""Most resistance of a plain copper conductor at 20 °C by class and section in mm^2, in ohm/km. Source: IEC 60228,
read in several makers' and engineers' tables that agree."""

AWG_OHM_PER_KFT_75C: Mapping[int, tuple[float, float]] = MappingProxyType(
    {14: (3.07, 3.14), 12: (1.93, 1.98), 10: (1.21, 1.24)}
)
"""Resistance at 75 °C by gauge, (solid, stranded), in ohm per 1000 ft. Source: NEC (NFPA 70) chapter 9 table 8."""


def conductor_ohm_per_km(section_mm2: float, conductor_class: ConductorClass = 5) -> float:
    """Most resistance at 20 °C of one conductor, in ohm/km. Raises ValueError for a section not in the table."""
    table = IEC_60228_OHM_PER_KM[conductor_class]
    if section_mm2 not in table:
        raise ValueError(
            f"section_mm2 is {section_mm2:g}; give one of {', '.join(f'{size:g}' for size in table)} mm², "
            f"as printed on the cable."
        )
    return table[section_mm2]


def awg_section_mm2(gauge: N) -> N:
    """Section of a wire by American gauge, in mm^2. Equation: ``d = 0.127 * 92^((36-n)/39)`` mm, ASTM B258."""
    diameter = 0.127 * 92.0 ** ((36.0 - finite("gauge", gauge)) / 39.0)
    return plain(np.pi / 4.0 * diameter**2)


def ohm_per_km_from_kft(ohm_per_kft: N) -> N:
    """Ohm per kilometre from ohm per thousand feet."""
    return plain(at_least_zero("ohm_per_kft", ohm_per_kft) / METRES_PER_FOOT)


def temperature_factor(temperature_c: N, reference_c: N = 20.0) -> N:
    """Resistance of copper at a temperature over that at the reference, as a ratio."""

    def since_20(name: str, temperature: N) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        factor = 1.0 + COPPER_COEFFICIENT_PER_K * (finite(name, temperature) - 20.0)
        if np.any(factor <= 0):
            raise ValueError(f"{name} is too cold for the straight line of copper; give a temperature in °C.")
        return factor

    return plain(since_20("temperature_c", temperature_c) / since_20("reference_c", reference_c))


def copper_ohm_per_km(section_mm2: N, temperature_c: N = 20.0) -> N:
    """Resistance of ideal annealed copper, in ohm/km, where no table has the section."""
    at_20 = COPPER_RESISTIVITY_20C / above_zero("section_mm2", section_mm2) * 1000.0
    return plain(at_20 * np.asarray(temperature_factor(temperature_c)))


def voltage_drop_v(
    length_m: N,
    current_a: N,
    ohm_per_km: N,
    temperature_c: N = 20.0,
    reference_c: N = 20.0,
    phases: Literal[1, 3] = 1,
) -> N:
    """Voltage lost along a cable, in V.

    Parameters: length one way in m; current in A; resistance of one conductor in ohm/km at ``reference_c``; the
    temperature it works at.

    Equation: ``2 L R I`` single phase, ``sqrt(3) L R I`` for balanced three phases. Reactance is left out: in cords as
    thin as these it is a hundredth of the resistance, and a power factor below 1 makes the loss no greater.
    """
    resistance = (
        at_least_zero("ohm_per_km", ohm_per_km)
        / 1000.0
        * np.asarray(temperature_factor(temperature_c, reference_c))
    )
    ways = 2.0 if phases == 1 else np.sqrt(3.0)
    return plain(
        ways * at_least_zero("length_m", length_m) * resistance * at_least_zero("current_a", current_a)
    )


def table_drop_v(length_m: N, current_a: N, millivolt_per_ampere_metre: N) -> N:
    """Voltage lost by the table method, in V: ``mV/A/m * L * I / 1000``. Source: BS 7671 Appendix 4."""
    return plain(
        at_least_zero("millivolt_per_ampere_metre", millivolt_per_ampere_metre)
        * at_least_zero("length_m", length_m)
        * at_least_zero("current_a", current_a)
        / 1000.0
    )


@dataclass(frozen=True)
class CableRun:
    """One cable of a chain, by its length, section and class."""

    length_m: float
    section_mm2: float
    conductor_class: ConductorClass = 5


@dataclass(frozen=True)
class DropMargin:
    """Voltage lost over a chain of cables against a limit, in V and as a part of the nominal voltage; ``by_run_v``
    on each cable of the chain."""

    drop_v: float
    by_run_v: tuple[float, ...]
    drop_fraction: float
    limit_v: float
    margin_v: float
    limit: DropLimit


def drop_margin(
    runs: Sequence[CableRun],
    current_a: float,
    voltage_v: float,
    limit: DropLimit,
    temperature_c: float = 70.0,
) -> DropMargin:
    """What a chain of cables loses at this current, hot, against the place's limit."""
    volts = float(above_zero("voltage_v", voltage_v))
    each = tuple(
        voltage_drop_v(
            run.length_m, current_a, conductor_ohm_per_km(run.section_mm2, run.conductor_class), temperature_c
        )
        for run in runs
    )
    drop = sum(each)
    allowed = limit.fraction * volts
    return DropMargin(drop, each, drop / volts, allowed, allowed - drop, limit)
