"""How much of the daylight that meets a window comes through?

A pane's sheet gives its transmittance at normal incidence. It falls with the angle (two clear panes: to 89 % of that
at 60 degrees, 36 % at 80), and a frame and the dirt of the season take their part. Every pane has two faces that
reflect, and light goes to and fro between them all. Formulas for the cover of a solar cell count the one face only
that lies to the air: at 80 degrees they let through 0.8 stop more than a double window does.

Coatings are left out: with one, a pane falls off a little differently.

Source: Fresnel's equations and Bouguer's law; for several panes J. A. Duffie, W. A. Beckman, *Solar Engineering of
Thermal Processes*, section 5.1 (from memory). Held to a stack of panes summed face by face and to a published fit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.quantity import Array, N, plain, share, whole, within

__all__ = ["CLEAR_DOUBLE", "CLEAR_TRIPLE", "NO_GLASS", "Glass", "relative_to_normal"]

REFRACTIVE_INDEX = 1.526
EXTINCTION_PER_M = 4.0
THICKNESS_M = 0.002


@dataclass(frozen=True)
class Glass:
    """What a window lets through: visible transmittance at normal incidence, and what frame and dirt leave of it.

    ``frame_factor`` is the glazed part of the opening, ``dirt_factor`` what the dirt leaves (1 for clean glass).
    ``panes`` says how many there are behind one another: the more, the less comes through at a slant. ``bare`` means an
    open window: then the angle does not matter.
    """

    normal_transmittance: float = 0.8
    frame_factor: float = 1.0
    dirt_factor: float = 1.0
    bare: bool = False
    panes: int = 2

    def __post_init__(self) -> None:
        share("normal_transmittance", self.normal_transmittance)
        share("frame_factor", self.frame_factor)
        share("dirt_factor", self.dirt_factor)
        whole("panes", self.panes, at_least=1)

    def transmittance(self, incidence_deg: N) -> N:
        """The share of light that comes through at an angle to the pane's normal, 0 to 90 degrees."""
        through = self.normal_transmittance * self.frame_factor * self.dirt_factor
        if self.bare:
            return plain(np.full_like(within("incidence_deg", incidence_deg, 0, 90), through))
        return plain(through * np.asarray(relative_to_normal(incidence_deg, self.panes)))


NO_GLASS = Glass(normal_transmittance=1.0, bare=True)
"""An open window."""

CLEAR_DOUBLE = Glass(normal_transmittance=0.80)
"""Two clear panes; a window maker's daylighting handbook, within 0.05. A coated one may be down to 0.2."""

CLEAR_TRIPLE = Glass(normal_transmittance=0.70, panes=3)
"""Three clear panes; same source."""


def relative_to_normal(incidence_deg: N, panes: int = 2) -> N:
    """Transmittance of clear panes at an angle, relative to normal incidence: 1 at 0 degrees, 0 at 90.

    Refraction index 1.526, extinction times thickness 0.008 a pane.
    Equation: the sum over both polarisations of ``(1 - r) / (1 + (2 n - 1) r)`` for n panes, r what one face reflects,
    times what n thicknesses of glass let through; what the glass takes in on the way to and fro is left out, which is a
    hundredth of the light at most.
    """
    outside = np.cos(np.radians(within("incidence_deg", incidence_deg, 0, 90)))
    return plain(_through(outside, whole("panes", panes, at_least=1)) / _through(np.ones(()), panes))


def _through(outside: Array, panes: int) -> Array:
    """What clear panes let through of both polarisations, each counted as 1, by the cosine of the angle before them."""
    inside = np.sqrt(1.0 - (1.0 - outside**2) / REFRACTIVE_INDEX**2)
    across = (outside - REFRACTIVE_INDEX * inside) / (outside + REFRACTIVE_INDEX * inside)
    along = (REFRACTIVE_INDEX * outside - inside) / (REFRACTIVE_INDEX * outside + inside)
    past = sum((1.0 - r**2) / (1.0 + (2 * panes - 1) * r**2) for r in (across, along))
    return np.asarray(past * np.exp(-panes * EXTINCTION_PER_M * THICKNESS_M / inside), dtype=np.float64)
