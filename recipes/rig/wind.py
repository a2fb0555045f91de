"""What does the wind do to a modifier on a stand, and what holds it?

Force goes with the square of the speed: a gust 1.4 times the mean pushes twice as hard. Nearly every softbox on a
light stand is down before Beaufort 5.

Outdoors the people to ask are those who work by ANSI E1.21, EN 13782 or the IStructE guide to temporary
demountable structures; this is a first sum, not theirs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, plain
from recipes.rig.stand import STANDARD_GRAVITY

__all__ = [
    "AIR_DENSITY",
    "BEAUFORT_FROM_M_PER_S",
    "DRAG",
    "USUAL_FRICTION",
    "USUAL_GUST_FACTOR",
    "Drag",
    "WindMargin",
    "ballast_kg",
    "beaufort",
    "beaufort_mean_m_per_s",
    "dynamic_pressure_pa",
    "friction_hold_n",
    "sliding_wind_m_per_s",
    "tipping_wind_m_per_s",
    "wind_force_n",
    "wind_margin",
]

AIR_DENSITY = 1.225
"""kg/m^3 at 15 °C and sea level. Source: ISA."""

USUAL_GUST_FACTOR = 1.4
"""Gust speed over mean speed. From memory, policy: open ground gusts harder."""

USUAL_FRICTION = 0.4
"""Rubber feet on a dry floor. From memory, policy: wet grass and painted concrete hold far less."""


@dataclass(frozen=True)
class Drag:
    """A drag coefficient with the shape it belongs to."""

    shape: str
    coefficient: float
    source: str


_HANDBOOK = "Aeronautical Engineer's Data Book, fig. 5.13"

DRAG: Mapping[str, Drag] = MappingProxyType(
    {
        row.shape: row
        for row in (
            Drag("square plate", 1.17, _HANDBOOK),
            Drag("long plate", 1.98, _HANDBOOK),
            Drag("open hemisphere", 1.42, _HANDBOOK),
            Drag("open half-cylinder", 2.30, _HANDBOOK),
            Drag("softbox", 1.3, "policy: between square plate and open hemisphere"),
            Drag("umbrella", 1.42, f"as open hemisphere, {_HANDBOOK}"),
            Drag("strip or flag", 1.98, f"as long plate, {_HANDBOOK}"),
        )
    }
)


def dynamic_pressure_pa(wind_m_per_s: N, air_density: N = AIR_DENSITY) -> N:
    """Pressure of moving air, in Pa: ``rho v^2 / 2``. Source: Bernoulli; ASCE 7 prints 0.613 v^2."""
    speed = at_least_zero("wind_m_per_s", wind_m_per_s)
    return plain(0.5 * above_zero("air_density", air_density) * speed**2)


def wind_force_n(
    area_m2: N, wind_m_per_s: N, drag_coefficient: N, gust_factor: N = 1.0, air_density: N = AIR_DENSITY
) -> N:
    """Push of the wind on a face held square to it, in N: ``q Cd A``, with gusts ``gust_factor`` over the mean."""
    gust = above_zero("gust_factor", gust_factor) * at_least_zero("wind_m_per_s", wind_m_per_s)
    pressure = np.asarray(dynamic_pressure_pa(plain(gust), air_density))
    return plain(
        pressure * above_zero("drag_coefficient", drag_coefficient) * at_least_zero("area_m2", area_m2)
    )


def ballast_kg(force_n: N, height_m: N, arm_m: N, rig_kg: N, safety_factor: N = 1.5) -> N:
    """What must be added at the column so that the wind does not tip the stand, in kg; 0 when it stands anyway.

    Parameters: wind force in N and its height in m; tipping arm (`stand.tipping_arm_m`) in m; mass of the rig, centred;
    safety factor on the wind's moment (1.5 is policy).

    Equation: ``m >= SF F h / (g arm)``.
    """
    moment = at_least_zero("force_n", force_n) * at_least_zero("height_m", height_m)
    total = (
        above_zero("safety_factor", safety_factor) * moment / (STANDARD_GRAVITY * above_zero("arm_m", arm_m))
    )
    return plain(np.maximum(0.0, total - at_least_zero("rig_kg", rig_kg)))


def tipping_wind_m_per_s(
    mass_kg: N, arm_m: N, height_m: N, area_m2: N, drag_coefficient: N, air_density: N = AIR_DENSITY
) -> N:
    """The wind, gusts included, that tips a centred rig, in m/s: its force at the height equals ``m g arm / h``."""
    push = (
        above_zero("mass_kg", mass_kg)
        * STANDARD_GRAVITY
        * above_zero("arm_m", arm_m)
        / above_zero("height_m", height_m)
    )
    per_speed_squared = (
        0.5
        * above_zero("air_density", air_density)
        * above_zero("drag_coefficient", drag_coefficient)
        * above_zero("area_m2", area_m2)
    )
    return plain(np.sqrt(push / per_speed_squared))


def friction_hold_n(mass_kg: N, friction: N = USUAL_FRICTION) -> N:
    """The sideways push that the feet hold, in N: ``mu m g``. Source: Coulomb."""
    return plain(above_zero("friction", friction) * at_least_zero("mass_kg", mass_kg) * STANDARD_GRAVITY)


def sliding_wind_m_per_s(
    mass_kg: N, area_m2: N, drag_coefficient: N, friction: N = USUAL_FRICTION, air_density: N = AIR_DENSITY
) -> N:
    """The wind, gusts included, that makes the stand slide, in m/s."""
    per_speed_squared = (
        0.5
        * above_zero("air_density", air_density)
        * above_zero("drag_coefficient", drag_coefficient)
        * above_zero("area_m2", area_m2)
    )
    return plain(np.sqrt(np.asarray(friction_hold_n(mass_kg, friction)) / per_speed_squared))


BEAUFORT_FROM_M_PER_S: tuple[float, ...] = (
    0.0, 0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7,
)  # fmt: skip
"""Where each force begins, 0 to 12, in m/s to a tenth. Source: WMO scale."""


def beaufort(wind_m_per_s: float) -> int:
    """Beaufort number of a mean wind. The scale is stated to a tenth of a metre per second, so the wind is too."""
    tenth = round(float(at_least_zero("wind_m_per_s", wind_m_per_s)), 1)
    return int(np.searchsorted(BEAUFORT_FROM_M_PER_S, tenth, side="right")) - 1


def beaufort_mean_m_per_s(number: N) -> N:
    """The middle wind of a Beaufort number, in m/s: ``0.836 B^1.5``. Source: WMO; constant from memory."""
    return plain(0.836 * at_least_zero("number", number) ** 1.5)


@dataclass(frozen=True)
class WindMargin:
    """What the wind does to one rig. Speeds are means, forces those of the gust.

    ``ratio`` is restoring over overturning moment; ``gives_way_by`` says whether it slides or tips first.
    """

    force_n: float
    ratio: float
    tips_at_m_per_s: float
    slides_at_m_per_s: float
    gives_way_by: str
    ballast_kg: float
    margin_m_per_s: float


def wind_margin(
    wind_m_per_s: float,
    area_m2: float,
    drag_coefficient: float,
    height_m: float,
    arm_m: float,
    mass_kg: float,
    gust_factor: float = USUAL_GUST_FACTOR,
    friction: float = USUAL_FRICTION,
    safety_factor: float = 1.5,
) -> WindMargin:
    """Does a centred rig stand in this mean wind, and with what ballast?

    ``margin_m_per_s`` is what the mean wind may still gain before the rig slides or tips. The ballast is against
    tipping, with the safety factor.
    """
    force = wind_force_n(area_m2, wind_m_per_s, drag_coefficient, gust_factor)
    tips = tipping_wind_m_per_s(mass_kg, arm_m, height_m, area_m2, drag_coefficient) / gust_factor
    slides = sliding_wind_m_per_s(mass_kg, area_m2, drag_coefficient, friction) / gust_factor
    return WindMargin(
        force_n=force,
        ratio=mass_kg * STANDARD_GRAVITY * arm_m / (force * height_m) if force > 0 else float("inf"),
        tips_at_m_per_s=tips,
        slides_at_m_per_s=slides,
        gives_way_by="sliding" if slides < tips else "tipping",
        ballast_kg=ballast_kg(force, height_m, arm_m, mass_kg, safety_factor),
        margin_m_per_s=min(tips, slides) - wind_m_per_s,
    )
