"""What light comes off a board, a wall or a ceiling?

Lamps light the surface, the lit patch spreads evenly (Lambert), and the receiver integrates over the patch:

    E = integral over the board of  rho E_board(x) / pi · cos(at board) cos(at receiver) / d²  dA

Sampled at points as close as the lamps' light needs. What the board has in common with its point nearest to the
receiver goes through the closed form of the whole face, less what stands before it, so only differences are sampled and
a receiver may stand close to the board. A lumped two-leg formula is a full stop wrong for a 2 m board at 1.2 m.

Matt surfaces. What a silver board throws about the mirror's direction is `recipes.light.gloss`.

Source: Lambert; checked against closed two-leg integrals and a path tracer (tests/reference).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from recipes.light.form_factor import Faces
from recipes.light.geometry import Face, dot, squares_between
from recipes.light.lamps import Lamps
from recipes.light.obstruction import Blocker, passing
from recipes.light.quadrature import Nodes, Rows, even_nodes, graded_nodes, nearest_of_cells
from recipes.light.shadow import visible_shares
from recipes.light.source import Source
from recipes.quantity import Array, part

__all__ = ["Falling", "LitSurfaces", "Surface", "bounced", "lit_from_all_round", "lit_surfaces"]

_PAIRS_AT_ONCE = 16_000
"""Pairs of a node and a receiver: what fits the processor's own memory goes twice as fast."""
_A_FEW = 64
_CLOSEST_M = 0.1
_CLOSEST_OF_MANY_M = 0.6
_ORDER_ALL_ROUND = 4

NOBODY = np.zeros((0, 3))

Falling = Callable[[Array, Array], Array]
"""The light (sources, n) on points (n, 3) that look along unit normals (n, 3), past all that stands in the way."""


@dataclass(frozen=True, eq=False)
class Surface:
    """A matt face that sends back the part ``reflectance``, 0 to 1, of what falls on its front.

    With ``through`` it takes the light in on its back, as a scrim does, and ``reflectance`` is the part that comes
    through, spread. ``coarser`` says by what factor fewer points will do than for a board; ``covered_by`` are faces
    that hang flush on it: what they cover sends back nothing.
    """

    face: Face
    reflectance: float
    coarser: float = 1.0
    covered_by: tuple[Face, ...] = ()
    through: bool = False

    def __post_init__(self) -> None:
        part("reflectance", self.reflectance)

    @cached_property
    def taking(self) -> Face:
        """The face, its front on the side that takes the light in."""
        return self.face.turned_over() if self.through else self.face


