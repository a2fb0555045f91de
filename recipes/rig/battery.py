"""How many flashes, or how many hours, does a battery give?

What reaches the tube is the rated energy, less what age, cold, the part one may not use, a reserve and the
charging circuit take. The marked watt-hours go before volts times ampere-hours: they are what the maker tested
and what a carrier reads.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, finite, part, plain, round_down, round_up, share

__all__ = [
    "COLD_TABLES",
    "ColdTable",
    "FlashMargin",
    "batteries_needed",
    "flash_margin",
    "flashes_per_battery",
    "marking_disagrees",
    "mixed_duty_wh",
    "rated_wh",
    "rating_wh",
    "run_time_h",
    "temperature_factor",
    "usable_wh",
]

JOULES_PER_WH = 3600.0


@dataclass(frozen=True)
class ColdTable:
    """Share of the capacity left at a temperature; straight between the points, flat outside them."""

    chemistry: str
    temperature_c: tuple[float, ...]
    factor: tuple[float, ...]
    source: str


_COLD_SOURCE = (
    "-18 °C: Battery University BU-502, a battery with 100 % at 27 °C typically delivers 50 %. "
    "20 °C: the temperature at which cells are rated, IEC 61960-3, from memory. Straight between them: policy."
)

COLD_TABLES: Mapping[str, ColdTable] = MappingProxyType(
    {
        chemistry: ColdTable(chemistry, (-18.0, 20.0), (0.5, 1.0), _COLD_SOURCE)
        for chemistry in ("lithium-ion", "lithium-iron-phosphate", "nickel-metal-hydride", "lead-acid")
    }
)
"""One public figure for any battery, so one row for each chemistry until somebody finds its own."""


def temperature_factor(temperature_c: N, chemistry: str = "lithium-ion") -> N:
    """Share of its capacity that a battery gives at the temperature it works in: 1 when warm, 0.5 at -18 °C.

    Typical, not a promise: a cell's own sheet goes first. Below the table's coldest point the factor stays, and
    most makers forbid the use there. Raises ValueError for a chemistry without a table.
    """
    if chemistry not in COLD_TABLES:
        raise ValueError(f"chemistry is {chemistry!r}; give one of {', '.join(sorted(COLD_TABLES))}.")
    table = COLD_TABLES[chemistry]
    return plain(
        np.asarray(np.interp(finite("temperature_c", temperature_c), table.temperature_c, table.factor))
    )


def usable_wh(
    capacity_wh: N, usable_fraction: N = 1.0, health: N = 1.0, cold_factor: N = 1.0, reserve: N = 0.0
) -> N:
    """Energy that may be taken from a battery, in Wh.

    Parameters: rated capacity in Wh; the share its electronics let out; the share that age has left; the share
    that the temperature leaves; the part kept back in reserve.

    Equation: the product, with ``1 - reserve``.
    """
    return plain(
        above_zero("capacity_wh", capacity_wh)
        * share("usable_fraction", usable_fraction)
        * share("health", health)
        * share("cold_factor", cold_factor)
        * (1.0 - part("reserve", reserve))
    )


def flashes_per_battery(
    capacity_wh: N,
    flash_energy_ws: N,
    efficiency: N,
    usable_fraction: N = 1.0,
    health: N = 1.0,
    cold_factor: N = 1.0,
    reserve: N = 0.0,
) -> N:
    """Whole flashes from one battery (a whole number as float).

    Parameters: as `usable_wh`; energy of one flash in Ws at its setting; efficiency of the charging circuit.

    Equation: ``floor(Wh * 3600 * eta / E)``. Source: energy balance. The floor sweeps floating-point dust first:
    575.9999999 is 576 flashes.
    """
    energy_ws = JOULES_PER_WH * np.asarray(
        usable_wh(capacity_wh, usable_fraction, health, cold_factor, reserve)
    )
    return plain(
        round_down(
            energy_ws * share("efficiency", efficiency) / above_zero("flash_energy_ws", flash_energy_ws)
        )
    )


def mixed_duty_wh(
    flashes: N,
    flash_energy_ws: N,
    efficiency: N,
    lamp_w: N = 0.0,
    lamp_h: N = 0.0,
    lamp_efficiency: N = 1.0,
) -> N:
    """Energy that a job takes from the batteries, in Wh: modelling lamp and flashes together."""
    lamp = at_least_zero("lamp_w", lamp_w) * at_least_zero("lamp_h", lamp_h)
    burst = at_least_zero("flashes", flashes) * at_least_zero("flash_energy_ws", flash_energy_ws)
    return plain(
        lamp / share("lamp_efficiency", lamp_efficiency)
        + burst / share("efficiency", efficiency) / JOULES_PER_WH
    )


def run_time_h(available_wh: N, load_w: N, efficiency: N = 1.0) -> N:
    """How long a continuous light burns on this much energy, in h."""
    return plain(
        at_least_zero("available_wh", available_wh)
        * share("efficiency", efficiency)
        / above_zero("load_w", load_w)
    )


def batteries_needed(job_wh: N, usable_each_wh: N) -> N:
    """How many such batteries the job empties (a whole number as float)."""
    return plain(round_up(at_least_zero("job_wh", job_wh) / above_zero("usable_each_wh", usable_each_wh)))


@dataclass(frozen=True)
class FlashMargin:
    """Flashes there are against flashes wanted; margin positive when they last."""

    available: int
    wanted: int
    margin: int

    @property
    def lasts(self) -> bool:
        return self.margin >= 0


def flash_margin(available_per_battery: list[int] | tuple[int, ...], wanted: int) -> FlashMargin:
    """Do these batteries together give the flashes of the session? Each is rounded down before it is added:
    the last half flash of one does not help the next."""
    available = sum(available_per_battery)
    return FlashMargin(available, wanted, available - wanted)


def rated_wh(voltage_v: N, capacity_ah: N) -> N:
    """Rating from volts and ampere-hours, in Wh. Source: 49 CFR 171.8."""
    return plain(above_zero("voltage_v", voltage_v) * above_zero("capacity_ah", capacity_ah))


def rating_wh(
    marked_wh: float | None, voltage_v: float | None = None, capacity_ah: float | None = None
) -> float:
    """The rating to go by, in Wh: the marked one, else volts times ampere-hours.

    Raises ValueError when neither is there.
    """
    if marked_wh is not None:
        return float(above_zero("marked_wh", marked_wh))
    if voltage_v is None or capacity_ah is None:
        raise ValueError("the battery's rating is missing; give the marked Wh, or its voltage and Ah.")
    return rated_wh(voltage_v, capacity_ah)


def marking_disagrees(
    marked_wh: float, voltage_v: float, capacity_ah: float, tolerance: float = 0.05
) -> bool:
    """Do the marked Wh and volts times ampere-hours differ by more than ``tolerance``? Then read the label again."""
    marked = float(above_zero("marked_wh", marked_wh))
    return abs(rated_wh(voltage_v, capacity_ah) / marked - 1.0) > float(at_least_zero("tolerance", tolerance))
