"""What does one usually say where the work can hurt someone?

The sentences stand beside a finding; they do not replace the local code, the maker's instructions or a licensed
person, and none of them gives a verdict.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType

from recipes.quantity import at_least_zero

__all__ = [
    "CAUTIONS",
    "FLASHING_FROM_HZ",
    "FLASHING_UNTIL_HZ",
    "FLASHING_WORST_HZ",
    "Hazard",
    "caution",
    "flashing_caution",
]


class Hazard(Enum):
    """What can hurt someone on a set."""

    MAINS = "mains"
    GENERATOR = "generator"
    OVERHEAD = "overhead load"
    LIFTING = "lifting"
    HEAT = "heat"
    WIND = "wind"
    LITHIUM = "lithium"
    FLASHING = "flashing light"


CAUTIONS: Mapping[Hazard, str] = MappingProxyType(
    {
        Hazard.MAINS: (
            "Mains can kill. Use earthed outlets behind a residual-current device, unroll cable reels, keep joints dry "
            "and off the floor. This is a sum from the figures given; the local electrical code and a licensed "
            "electrician decide."
        ),
        Hazard.GENERATOR: (
            "A generator gives deadly current and deadly exhaust. Run it outdoors, downwind, earthed as its maker "
            "says, and never feed it into house wiring. The local code and a licensed electrician decide."
        ),
        Hazard.OVERHEAD: (
            "What hangs over people can fall on them. Put a leg under the load, hang bags clear of the ground, tie a "
            "second rope or chain to whatever is overhead, keep people out while it moves. This is a first sum; the "
            "makers' limits, local rules and a qualified rigger decide."
        ),
        Hazard.LIFTING: (
            "Heavy cases hurt backs. Lift with two, use wheels, share the load out. Local rules on manual handling "
            "apply."
        ),
        Hazard.HEAT: (
            "Lamps burn skin and set cloth alight. Keep to the lamp limit of the modifier, leave its vents open, keep "
            "cloth and gels off the glass, let it cool before touching. The maker's instructions and local fire rules "
            "decide."
        ),
        Hazard.WIND: (
            "Wind turns a modifier into a sail, and gusts come without warning. Have a hand on every stand, "
            "measure the wind at its height, take things down early. This is a first sum; "
            "local rules and a competent person for temporary outdoor structures decide."
        ),
        Hazard.LITHIUM: (
            "Lithium batteries can burn fiercely. Do not use or carry one that is swollen, dropped or wet; cover the "
            "terminals of spares; charge where somebody notices. For travel the operator's and the country's current "
            "rules decide."
        ),
        Hazard.FLASHING: (
            "Quick flashes can bring on seizures in people with photosensitive epilepsy, and discomfort in others. "
            "Tell everybody before you start, ask who is affected, keep under three flashes a second where you can. "
            "Local event rules and medical advice decide."
        ),
    }
)


def caution(hazard: Hazard) -> str:
    """The usual caution for a hazard."""
    return CAUTIONS[hazard]


FLASHING_FROM_HZ = 3.0
"""More flashes a second than this call for the caution. Source: WCAG 2 SC 2.3.1; epilepsy charities' range 3-30 Hz."""

FLASHING_WORST_HZ = (15.0, 25.0)
"""Where most photosensitive people react. Source: epilepsy charities, read second-hand."""

FLASHING_UNTIL_HZ = 60.0
"""Up to here reactions are known. Source: epilepsy charities, read second-hand."""


def flashing_caution(rate_hz: float) -> str:
    """The caution for flashes at this rate; empty when they are too slow or too quick to call for it."""
    rate = float(at_least_zero("rate_hz", rate_hz))
    return caution(Hazard.FLASHING) if FLASHING_FROM_HZ < rate <= FLASHING_UNTIL_HZ else ""
