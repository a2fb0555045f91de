"""How large is a flat polygon, where does it lie, and what does it cover?

Area and centre come from the triangles that fan out from the first corner, with half the vector product as the area of
each; whether a point lies inside, from how many edges a ray crosses.

Source: plane geometry; the even-odd rule, M. Shimrat, *CACM* 5(8) 434 (1962), from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from recipes.light.face import Face
from recipes.light.vectors import cross, dot, unit
from recipes.quantity import Array, finite

__all__ = ["Polygon"]

FLAT_WITHIN = 1e-6
"""How far, as a part of its size, a corner may lie off the plane of its polygon."""


@dataclass(frozen=True, eq=False)
class Polygon(Face):
    """A flat polygon; its corners (n, 3) run anticlockwise seen from the front.

    Raises ValueError when there are fewer than three corners, when they do not lie in one plane, or span no area.
    """

    corners: Array

    def __post_init__(self) -> None:
        corners = finite("corners", self.corners)
        if corners.ndim != 2 or corners.shape[0] < 3 or corners.shape[1] != 3:
            raise ValueError(f"corners have the shape {corners.shape}; give three or more rows of x, y, z.")
        object.__setattr__(self, "corners", corners)
        if self.area_m2 <= 1e-12 * self.across_m**2:
            raise ValueError("the corners span no area; give a face with a width and a height above 0.")
        if np.max(np.abs(self.height_over(corners))) > FLAT_WITHIN * self.across_m:
            raise ValueError("the corners do not lie in one plane; split the face into flat ones.")

    @cached_property
    def _triangles(self) -> Array:
        """Twice the area vectors (k - 1, 3) of the triangles that fan out from the first corner."""
        arms = self.corners - self.corners[0]
        return cross(arms[:-1], arms[1:])

    @cached_property
    def _area_vector(self) -> Array:
        return np.asarray(self._triangles.sum(axis=0) / 2.0, dtype=np.float64)

    @cached_property
    def area_m2(self) -> float:  # type: ignore[override]
        """Area in m²."""
        return float(np.linalg.norm(self._area_vector))

    @cached_property
    def normal(self) -> Array:  # type: ignore[override]
        """Unit vector (3,) out of the front."""
        return self._area_vector / self.area_m2

    @cached_property
    def centre(self) -> Array:  # type: ignore[override]
        """Centre of the area, (3,)."""
        arms = self.corners - self.corners[0]
        weights = self._triangles @ self.normal
        middles = (arms[:-1] + arms[1:]) / 3.0
        return np.asarray(self.corners[0] + weights @ middles / weights.sum(), dtype=np.float64)

    @cached_property
    def across_m(self) -> float:  # type: ignore[override]
        """The longest distance between two corners in m: the one that the five-times rule is about."""
        between = self.corners[:, None] - self.corners[None, :]
        return float(np.sqrt(np.max(dot(between, between))))

    @cached_property
    def narrow_m(self) -> float:  # type: ignore[override]
        """The shorter side, in m, of a rectangle along its axes that holds it."""
        return 2.0 * float(min(np.linalg.norm(half) for half in self.half_extents))

    @cached_property
    def is_convex(self) -> bool:
        """Whether no corner points inwards."""
        edges = np.roll(self.corners, -1, axis=0) - self.corners
        turns = cross(edges, np.roll(edges, -1, axis=0)) @ self.normal
        return bool(np.all(turns >= -1e-9 * self.area_m2))

    @cached_property
    def is_parallelogram(self) -> bool:
        """Whether it has four corners and opposite sides run alike: a rectangle, usually."""
        if len(self.corners) != 4:
            return False
        a, b, c, d = self.corners
        return bool(np.linalg.norm(a - b + c - d) <= 1e-9 * self.across_m)

    @cached_property
    def _sides_of_rectangle(self) -> tuple[Array, Array] | None:
        """Half sides as vectors from the centre; None for anything but a rectangle, which has shorter ways."""
        along, up = (self.corners[1] - self.corners[0]) / 2.0, (self.corners[-1] - self.corners[0]) / 2.0
        square = abs(float(along @ up)) <= 1e-12 * self.across_m**2
        return (along, up) if self.is_parallelogram and square else None

    def contains(self, points: Array) -> NDArray[np.bool_]:
        """Whether points of the plane (..., 3) lie on the face, by counting the edges a ray crosses."""
        if self._sides_of_rectangle is not None:
            out = points - self.centre
            half_along, half_up = self._sides_of_rectangle
            return np.asarray(
                (np.abs(out @ half_along) <= half_along @ half_along)
                & (np.abs(out @ half_up) <= half_up @ half_up)
            )
        along, up = self.axes
        x, y = (points - self.centre) @ along, (points - self.centre) @ up
        corner_x, corner_y = (self.corners - self.centre) @ along, (self.corners - self.centre) @ up
        inside = np.zeros(x.shape, dtype=np.bool_)
        for i in range(len(corner_x)):
            x0, y0, x1, y1 = corner_x[i - 1], corner_y[i - 1], corner_x[i], corner_y[i]
            if y0 != y1:
                inside ^= ((y0 > y) != (y1 > y)) & (x < x0 + (y - y0) * (x1 - x0) / (y1 - y0))
        return inside

    @cached_property
    def _inwards(self) -> tuple[Array, Array]:
        """Of each side the unit vector (k, 2) along the axes that points inwards, and how far (k,) the centre lies
        that way."""
        starts = self.along_axes(self.corners)
        along, up = np.roll(starts, -1, axis=1) - starts
        inwards = np.stack([-up, along]) / np.hypot(along, up)
        return inwards.T, -(inwards * starts).sum(axis=0)

    def inside_by_m(self, spots: Array) -> Array:
        """Distance to the line of the nearest edge; with inward corners only in or out, by an infinite length."""
        if self._sides_of_rectangle is not None:
            half_along, half_up = (np.sqrt(dot(half, half)) for half in self._sides_of_rectangle)
            return np.asarray(np.minimum(half_along - np.abs(spots[0]), half_up - np.abs(spots[1])))
        if not self.is_convex:
            along, up = self.axes
            points = self.centre + spots[0][:, None] * along + spots[1][:, None] * up
            return np.where(self.contains(points), np.inf, -np.inf)
        inwards, centre_m = self._inwards
        return np.asarray((inwards @ spots + centre_m[:, None]).min(axis=0))

    def nearest_to(self, points: Array) -> Array:
        """The nearest point of the face (..., 3); a convex polygon is taken."""
        if self._sides_of_rectangle is not None:
            out = points - self.centre
            on_face = np.broadcast_to(self.centre, out.shape)
            for half in self._sides_of_rectangle:
                reach = np.clip(out @ half / (half @ half), -1.0, 1.0)
                on_face = on_face + reach[..., None] * half
            return np.asarray(on_face)
        nearest = points - self.height_over(points)[..., None] * self.normal
        outside = ~self.contains(nearest)
        if not np.any(outside):
            return np.asarray(nearest, dtype=np.float64)
        starts, edges = self.corners, np.roll(self.corners, -1, axis=0) - self.corners
        arms = nearest[..., None, :] - starts
        along = np.clip(dot(arms, edges) / dot(edges, edges), 0.0, 1.0)
        on_edges = starts + along[..., None] * edges
        off = on_edges - nearest[..., None, :]
        best = np.argmin(dot(off, off), axis=-1)
        on_edge = np.take_along_axis(on_edges, best[..., None, None], axis=-2)[..., 0, :]
        return np.where(outside[..., None], on_edge, nearest)

    def corners_round(self) -> Array:
        """Its own corners."""
        return self.corners

    def turned_over(self) -> Polygon:
        """The same polygon with its front on the other side."""
        return Polygon(self.corners[::-1].copy())

    @cached_property
    def axes(self) -> tuple[Array, Array]:  # type: ignore[override]
        """Two unit vectors (3,) in the plane, the first along the first side; with the normal a right-handed frame."""
        along = unit(self.corners[1] - self.corners[0])
        return along, cross(self.normal, along)

    @cached_property
    def half_extents(self) -> tuple[Array, Array]:
        """Half sides, as vectors (3,) along the axes, of a rectangle round the centre that holds the polygon."""
        out = self.corners - self.centre
        along, up = self.axes
        return along * np.abs(out @ along).max(), up * np.abs(out @ up).max()
