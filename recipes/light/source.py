"""What light does one source throw straight onto a point?

A source is a face or a point with its flux and the shape of its beam. Flash is counted in lm·s and gives lx·s; what
burns or shines steadily is counted in lm and gives lux. Everything is linear in the flux.

    face, even       E = (Phi / A) · F                                     (closed form)
    face, narrowed   E = (Phi / A) · integral of i(cos a) cos b / d² dA    (Gauss points)
    point            E = Phi · i(cos a) cos b / d²

with i the intensity of one lumen, a the angle at the source, b at the receiver.

Source: Lambert; the inverse-square law with its cosine, CIE e-ILV 17-25-104 (photometric distance law).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from recipes.light.emission import ISOTROPIC, LAMBERTIAN, Emission
from recipes.light.form_factor import form_factor
from recipes.light.geometry import Disc, Face, Polygon, dot, unit
from recipes.light.quadrature import Nodes, even_nodes
from recipes.quantity import Array, at_least_zero, finite

__all__ = ["Kind", "PointEmitter", "Source", "glowing_face"]

Kind = Literal["flash", "ambient"]

_ORDERS = (6, 12, 24, 48, 96)
_MOST_AT_ONCE = 2_000_000


@dataclass(frozen=True, eq=False)
class PointEmitter:
    """A lamp small against its distance: where it is (3,), and where its axis points (3,), of any length."""

    position_m: Array
    axis: Array

    def __post_init__(self) -> None:
        object.__setattr__(self, "position_m", finite("position_m", self.position_m))
        object.__setattr__(self, "axis", unit(self.axis))


@dataclass(frozen=True, eq=False)
class Source:
    """One source of light.

    ``kind``: ``flash`` with ``flux_lm`` in lm·s, or ``ambient`` with ``flux_lm`` in lm: what leaves the emitter, after
    modifier, gels and scrim. ``emission`` None: a face spreads evenly, a point throws the same all round.
    ``spread_stops`` is one standard deviation of the flux.

    Raises ValueError for a face whose beam would be wider than the half-space before it.
    """

    label: str
    kind: Kind
    emitter: Face | PointEmitter
    flux_lm: float
    emission: Emission | None = None
    spread_stops: float = 0.0

    def __post_init__(self) -> None:
        at_least_zero(f"flux of {self.label}", self.flux_lm)
        at_least_zero(f"spread_stops of {self.label}", self.spread_stops)
        if self.kind not in ("flash", "ambient"):
            raise ValueError(f"kind of {self.label} is {self.kind!r}; give 'flash' or 'ambient'.")
        if self.emission is not None and self.emission.wide and isinstance(self.emitter, Face):
            raise ValueError(
                f"{self.label} is a face with a beam of more than 180 degrees; a face has light on one side only, "
                "so give a narrower beam or make it a point."
            )

    @cached_property
    def shape(self) -> Emission:
        """The emission, stated or usual."""
        if self.emission is not None:
            return self.emission
        return LAMBERTIAN if isinstance(self.emitter, Face) else ISOTROPIC

    @property
    def centre(self) -> Array:
        """The middle of the emitter, (3,)."""
        return self.emitter.centre if isinstance(self.emitter, Face) else self.emitter.position_m

    @property
    def axis(self) -> Array:
        """Where it points, a unit vector (3,)."""
        return self.emitter.normal if isinstance(self.emitter, Face) else self.emitter.axis

    def nodes(self, order: int) -> Nodes:
        """Points to draw rays from, and their areas in m²; a point has one, of area 1."""
        if isinstance(self.emitter, Face):
            return even_nodes(self.emitter, order)
        return Nodes(self.emitter.position_m[None, :], np.ones(1), np.zeros(1, dtype=np.int64))

    def light_at(self, points_m: ArrayLike, normals: ArrayLike) -> Array:
        """What receivers at points (..., 3) looking along unit normals (..., 3) get: lx·s of flash, lux of ambient.

        Nothing stands in the way here; see `recipes.light.obstruction`. Returns (...).
        """
        points, directions = np.broadcast_arrays(
            np.asarray(points_m, dtype=np.float64), np.asarray(normals, dtype=np.float64)
        )
        if isinstance(self.emitter, Face) and self.shape.is_lambertian:
            exitance = self.flux_lm / self.emitter.area_m2
            return np.asarray(exitance * form_factor(self.emitter, points, directions))
        flat_points, flat_normals = points.reshape(-1, 3), directions.reshape(-1, 3)
        if isinstance(self.emitter, Face):
            found = self._narrowed(self.emitter, flat_points, flat_normals)
        else:
            found = self.flux_lm * self.per_lumen(
                self.emitter.position_m[None, :], flat_points, flat_normals
            ).reshape(-1)
        return found.reshape(points.shape[:-1])

    def per_lumen(self, starts: Array, points: Array, normals: Array) -> Array:
        """What one lumen from each start (n, 3) gives each receiver (r, 3), lux, (r, n)."""
        rays = points[:, None, :] - starts[None, :, :]
        square = np.maximum(dot(rays, rays), 1e-12)
        distance = np.sqrt(square)
        leaving = rays @ self.axis / distance
        arriving = np.maximum(-np.einsum("rni,ri->rn", rays, normals) / distance, 0.0)
        return np.asarray(self.shape.cd_per_lm(leaving) * arriving / square)

    def _narrowed(self, face: Face, points: Array, normals: Array) -> Array:
        """Receivers in groups by how fine the face must be sampled for them."""
        found = np.zeros(len(points))
        height = face.height_over(points)
        reach = points - face.nearest_to(points)
        spot = np.sqrt(np.maximum(dot(reach, reach), 1e-18))
        spot = spot * np.tan(np.radians(min(self.shape.half_angle_deg, 45.0)))
        side = face.across_m if isinstance(face, Disc) else _longest_side(face)
        fineness = np.clip(np.ceil(np.log2(np.maximum(side / spot, 1.0))), 0, len(_ORDERS) - 1).astype(int)
        for level, order in enumerate(_ORDERS):
            wanted = np.flatnonzero((fineness == level) & (height > 0))
            if not len(wanted):
                continue
            nodes = even_nodes(face, order)
            per_area = self.flux_lm / face.area_m2 * nodes.areas_m2
            at_once = max(1, _MOST_AT_ONCE // len(per_area))
            for start in range(0, len(wanted), at_once):
                these = wanted[start : start + at_once]
                found[these] = self.per_lumen(nodes.points, points[these], normals[these]) @ per_area
        return found


def _longest_side(face: Face) -> float:
    """Of the rectangle, or of the triangles that a polygon is cut into."""
    assert isinstance(face, Polygon)
    if not face.is_parallelogram:
        return face.across_m
    edges = np.roll(face.corners, -1, axis=0) - face.corners
    return float(np.sqrt(np.max(dot(edges, edges))))


def glowing_face(label: str, face: Face, luminance_cd_m2: float, spread_stops: float = 0.0) -> Source:
    """A face of known luminance, such as a window pane seen from inside, as an ambient source.

    Its flux is ``pi L A``; it glows on its front only, and looks alike from everywhere. A window does so only roughly:
    of an overcast sky it shows the brighter part to those close by (`recipes.light.daylight` has its directions).
    """
    luminance = float(at_least_zero("luminance_cd_m2", luminance_cd_m2))
    return Source(label, "ambient", face, np.pi * luminance * face.area_m2, spread_stops=spread_stops)
