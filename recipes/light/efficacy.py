"""How much light is in a watt of daylight?

Perez's luminous efficacy turns irradiance (W/m2) into illuminance (lux) for global, diffuse and direct light, by
eight bins of sky clearness.

    clearness  eps = ((DHI + DNI)/DHI + 1.041 z^3) / (1 + 1.041 z^3),  z in radians
    brightness Delta = DHI * m / I0
    K_global, K_diffuse = a + b W + c cos z + d ln Delta
    K_direct            = a + b W + c exp(5.73 z - 5) + d Delta

Source: R. Perez, P. Ineichen, R. Seals, J. Michalsky, R. Stewart, "Modeling daylight availability and irradiance
components from direct and global irradiance", *Solar Energy* 44(5), 271-289, 1990, table 4 and equations 6 to 8.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recipes.quantity import Array, Numbers, above_zero, at_least_zero, within

__all__ = ["Efficacy", "clearness", "daylight_efficacy", "relative_air_mass"]

SOLAR_CONSTANT_W_M2 = 1367.0

DARK_W_M2 = 1e-6
"""Less diffuse light than this counts as none."""

CLEARNESS_BOUNDS = np.array([1.065, 1.230, 1.500, 1.950, 2.800, 4.500, 6.200])

# Rows a, b, c, d; one column a bin of clearness, overcast first.
GLOBAL = np.array(
    [
        [96.63, 107.54, 98.73, 92.72, 86.73, 88.34, 78.63, 99.65],
        [-0.47, 0.79, 0.70, 0.56, 0.98, 1.39, 1.47, 1.86],
        [11.50, 1.79, 4.40, 8.36, 7.10, 6.06, 4.93, -4.46],
        [-9.16, -1.19, -6.95, -8.31, -10.94, -7.60, -11.37, -3.15],
    ]
)
DIFFUSE = np.array(
    [
        [97.24, 107.22, 104.97, 102.39, 100.71, 106.42, 141.88, 152.23],
        [-0.46, 1.15, 2.96, 5.59, 5.94, 3.83, 1.90, 0.35],
        [12.00, 0.59, -5.53, -13.95, -22.75, -36.15, -53.24, -45.27],
        [-8.91, -3.95, -8.77, -13.90, -23.74, -28.83, -14.03, -7.98],
    ]
)
DIRECT = np.array(
    [
        [57.20, 98.99, 109.83, 110.34, 106.36, 107.19, 105.75, 101.18],
        [-4.55, -3.46, -4.90, -5.84, -3.97, -1.25, 0.77, 1.58],
        [-2.98, -1.21, -1.71, -1.99, -1.75, -1.51, -1.26, -1.10],
        [117.12, 12.38, -8.81, -4.56, -6.16, -26.73, -34.44, -8.29],
    ]
)


@dataclass(frozen=True)
class Efficacy:
    """Luminous efficacy in lm/W, and the sky it was found for; arrays of the inputs' shape.

    ``clearness_bin`` runs from 1 (overcast) to 8 (clear). Where there is no diffuse light all three are 0.
    """

    global_lm_w: Array
    diffuse_lm_w: Array
    direct_lm_w: Array
    clearness: Array
    brightness: Array
    clearness_bin: NDArray[np.int64]


def clearness(zenith_deg: Numbers, direct_normal_w_m2: Numbers, diffuse_w_m2: Numbers) -> Array:
    """Perez's clearness eps, 1 for an overcast sky and above 6.2 for a clear one; 1 where there is no light."""
    z3 = 1.041 * np.radians(within("zenith_deg", zenith_deg, 0, 180)) ** 3
    direct = at_least_zero("direct_normal_w_m2", direct_normal_w_m2)
    diffuse = at_least_zero("diffuse_w_m2", diffuse_w_m2)
    lit = diffuse > DARK_W_M2
    ratio = np.where(lit, direct, 0.0) / np.where(lit, diffuse, 1.0)
    return np.asarray((1 + ratio + z3) / (1 + z3), dtype=np.float64)


def relative_air_mass(zenith_deg: Numbers) -> Array:
    """How many vertical atmospheres the sun shines through; its value at the horizon for anything below it.

    Source: F. Kasten, 1965, the air mass that Perez's brightness was fitted with.
    """
    zenith = np.minimum(within("zenith_deg", zenith_deg, 0, 180), 90.0)
    return np.asarray(1 / (np.cos(np.radians(zenith)) + 0.15 * (93.885 - zenith) ** -1.253), dtype=np.float64)


def daylight_efficacy(
    zenith_deg: Numbers,
    direct_normal_w_m2: Numbers,
    diffuse_w_m2: Numbers,
    *,
    precipitable_water_cm: float = 2.0,
    extraterrestrial_w_m2: Numbers = SOLAR_CONSTANT_W_M2,
) -> Efficacy:
    """Luminous efficacy of global, diffuse and direct daylight, in lm/W.

    Parameters: the sun's zenith angle in degrees, direct normal and diffuse horizontal irradiance in W/m2 (numbers or
    arrays of one shape), precipitable water in cm, extraterrestrial normal irradiance in W/m2 (1367 times the
    eccentricity correction of the day).
    Raises ValueError for negative irradiance, and for none outside the air.
    """
    zenith, direct, diffuse, outside = np.broadcast_arrays(
        zenith_deg,
        at_least_zero("direct_normal_w_m2", direct_normal_w_m2),
        at_least_zero("diffuse_w_m2", diffuse_w_m2),
        above_zero("extraterrestrial_w_m2", extraterrestrial_w_m2),
    )
    water_cm = float(at_least_zero("precipitable_water_cm", precipitable_water_cm))
    lit = diffuse > DARK_W_M2
    eps = clearness(zenith, direct, diffuse)
    brightness = np.where(lit, diffuse * relative_air_mass(zenith) / outside, 0.0)
    index = np.searchsorted(CLEARNESS_BOUNDS, eps, side="right")
    z = np.radians(np.minimum(zenith, 90.0))
    log_brightness = np.log(np.where(lit, brightness, 1.0))

    def horizontal(table: Array) -> Array:
        a, b, c, d = table[:, index]
        value = a + b * water_cm + c * np.cos(z) + d * log_brightness
        return np.where(lit, value, 0.0)

    a, b, c, d = DIRECT[:, index]
    beam = a + b * water_cm + c * np.exp(5.73 * z - 5) + d * brightness
    return Efficacy(
        global_lm_w=horizontal(GLOBAL),
        diffuse_lm_w=horizontal(DIFFUSE),
        direct_lm_w=np.where(lit, np.maximum(beam, 0.0), 0.0),
        clearness=eps,
        brightness=brightness,
        clearness_bin=np.asarray(index + 1, dtype=np.int64),
    )
