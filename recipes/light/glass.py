"""How much of the daylight that meets a window comes through?

A pane's sheet gives its transmittance at normal incidence. It falls with the angle (to 95 % of that at 60 degrees, 63 %
at 80), and a frame and the dirt of the season take their part.

Source: W. De Soto et al., *Solar Energy* 80, 78-88, 2006, equations 13 to 15, through pvlib's ``iam.physical``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.quantity import N, plain, share, within

__all__ = ["CLEAR_DOUBLE", "CLEAR_TRIPLE", "NO_GLASS", "Glass", "relative_to_normal"]

REFRACTIVE_INDEX = 1.526
EXTINCTION_PER_M = 4.0
THICKNESS_M = 0.002


@dataclass(frozen=True)
class Glass:
    """What a window lets through: visible transmittance at normal incidence, and what frame and dirt leave of it.

    ``frame_factor`` is the glazed part of the opening, ``dirt_factor`` what the dirt leaves (1 for clean glass).
    ``bare`` means an open window: then the angle does not matter.
    """

    normal_transmittance: float = 0.8
    frame_factor: float = 1.0
    dirt_factor: float = 1.0
    bare: bool = False

    def __post_init__(self) -> None:
        share("normal_transmittance", self.normal_transmittance)
        share("frame_factor", self.frame_factor)
        share("dirt_factor", self.dirt_factor)

    def transmittance(self, incidence_deg: N) -> N:
        """The share of light that comes through at an angle to the pane's normal, 0 to 90 degrees."""
        through = self.normal_transmittance * self.frame_factor * self.dirt_factor
        if self.bare:
            return plain(np.full_like(within("incidence_deg", incidence_deg, 0, 90), through))
        return plain(through * np.asarray(relative_to_normal(incidence_deg)))


NO_GLASS = Glass(normal_transmittance=1.0, bare=True)
"""An open window."""

CLEAR_DOUBLE = Glass(normal_transmittance=0.80)
"""Two clear panes; a window maker's daylighting handbook, within 0.05. A coated one may be down to 0.2."""

CLEAR_TRIPLE = Glass(normal_transmittance=0.70)
"""Three clear panes; same source."""


def relative_to_normal(incidence_deg: N) -> N:
    """Transmittance at an angle, relative to normal incidence: 1 at 0 degrees, 0 at 90.

    Refraction index 1.526, extinction times thickness 0.008 (one pane; two fall a little faster).
    """
    from pvlib import iam

    angle = within("incidence_deg", incidence_deg, 0, 90)
    return plain(np.asarray(iam.physical(angle, n=REFRACTIVE_INDEX, K=EXTINCTION_PER_M, L=THICKNESS_M)))
