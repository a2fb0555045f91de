"""How large is a flat disc, where does it lie, and what does it cover?"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from recipes.light.face import Face, level_axes
from recipes.light.vectors import dot, unit
from recipes.quantity import Array, above_zero, finite

__all__ = ["Disc"]


@dataclass(frozen=True, eq=False)
class Disc(Face):
    """A flat disc: centre (3,), unit normal (3,) out of the front, radius in m."""

    centre: Array
    normal: Array
    radius_m: float

    def __post_init__(self) -> None:
        above_zero("radius_m", self.radius_m)
        object.__setattr__(self, "centre", finite("centre", self.centre))
        object.__setattr__(self, "normal", unit(self.normal))

    @property
    def area_m2(self) -> float:  # type: ignore[override]
        """Area in m²."""
        return float(np.pi * self.radius_m**2)

    @property
    def across_m(self) -> float:  # type: ignore[override]
        """Diameter in m."""
        return 2.0 * self.radius_m

    @property
    def narrow_m(self) -> float:  # type: ignore[override]
        """Diameter in m."""
        return 2.0 * self.radius_m

    @cached_property
    def axes(self) -> tuple[Array, Array]:  # type: ignore[override]
        """Two unit vectors (3,) in the plane; with the normal they make a right-handed frame."""
        return level_axes(self.normal)

    def contains(self, points: Array) -> NDArray[np.bool_]:
        """Whether points of the plane (..., 3) lie on the disc."""
        out = points - self.centre
        return np.asarray(dot(out, out) <= self.radius_m**2, dtype=np.bool_)

    def inside_by_m(self, spots: Array) -> Array:
        """Radius less the distance to the centre."""
        return np.asarray(self.radius_m - np.hypot(*spots))

    def nearest_to(self, points: Array) -> Array:
        """The nearest point of the disc (..., 3)."""
        level = points - self.height_over(points)[..., None] * self.normal - self.centre
        length = np.sqrt(dot(level, level))
        shrink = self.radius_m / np.maximum(length, self.radius_m)
        return np.asarray(self.centre + level * shrink[..., None], dtype=np.float64)

    def corners_round(self) -> Array:
        """The corners (4, 3) of the square around it."""
        along, up = self.axes
        return np.asarray(
            self.centre
            + self.radius_m * np.array([along + up, up - along, -along - up, along - up], dtype=np.float64)
        )

    def turned_over(self) -> Disc:
        """The same disc with its front on the other side."""
        return Disc(self.centre, -self.normal, self.radius_m)
