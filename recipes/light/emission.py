"""How is a lamp's light spread over the angles from its axis?

Three shapes cover the studio, each normalised so that one lumen leaves:

* a cosine power, ``I = (m + 1) / 2 pi · cos^m``, for reflectors, grids and faces; m = 1 is Lambert's face;
* a cardioid power, ``I = (m + 1) / 4 pi · ((1 + cos) / 2)^m``, for bare heads that throw more than half of the way
  round; m = 0 is the same in all directions;
* a cone of even light, as a closed form only.

The beam angle is the full angle at half of the axial intensity, so a Lambertian face has 120 degrees.

Source: CIE e-ILV, 17-27-077 (beam angle) and Lambertian surface; the constants are the integrals over the sphere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.quantity import Array, N, above_zero, at_least_zero, plain, within

__all__ = [
    "ISOTROPIC",
    "LAMBERTIAN",
    "Emission",
    "beam",
    "cone_intensity_cd",
]


@dataclass(frozen=True)
class Emission:
    """A shape of intensity about an axis. ``wide`` is the cardioid family, which also throws light backwards."""

    exponent: float
    wide: bool = False

    def __post_init__(self) -> None:
        at_least_zero("exponent", self.exponent)

    @property
    def is_lambertian(self) -> bool:
        """Whether this is the face that looks equally bright from everywhere."""
        return not self.wide and self.exponent == 1.0

    @property
    def half_angle_deg(self) -> float:
        """Angle from the axis at which the intensity is half of the axial one; half of the beam angle."""
        if self.exponent == 0:
            return 180.0 if self.wide else 90.0
        at_half = 0.5 ** (1.0 / self.exponent)
        return float(np.degrees(np.arccos(2.0 * at_half - 1.0 if self.wide else at_half)))

    def cd_per_lm(self, cosine: Array) -> Array:
        """Intensity for one lumen of flux, in cd, at angles of this cosine from the axis."""
        if self.wide:
            level = np.maximum((1.0 + cosine) / 2.0, 0.0)
            return np.asarray((self.exponent + 1.0) / (4.0 * np.pi) * level**self.exponent)
        front = cosine > 0
        level = np.where(front, cosine, 1.0)
        return np.where(front, (self.exponent + 1.0) / (2.0 * np.pi) * level**self.exponent, 0.0)


LAMBERTIAN = Emission(exponent=1.0)
"""A face that looks equally bright from everywhere before it: softbox, window, matt board."""

ISOTROPIC = Emission(exponent=0.0, wide=True)
"""A bare point that throws the same light in all directions."""


def beam(beam_angle_deg: float) -> Emission:
    """The shape with this full angle at half intensity, 1 to 360 degrees. 120 is `LAMBERTIAN`, 360 `ISOTROPIC`.

    Raises ValueError outside that range.
    """
    half = float(within("beam_angle_deg", beam_angle_deg, 1.0, 360.0)) / 2.0
    if half >= 180.0:
        return ISOTROPIC
    if abs(half - 60.0) < 1e-9:
        return LAMBERTIAN
    if half < 90.0:
        return Emission(float(np.log(0.5) / np.log(np.cos(np.radians(half)))))
    # (1 + cos h) / 2 is cos²(h / 2), which does not lose its digits near 180 degrees.
    return Emission(float(np.log(0.5) / np.log(np.cos(np.radians(half / 2.0)) ** 2)), wide=True)


def cone_intensity_cd(flux_lm: N, half_angle_deg: N) -> N:
    """Intensity inside a cone of even light, in cd (or cd·s for a flux in lm·s): ``Phi / (2 pi (1 - cos a))``."""
    half = np.radians(above_zero("half_angle_deg", half_angle_deg))
    within("half_angle_deg", np.degrees(half), 0.0, 180.0)
    return plain(at_least_zero("flux_lm", flux_lm) / (2.0 * np.pi * (1.0 - np.cos(half))))
