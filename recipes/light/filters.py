"""How much light do scrims, gels and neutral density filters let through?

A transmittance, a loss in stops and an optical density say the same thing: ``stops = -log2 tau``,
``D = -log10 tau``. In a stack transmittances multiply, so stops and densities add. A density of 0.3 is sold as
one stop and is 0.9966. Colour is `recipes.light.gels`.

Source: definitions of transmittance and density (ISO 5-1).
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from recipes.light.gels import density_stops, stops_lost
from recipes.quantity import N, at_least_zero, plain, share

__all__ = [
    "density_of_stops",
    "density_of_transmittance",
    "density_stops",
    "stacked_transmittance",
    "stops_lost",
    "transmittance_of_density",
    "transmittance_of_stops",
]


def transmittance_of_stops(loss_stops: N) -> N:
    """The part that passes a filter of so many stops: ``2^-stops``."""
    return plain(np.exp2(-at_least_zero("loss_stops", loss_stops)))


def transmittance_of_density(density: N) -> N:
    """The part that passes a filter of this optical density: ``10^-D``."""
    return plain(np.power(10.0, -at_least_zero("density", density)))


def density_of_transmittance(transmittance: N) -> N:
    """The optical density of a filter that passes this part: ``-log10 tau``."""
    return plain(0.0 - np.log10(share("transmittance", transmittance)))


def density_of_stops(loss_stops: N) -> N:
    """The optical density that loses so many stops: ``stops · log10 2``."""
    return plain(at_least_zero("loss_stops", loss_stops) * math.log10(2.0))


def stacked_transmittance(transmittances: Iterable[float]) -> float:
    """What passes several filters one behind the other: the product; 1 for none.

    What is thrown back and forth between two is left out. Between gels it is next to nothing; two white cloths close
    together that throw back four tenths each let ``1 / (1 - 0.4²)``, a quarter of a stop, more through. Scrims that
    stand in a scene (`recipes.light.scrim`) have it.
    """
    return math.prod(float(share("transmittance", part)) for part in transmittances)
