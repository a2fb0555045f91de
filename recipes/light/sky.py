"""How bright is the sky, and the ground below the horizon, in each direction?

Relative luminance follows the CIE standard general sky: fifteen types, each a gradation from horizon to zenith times
an indicatrix around the sun, and as the sixteenth the traditional overcast sky. The absolute level comes from the
horizontal illuminance of the sky, so that the luminances integrate to it.

    phi(Z) = 1 + a exp(b / cos Z)
    f(chi) = 1 + c (exp(d chi) - exp(d pi/2)) + e cos^2 chi
    L / Lz = f(chi) phi(Z) / (f(Zs) phi(0))         types 1 to 15
    L / Lz = (1 + 2 sin gamma) / 3                  type 16

Directions are (east, north, up). Ground is an even, unshaded plane that scatters what falls on it.

Source: ISO 15469:2004 / CIE S 011:2003.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.interpolate import CubicSpline

from recipes.quantity import Array, Numbers, at_least_zero, part, within

__all__ = [
    "CLEAR",
    "OVERCAST",
    "UNIFORM",
    "Sky",
    "overcast_zenith_luminance_cd_m2",
    "relative_luminance",
]

OVERCAST = 16
"""CIE traditional overcast sky: three times as bright at the zenith as at the horizon."""

UNIFORM = 5
"""The same luminance everywhere."""

CLEAR = 12
"""CIE standard clear sky, low luminance turbidity."""

# a, b (gradation) and c, d, e (indicatrix) by type; ISO 15469, table 1.
_GRADATION = {
    1: (4.0, -0.7),
    2: (1.1, -0.8),
    3: (0.0, -1.0),
    4: (-1.0, -0.55),
    5: (-1.0, -0.32),
    6: (-1.0, -0.15),
}
_INDICATRIX = {
    1: (0.0, -1.0, 0.0),
    2: (2.0, -1.5, 0.15),
    3: (5.0, -2.5, 0.30),
    4: (10.0, -3.0, 0.45),
    5: (16.0, -3.0, 0.30),
    6: (24.0, -2.8, 0.15),
}
_GROUPS = {
    1: (1, 1), 2: (1, 2), 3: (2, 1), 4: (2, 2), 5: (3, 1), 6: (3, 2), 7: (3, 3), 8: (3, 4), 9: (4, 2), 10: (4, 3),
    11: (4, 4), 12: (5, 4), 13: (5, 5), 14: (6, 5), 15: (6, 6),
}  # fmt: skip

_HORIZON = 1e-9
"""Sine of the elevation below which the gradation's 1/cos Z counts as infinite."""


def relative_luminance(
    sky_type: int, elevation_deg: Numbers, off_sun_deg: Numbers, sun_elevation_deg: Numbers
) -> Array:
    """Sky luminance relative to the zenith's, L/Lz.

    Parameters: type 1 to 16; elevation of the direction, its angle from the sun, elevation of the sun, all in
    degrees, of shapes that broadcast.
    Raises ValueError for an unknown type.
    """
    up = np.sin(np.radians(within("elevation_deg", elevation_deg, 0.0, 90.0)))
    cos_off_sun = np.cos(np.radians(within("off_sun_deg", off_sun_deg, 0.0, 180.0)))
    sun_up = np.sin(np.radians(within("sun_elevation_deg", sun_elevation_deg, 0.0, 90.0)))
    return _shape(sky_type, up, cos_off_sun) / _shape(sky_type, np.ones_like(sun_up), sun_up)


def overcast_zenith_luminance_cd_m2(horizontal_lux: Numbers) -> Array:
    """Zenith luminance of the traditional overcast sky that gives this horizontal illuminance.

    Equation: ``Lz = 9 E / (7 pi)``. Source: P. Moon, D. E. Spencer, 1942.
    """
    return np.asarray(9 / (7 * np.pi) * at_least_zero("horizontal_lux", horizontal_lux), dtype=np.float64)