@dataclass(frozen=True, eq=False)
class LitSurfaces:
    """Surfaces with what they send back: ``exitance`` (sources, nodes) in lm/m², or lm·s/m² of flash."""

    surfaces: tuple[Surface, ...]
    nodes: Nodes
    exitance: Array

    def some(self, first: int, last: int) -> LitSurfaces:
        """The surfaces from ``first`` up to, without, ``last``."""
        start, end = np.searchsorted(self.nodes.faces, [first, last])
        nodes = Nodes(
            self.nodes.points[start:end], self.nodes.areas_m2[start:end], self.nodes.faces[start:end] - first
        )
        return LitSurfaces(self.surfaces[first:last], nodes, self.exitance[:, start:end])

    def and_then(self, others: LitSurfaces) -> LitSurfaces:
        """These surfaces and then others, under the same sources."""
        nodes = Nodes(
            np.concatenate([self.nodes.points, others.nodes.points]),
            np.concatenate([self.nodes.areas_m2, others.nodes.areas_m2]),
            np.concatenate([self.nodes.faces, others.nodes.faces + len(self.surfaces)]),
        )
        exitance = np.concatenate([self.exitance, others.exitance], axis=1)
        return LitSurfaces(self.surfaces + others.surfaces, nodes, exitance)

    @cached_property
    def _own(self) -> list[slice]:
        """Where the nodes of each surface stand."""
        return [self.nodes.on(row) for row in range(len(self.surfaces))]

    @cached_property
    def _faces(self) -> Faces:
        return Faces([surface.face for surface in self.surfaces])

    @cached_property
    def _as_lamps(self) -> Lamps:
        """The faces as evenly bright lamps: what stands before them is cut out of those."""
        return Lamps([Source(str(row), "ambient", one.face, 1.0) for row, one in enumerate(self.surfaces)])

    @property
    def reflected_lm(self) -> Array:
        """Flux that leaves all of them again, (sources,) in lm, or lm·s of flash."""
        return np.asarray(self.exitance @ self.nodes.areas_m2, dtype=np.float64)

    def light_at(self, points: Array, normals: Array, blockers: Sequence[Blocker] = ()) -> Array:
        """What receivers (r, 3) looking along unit normals (r, 3) get, (surfaces, sources, r) in lux or lx·s.

        A blocker that is a surface itself does not shade it.
        """
        found = np.zeros((len(self.surfaces), len(self.exitance), len(points)))
        if not np.any(self.exitance):
            return found
        common = self._faces.factors(points, normals)
        passed = None
        if blockers:
            passed = passing(self.nodes.points, points, blockers, np.sqrt(np.abs(self.nodes.areas_m2)))
        if passed is not None:
            common *= visible_shares(self._as_lamps, points, normals, blockers, common > 0)
        at_once = max(1, _PAIRS_AT_ONCE // len(self.nodes.points))
        for start in range(0, len(points), at_once):
            these = slice(start, start + at_once)
            past = None if passed is None else passed[these]
            found[:, :, these] = self._from_nodes(points[these], normals[these], common[:, these], past)
        return found

    def _from_nodes(self, points: Array, normals: Array, common: Array, passed: Array | None) -> Array:
        """The same, (surfaces, sources, r), where ``common`` (surfaces, r) of each surface is seen altogether and of
        each node the part ``passed`` (r, n)."""
        square = squares_between(points, self.nodes.points)
        weights = self._weights(square, points, normals)
        if passed is not None:
            weights *= passed
        found = np.zeros((len(common), len(self.exitance), len(points)))
        for row, own in enumerate(self._own):
            sends, seen = self.exitance[:, own], weights[:, own]
            if not sends.any():
                continue
            nearest = np.argmin(square[:, own], axis=1)
            rest = common[row] - seen.sum(axis=1)
            found[row] = np.maximum(sends @ seen.T + sends[:, nearest] * rest, 0.0)
        return found

    def _weights(self, square: Array, points: Array, normals: Array) -> Array:
        """Share of each node in the receivers' view, (r, n), from their squared distances (r, n).

        Written as products of matrices: this is where the time goes.
        """
        heights = self._faces.heights(points).T
        arriving = normals @ self.nodes.points.T - dot(normals, points)[:, None]
        np.maximum(arriving, 0.0, out=arriving)
        arriving *= np.maximum(heights, 0.0)[:, self.nodes.faces]
        arriving *= self.nodes.areas_m2 / np.pi
        arriving /= square * square
        return np.asarray(arriving)


def lit_surfaces(
    surfaces: Sequence[Surface],
    lamps: Lamps,
    blockers: Sequence[Blocker] = (),
    seen_from: Array = NOBODY,
    roughly_from: Array = NOBODY,
    falling: Falling | None = None,
) -> LitSurfaces:
    """The fronts of surfaces as the lamps light them, past the blockers.

    Sampled finely enough for the lamps, for receivers at ``seen_from`` (r, 3), and for receivers near ``roughly_from``
    (r, 3) that stand as near to a surface only now and then. A blocker that is a surface itself does not shade it.
    ``falling`` answers for the lamps where they are more than evenly bright faces.
    """
    faces = [surface.face for surface in surfaces]
    taking = [surface.taking for surface in surfaces]
    reaching = lamps.can_reach(taking)
    coarser = np.array([surface.coarser for surface in surfaces])
    few = len(seen_from) <= _A_FEW
    # Not finer than what many receivers could pay for.
    closest_m = _CLOSEST_M if few else _CLOSEST_OF_MANY_M
    lamps_over_m = lamps.over_m(faces)
    seen_over_m = np.array([np.abs(face.height_over(seen_from)) for face in faces])

    def detail(centres: Array, sizes: Array, face: Rows) -> Array:
        needed = lamps.detail_m(centres, sizes, lamps_over_m[:, face])
        finest = np.where(reaching[:, face], needed, np.inf).min(axis=0, initial=np.inf)
        if len(seen_from):
            apart = np.sqrt(squares_between(seen_from, centres))
            nearest = nearest_of_cells(apart, seen_over_m[face].T, sizes) if few else apart
            finest = np.minimum(finest, np.maximum(nearest.min(axis=0), closest_m))
        if len(roughly_from):
            apart = np.sqrt(squares_between(centres, roughly_from).min(axis=1))
            finest = np.minimum(finest, np.maximum(apart, _CLOSEST_OF_MANY_M))
        return np.asarray(finest * coarser[face])

    nodes = graded_nodes(faces, detail)
    normals = np.stack([face.normal for face in taking])[nodes.faces]
    light = (falling or lamps.light_at)(nodes.points, normals)
    light *= np.array([surface.reflectance for surface in surfaces])[nodes.faces]
    for row, surface in enumerate(surfaces):
        own = nodes.on(row)
        for cover in surface.covered_by:
            flat = nodes.points[own] - cover.height_over(nodes.points[own])[:, None] * cover.normal
            light[:, own] *= ~cover.contains(flat)
    if blockers and falling is None:
        light *= visible_shares(lamps, nodes.points, normals, blockers, light > 0)
    return LitSurfaces(tuple(surfaces), nodes, light)


def lit_from_all_round(surfaces: Sequence[Surface], falling: Falling) -> LitSurfaces:
    """Surfaces in light that is smooth enough for a few points of each."""
    each = [even_nodes(surface.face, _ORDER_ALL_ROUND) for surface in surfaces]
    faces = np.repeat(np.arange(len(each)), [len(nodes.points) for nodes in each])
    nodes = Nodes(np.concatenate([n.points for n in each]), np.concatenate([n.areas_m2 for n in each]), faces)
    normals = np.stack([surface.taking.normal for surface in surfaces])[faces]
    gains = np.array([surface.reflectance for surface in surfaces])[faces]
    return LitSurfaces(tuple(surfaces), nodes, gains * falling(nodes.points, normals))


def bounced(
    source: Source,
    face: Face,
    reflectance: float,
    points_m: ArrayLike,
    normals: ArrayLike,
    blockers: Sequence[Blocker] = (),
) -> Array:
    """What one source gives by way of a board, in lux or lx·s, (...).

    Receivers at points (..., 3) look along unit normals (..., 3).
    """
    points, directions = np.broadcast_arrays(
        np.asarray(points_m, dtype=np.float64), np.asarray(normals, dtype=np.float64)
    )
    receivers = points.reshape(-1, 3)
    lit = lit_surfaces([Surface(face, reflectance)], Lamps([source]), blockers, seen_from=receivers)
    return lit.light_at(receivers, directions.reshape(-1, 3), blockers).reshape(points.shape[:-1])
