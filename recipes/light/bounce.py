"""What light comes off a board, a wall or a ceiling?

Lamps light the surface, the lit patch spreads evenly (Lambert), and the receiver integrates over the patch:

    E = integral over the board of  rho E_board(x) / pi · cos(at board) cos(at receiver) / d²  dA

Sampled at points as close as the lamps' light needs. What the board has in common with its point nearest to the
receiver goes through the closed form of the whole face, so only differences are sampled and a receiver may stand close
to the board. A lumped two-leg formula is a full stop wrong for a 2 m board at 1.2 m.

White, matt surfaces. A silver board throws a mirror's share of its light in one direction, which this leaves out.

Source: Lambert; checked against closed two-leg integrals and a path tracer (tests/reference).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from recipes.light.form_factor import form_factor
from recipes.light.geometry import Face
from recipes.light.obstruction import RAYS_A_SIDE, Blocker, passing, visible_share
from recipes.light.quadrature import Nodes, graded_nodes
from recipes.light.source import Source
from recipes.quantity import Array, part

__all__ = ["LitSurface", "bounced", "lit_surface"]

_MOST_AT_ONCE = 1_000_000
_A_FEW = 64
_CLOSEST_M = 0.1
_CLOSEST_OF_MANY_M = 0.6


@dataclass(frozen=True, eq=False)
class LitSurface:
    """A surface with what it sends back: ``exitance`` (sources, nodes) in lm/m², or lm·s/m² of flash."""

    face: Face
    nodes: Nodes
    exitance: Array

    @property
    def reflected_lm(self) -> Array:
        """Flux that leaves the surface again, (sources,) in lm, or lm·s of flash."""
        return np.asarray(self.exitance @ self.nodes.areas_m2, dtype=np.float64)

    def light_at(self, points: Array, normals: Array, blockers: Sequence[Blocker] = ()) -> Array:
        """What receivers (r, 3) looking along unit normals (r, 3) get from it, (sources, r) in lux or lx·s."""
        found = np.zeros((len(self.exitance), len(points)))
        if not np.any(self.exitance):
            return found
        at_once = max(1, _MOST_AT_ONCE // len(self.nodes.points))
        for start in range(0, len(points), at_once):
            these = slice(start, start + at_once)
            found[:, these] = self._some(points[these], normals[these], blockers)
        return found

    def _some(self, points: Array, normals: Array, blockers: Sequence[Blocker]) -> Array:
        weights, nearest = self._weights(points, normals)
        whole = form_factor(self.face, points, normals)
        sampled = weights.sum(axis=1)
        passed = passing(self.nodes.points, points, blockers) if blockers else None
        if passed is not None:
            weights = weights * passed
            past = weights.sum(axis=1)
            common = np.where(sampled > 0, past / np.where(sampled > 0, sampled, 1.0), 1.0) * whole - past
        else:
            common = whole - sampled
        return np.asarray(np.maximum(self.exitance @ weights.T + self.exitance[:, nearest] * common, 0.0))

    def _weights(self, points: Array, normals: Array) -> tuple[Array, Array]:
        """Share of each node (r, n) in the receivers' view, and the node nearest to each receiver (r,).

        Written as products of matrices: this is where the time goes.
        """
        nodes = self.nodes.points - self.face.centre
        receivers = points - self.face.centre
        square = (
            np.einsum("ij,ij->i", receivers, receivers)[:, None]
            + np.einsum("ij,ij->i", nodes, nodes)[None, :]
            - 2.0 * receivers @ nodes.T
        )
        np.maximum(square, 1e-12, out=square)
        arriving = normals @ nodes.T - np.einsum("ij,ij->i", normals, receivers)[:, None]
        np.maximum(arriving, 0.0, out=arriving)
        leaving = np.maximum(receivers @ self.face.normal, 0.0)
        nearest = np.argmin(square, axis=1)
        arriving *= leaving[:, None]
        square *= square
        arriving /= square
        arriving *= self.nodes.areas_m2 / np.pi
        return np.asarray(arriving), nearest


def lit_surface(
    face: Face,
    reflectance: float,
    sources: Sequence[Source],
    blockers: Sequence[Blocker] = (),
    seen_from: Array | None = None,
    coarser: float = 1.0,
    covered_by: Sequence[Face] = (),
) -> LitSurface:
    """The front of a surface as the sources light it.

    Sampled finely enough for the sources, and for receivers at ``seen_from`` (r, 3); ``coarser`` than that by a factor
    where less will do. ``covered_by`` are faces that hang flush on the surface: what they cover sends back nothing.

    ``reflectance`` is the part that a matt surface sends back, 0 to 1. Blockers shade it; a blocker that is the surface
    itself does not.
    """
    part("reflectance", reflectance)
    reaching = [source.can_reach(face) for source in sources]

    def detail(centres: Array, sizes: Array) -> Array:
        finest = np.full(len(centres), np.inf)
        for source, reaches in zip(sources, reaching, strict=True):
            if reaches:
                finest = np.minimum(finest, source.detail_m(centres, sizes))
        if seen_from is not None and len(seen_from):
            finest = np.minimum(finest, _detail_of_receivers(seen_from, centres))
        return finest * coarser

    nodes = graded_nodes(face, detail)
    normals = np.broadcast_to(face.normal, nodes.points.shape)
    exitance = np.zeros((len(sources), len(nodes.points)))
    rays_a_side = max(3, round(RAYS_A_SIDE / coarser))
    for row, (source, reaches) in enumerate(zip(sources, reaching, strict=True)):
        if not reaches or reflectance == 0:
            continue
        light = source.light_at(nodes.points, normals)
        if blockers:
            light = light * visible_share(source, nodes.points, normals, blockers, rays_a_side)
        exitance[row] = reflectance * light
    for cover in covered_by:
        exitance[
            :, cover.contains(nodes.points - cover.height_over(nodes.points)[:, None] * cover.normal)
        ] = 0.0
    return LitSurface(face, nodes, exitance)


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
    surface = lit_surface(face, reflectance, [source], blockers, seen_from=receivers)
    found = surface.light_at(receivers, directions.reshape(-1, 3), blockers)
    return np.asarray(found[0].reshape(points.shape[:-1]))


def _detail_of_receivers(receivers: Array, centres: Array) -> Array:
    """The distance (k,) to the nearest receiver, not below what many receivers could pay for."""
    closest = _CLOSEST_M if len(receivers) <= _A_FEW else _CLOSEST_OF_MANY_M
    apart = np.min(
        np.einsum("ij,ij->i", centres, centres)[:, None]
        + np.einsum("ij,ij->i", receivers, receivers)[None, :]
        - 2.0 * centres @ receivers.T,
        axis=1,
    )
    return np.asarray(np.maximum(np.sqrt(np.maximum(apart, 0.0)), closest))
