"""Does the stand carry it, and what makes it fall?

A stand on n feet tips over the line between two neighbouring feet, so what counts is the distance to that line:
half the foot radius for three legs. Each line is tried in turn: masses inside it hold the stand, masses outside it
turn it over. Ground level and firm; a lean or a soft floor is worse.

Bearings as everywhere: clockwise seen from above, ``(x, y) = distance * (sin b, cos b)``, here from the column.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from recipes.quantity import N, above_zero, at_least_zero, finite, plain, whole

__all__ = [
    "STANDARD_GRAVITY",
    "USUAL_TIPPING_RATIO",
    "Feet",
    "LoadMargin",
    "Mass",
    "Push",
    "TippingEdge",
    "bag_that_counts_kg",
    "load_margin",
    "push_that_tips_n",
    "sandbag_kg",
    "tipping_arm_m",
    "tipping_edges",
    "weakest_edge",
]

STANDARD_GRAVITY = 9.80665
"""m/s^2. Source: CGPM 1901."""

USUAL_TIPPING_RATIO = 1.5
"""Restoring over overturning moment that this house asks for. Policy; quoted only in secondary texts."""


def tipping_arm_m(foot_radius_m: N, legs: int = 3) -> N:
    """Distance from the column to the line between two neighbouring feet, in m: half the radius for three legs.

    Equation: ``r cos(pi / n)``. Source: geometry of the regular polygon.
    """
    return plain(
        above_zero("foot_radius_m", foot_radius_m) * math.cos(math.pi / whole("legs", legs, at_least=3))
    )


@dataclass(frozen=True)
class Feet:
    """Where a stand touches the ground: feet on a circle, the first one in direction ``first_leg_deg``."""

    foot_radius_m: float
    legs: int = 3
    first_leg_deg: float = 0.0

    def __post_init__(self) -> None:
        above_zero("foot_radius_m", self.foot_radius_m)
        whole("legs", self.legs, at_least=3)
        finite("first_leg_deg", self.first_leg_deg)

    @property
    def edge_bearings_deg(self) -> tuple[float, ...]:
        """Directions halfway between neighbouring feet: where the stand can fall."""
        step = 360.0 / self.legs
        return tuple((self.first_leg_deg + (index + 0.5) * step) % 360.0 for index in range(self.legs))


@dataclass(frozen=True)
class Mass:
    """A thing on the stand: its mass, and how far from the column its centre hangs, in which direction."""

    mass_kg: float
    distance_m: float = 0.0
    bearing_deg: float = 0.0

    def __post_init__(self) -> None:
        at_least_zero("mass_kg", self.mass_kg)
        at_least_zero("distance_m", self.distance_m)
        finite("bearing_deg", self.bearing_deg)

    def towards_m(self, bearing_deg: float) -> float:
        """How far it hangs out in a direction, in m."""
        return _towards_m(self.distance_m, self.bearing_deg, bearing_deg)


def _towards_m(distance_m: float, bearing_deg: float, towards_deg: float) -> float:
    return distance_m * math.cos(math.radians(bearing_deg - towards_deg))


@dataclass(frozen=True)
class Push:
    """A sideways force at a height, such as wind on a modifier: where it pushes to, or None for whatever direction
    is worst."""

    force_n: float
    height_m: float
    bearing_deg: float | None = None

    def __post_init__(self) -> None:
        at_least_zero("force_n", self.force_n)
        at_least_zero("height_m", self.height_m)
        if self.bearing_deg is not None:
            finite("bearing_deg", self.bearing_deg)

    def overturning_kg_m(self, bearing_deg: float) -> float:
        """What it adds to the overturning moment over the line in this direction, in kg m. A push that would help to
        hold counts for nothing: the wind may drop."""
        towards = 1.0 if self.bearing_deg is None else math.cos(math.radians(self.bearing_deg - bearing_deg))
        return self.force_n * self.height_m / STANDARD_GRAVITY * max(0.0, towards)


@dataclass(frozen=True)
class TippingEdge:
    """One line over which the stand could fall, with the two moments about it in kg m."""

    bearing_deg: float
    arm_m: float
    restoring_kg_m: float
    overturning_kg_m: float

    @property
    def ratio(self) -> float:
        """Restoring over overturning: below 1 it falls by itself; infinite when nothing hangs outside."""
        if self.overturning_kg_m <= 0.0:
            return math.inf
        return self.restoring_kg_m / self.overturning_kg_m

    @property
    def margin_kg_m(self) -> float:
        return self.restoring_kg_m - self.overturning_kg_m

    @property
    def tips(self) -> bool:
        return self.margin_kg_m < 0.0


def tipping_edges(feet: Feet, masses: Sequence[Mass], pushes: Sequence[Push] = ()) -> tuple[TippingEdge, ...]:
    """The moments of all masses and pushes about every line between two feet.

    Half-plane test: a mass at ``x`` towards the line at distance ``d`` turns with ``m (d - x)``, holding when that is
    positive, overturning when negative.
    """
    arm = tipping_arm_m(feet.foot_radius_m, feet.legs)
    edges = []
    for bearing in feet.edge_bearings_deg:
        moments = [mass.mass_kg * (arm - mass.towards_m(bearing)) for mass in masses]
        holding = sum(max(0.0, moment) for moment in moments)
        turning = sum(max(0.0, -moment) for moment in moments)
        turning += sum(push.overturning_kg_m(bearing) for push in pushes)
        edges.append(TippingEdge(bearing, arm, holding, turning))
    return tuple(edges)


def weakest_edge(feet: Feet, masses: Sequence[Mass], pushes: Sequence[Push] = ()) -> TippingEdge:
    """The line over which it would fall first: the poorest ratio, then the smallest margin."""
    return min(tipping_edges(feet, masses, pushes), key=lambda edge: (edge.ratio, edge.margin_kg_m))


def sandbag_kg(
    feet: Feet,
    masses: Sequence[Mass],
    ratio: float = USUAL_TIPPING_RATIO,
    bag_distance_m: float = 0.0,
    bag_bearing_deg: float = 0.0,
    pushes: Sequence[Push] = (),
) -> float:
    """The least sandbag that brings every line to ``ratio``, hung clear of the ground at this place, in kg.

    Raises ValueError when the bag would hang outside the feet, where it helps to tip.
    """
    wanted = float(above_zero("ratio", ratio))
    out_m = float(at_least_zero("bag_distance_m", bag_distance_m))
    bearing = float(finite("bag_bearing_deg", bag_bearing_deg))
    needed = 0.0
    for edge in tipping_edges(feet, masses, pushes):
        lever = edge.arm_m - _towards_m(out_m, bearing, edge.bearing_deg)
        if lever <= 0:
            raise ValueError(
                f"the bag hangs {bag_distance_m:g} m out, on or beyond the line between two feet; "
                f"hang it at the column or on a leg."
            )
        needed = max(needed, (wanted * edge.overturning_kg_m - edge.restoring_kg_m) / lever)
    return needed


def bag_that_counts_kg(bag_kg: float, clear_of_the_ground: bool) -> float:
    """A bag that rests on the ground holds nothing; one that hangs clear holds with its whole mass."""
    return float(at_least_zero("bag_kg", bag_kg)) if clear_of_the_ground else 0.0


def push_that_tips_n(mass_kg: N, arm_m: N, height_m: N) -> N:
    """The sideways push at a height that tips a centred stand, in N: ``m g arm / h``."""
    weight = at_least_zero("mass_kg", mass_kg) * STANDARD_GRAVITY
    return plain(weight * above_zero("arm_m", arm_m) / above_zero("height_m", height_m))


@dataclass(frozen=True)
class LoadMargin:
    """What hangs on a stand or boom against what it is rated for, in kg; margin positive when kept."""

    load_kg: float
    limit_kg: float
    margin_kg: float


def load_margin(masses_kg: Sequence[float], limit_kg: float) -> LoadMargin:
    """Is the rated load of the stand or boom kept? Everything above the spigot counts, cables too."""
    load = sum(float(at_least_zero("masses_kg", mass)) for mass in masses_kg)
    limit = float(above_zero("limit_kg", limit_kg))
    return LoadMargin(load, limit, limit - load)