@dataclass(frozen=True)
class Sky:
    """The sky at one or several instants.

    ``sky_type`` is the CIE type 1 to 16. The arrays have one entry an instant: ``sun_direction`` (n, 3) unit vectors
    towards the sun as east, north, up; ``diffuse_horizontal_lux`` the illuminance from the whole sky vault on open
    ground without the sun; ``direct_normal_lux`` the sun's, on a face turned to it. ``ground_reflectance`` is the
    albedo outside (0.2 for the usual mix of ground, up to 0.8 for fresh snow).
    With the sun below the horizon there is neither; twilight is not modelled.
    """

    sky_type: int
    sun_direction: Array
    diffuse_horizontal_lux: Array
    direct_normal_lux: Array
    ground_reflectance: float = 0.2

    def __post_init__(self) -> None:
        _known_type(self.sky_type)
        part("ground_reflectance", self.ground_reflectance)
        at_least_zero("diffuse_horizontal_lux", self.diffuse_horizontal_lux)
        at_least_zero("direct_normal_lux", self.direct_normal_lux)
        if self.sun_direction.shape != (*self.diffuse_horizontal_lux.shape, 3):
            raise ValueError(
                f"sun_direction has shape {self.sun_direction.shape}; give one (east, north, up) for each of the "
                f"{self.diffuse_horizontal_lux.size} illuminances."
            )
        if self.direct_normal_lux.shape != self.diffuse_horizontal_lux.shape:
            raise ValueError(
                "direct_normal_lux and diffuse_horizontal_lux differ in length; give one each an instant."
            )

    @property
    def global_horizontal_lux(self) -> Array:
        """Sun and sky together on open level ground."""
        return self.diffuse_horizontal_lux + self.direct_normal_lux * np.maximum(
            self.sun_direction[:, 2], 0.0
        )

    @property
    def ground_luminance_cd_m2(self) -> Array:
        """Luminance of the ground outside: ``rho E / pi``, unshaded."""
        return self.ground_reflectance * self.global_horizontal_lux / np.pi

    @property
    def zenith_luminance_cd_m2(self) -> Array:
        """Luminance of the sky straight up."""
        return self.luminance_cd_m2(np.array([[0.0, 0.0, 1.0]]))[:, 0]

    def luminance_cd_m2(self, directions: Array) -> Array:
        """Luminance seen in each direction, without the sun's disc: (instants, directions) in cd/m2.

        ``directions`` is (n, 3), unit vectors east, north, up. Below the horizon lies the ground.
        """
        up = directions[:, 2]
        sun_up = np.maximum(self.sun_direction[:, 2], 0.0)
        level = self.diffuse_horizontal_lux / _dome_integral(self.sky_type, sun_up)
        if _is_round(self.sky_type):
            # Without an indicatrix the sun's place is of no matter: one row serves all instants.
            seen = level[:, None] * _shape(self.sky_type, np.maximum(up, 0.0), np.zeros_like(up))[None, :]
        else:
            cos_off_sun = np.clip(self.sun_direction @ directions.T, -1.0, 1.0)
            seen = level[:, None] * _shape(self.sky_type, np.maximum(up, 0.0)[None, :], cos_off_sun)
        return np.where(up[None, :] >= 0, seen, self.ground_luminance_cd_m2[:, None])

    def open_illuminance_lux(self, normal: Array) -> Array:
        """Illuminance outside, in the open, on a face with this unit normal (east, north, up): one an instant.

        Sky by quadrature over the half of the sphere that the face sees, ground below the horizon, and the sun.
        """
        directions, weights = _half_sphere(np.asarray(normal, dtype=np.float64))
        diffuse = self.luminance_cd_m2(directions) @ weights
        return np.asarray(diffuse + self.direct_normal_lux * np.maximum(self.sun_direction @ normal, 0.0))


def _known_type(sky_type: int) -> None:
    if sky_type != OVERCAST and sky_type not in _GROUPS:
        raise ValueError(
            f"sky_type is {sky_type}; give a CIE type from 1 to 16 (16 overcast, 5 uniform, 12 clear)."
        )


def _is_round(sky_type: int) -> bool:
    return sky_type == OVERCAST or _GROUPS[sky_type][1] == 1


