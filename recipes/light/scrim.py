"""What does a scrim do: a big cloth between a lamp and the subject?

What falls on one side is let through in part: some of it straight on, as if dimmed, and the rest spread evenly over the
other side (Lambert), so that the lit patch of the cloth is a source of its own, as large as the beam that hits it:

    straight  tau · s of the ray         spread  M(x) = tau · (1 - s) · E_back(x)

Both sides of a cloth are alike. What it throws back is spread too, where somebody has measured it.

Source: Lambert; transmittance as the sum of a regular and a diffuse one, CIE e-ILV 17-24-065 and 17-24-067.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from recipes.light.bounce import Surface
from recipes.light.geometry import Face
from recipes.light.obstruction import Blocker
from recipes.quantity import at_least_zero, part

__all__ = ["SCRIM_SPREAD_STOPS", "Scrim"]

SCRIM_SPREAD_STOPS = 0.2
"""A scrim's transmittance as a sheet or a recipe states it: common practice, no source."""


@dataclass(frozen=True, eq=False)
class Scrim:
    """A cloth in its frame. ``transmittance`` is all that it lets through, ``direct_share`` the part of that which goes
    straight on; ``spread_stops`` one standard deviation of the transmittance.

    Raises ValueError when it would send out more than it gets.
    """

    label: str
    face: Face
    transmittance: float
    direct_share: float = 0.0
    reflectance: float = 0.0
    spread_stops: float = SCRIM_SPREAD_STOPS

    def __post_init__(self) -> None:
        part(f"transmittance of {self.label}", self.transmittance)
        part(f"direct_share of {self.label}", self.direct_share)
        part(f"reflectance of {self.label}", self.reflectance)
        at_least_zero(f"spread_stops of {self.label}", self.spread_stops)
        if self.transmittance + self.reflectance > 1.0 + 1e-9:
            raise ValueError(
                f"{self.label} would let through and throw back more light than it gets; "
                "lower its transmittance or its reflectance."
            )

    @property
    def blocker(self) -> Blocker:
        """How it stands in the way: what goes straight on."""
        return Blocker(self.face, self.transmittance * self.direct_share, self.label)

    @cached_property
    def sides(self) -> tuple[Surface, ...]:
        """What it sends out on either side: what comes through from the other one, then what it throws back."""
        spread = self.transmittance * (1.0 - self.direct_share)
        both = (self.face, self.face.turned_over())
        found = tuple(Surface(side, spread, through=True) for side in both) if spread else ()
        return found + (tuple(Surface(side, self.reflectance) for side in both) if self.reflectance else ())