def _shape(sky_type: int, up: Array, cos_off_sun: Array) -> Array:
    """The distribution before it is scaled; ``up`` is the sine of the elevation, 0 or more."""
    _known_type(sky_type)
    if sky_type == OVERCAST:
        return np.asarray((1 + 2 * up) / 3 + 0.0 * cos_off_sun, dtype=np.float64)
    gradation, indicatrix = _GROUPS[sky_type]
    a, b = _GRADATION[gradation]
    c, d, e = _INDICATRIX[indicatrix]
    phi = 1 + a * np.exp(b / np.maximum(up, _HORIZON))
    chi = np.arccos(cos_off_sun)
    f = 1 + c * (np.exp(d * chi) - np.exp(d * np.pi / 2)) + e * cos_off_sun**2
    return np.asarray(phi * f, dtype=np.float64)


def _dome_integral(sky_type: int, sun_up: Array) -> Array:
    """Horizontal illuminance of the unscaled distribution, for the sine of the sun's elevation."""
    if sky_type == OVERCAST:
        return np.full_like(sun_up, 7 * np.pi / 9)
    return np.asarray(_dome_integrals(sky_type)(np.arcsin(sun_up)), dtype=np.float64)


@lru_cache(maxsize=16)
def _dome_integrals(sky_type: int) -> CubicSpline:
    """The integral over the vault against the sun's elevation, every two degrees."""
    elevations = np.radians(np.linspace(0, 90, 46))
    nodes, weights = np.polynomial.legendre.leggauss(64)
    up = (nodes + 1) / 2
    azimuth = (nodes + 1) / 2 * np.pi
    # Half the vault is enough: it is the same on both sides of the sun.
    u, phi = np.meshgrid(up, azimuth, indexing="ij")
    weight = np.outer(weights / 2, weights / 2 * np.pi) * 2 * u
    values = [
        float(
            np.sum(weight * _shape(sky_type, u, np.sqrt(1 - u**2) * np.cos(phi) * np.cos(s) + u * np.sin(s)))
        )
        for s in elevations
    ]
    return CubicSpline(elevations, values)


def _half_sphere(normal: Array) -> tuple[Array, Array]:
    """Directions over the half sphere around a normal, and cosine times solid angle of each.

    Polar coordinates around the normal, with the pieces cut where the horizon cuts them, so that the jump from sky
    to ground never falls inside a piece.
    """
    tilt = np.arcsin(np.clip(normal[2], -1.0, 1.0))
    across = np.array([normal[1], -normal[0], 0.0])
    length = float(np.linalg.norm(across))
    across = across / length if length > 1e-12 else np.array([1.0, 0.0, 0.0])
    upward = np.cross(across, normal)
    nodes, weights = np.polynomial.legendre.leggauss(24)
    unit, share_of_unit = (nodes + 1) / 2, weights / 2
    pieces = []
    for middle in (0.0, np.pi):
        turn = middle + (unit - 0.5) * np.pi
        # Where the horizon crosses this meridian, counted from the normal.
        horizon = np.arctan2(np.sin(tilt), -np.cos(turn) * np.cos(tilt)) % np.pi
        edge = np.minimum(horizon, np.pi / 2)
        for begin, end in ((np.zeros_like(edge), edge), (edge, np.full_like(edge, np.pi / 2))):
            angle = begin[:, None] + (end - begin)[:, None] * unit[None, :]
            weight = share_of_unit[:, None] * np.pi * share_of_unit[None, :] * (end - begin)[:, None]
            pieces.append((np.broadcast_to(turn[:, None], angle.shape), angle, weight))
    turns, angles, solid = (np.concatenate([piece[i].ravel() for piece in pieces]) for i in range(3))
    around = np.sin(angles)[:, None] * (
        np.cos(turns)[:, None] * upward[None, :] + np.sin(turns)[:, None] * across[None, :]
    )
    directions = np.cos(angles)[:, None] * normal[None, :] + around
    return directions, solid * np.sin(angles) * np.cos(angles)
