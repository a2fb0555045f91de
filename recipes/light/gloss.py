"""What does a silver board throw near the direction in which a mirror would?

A silver sheet is a mirror that is not flat: each ray leaves in a lobe about the mirror's direction, here a cosine power
(`recipes.light.emission`) with its half angle. With the mirror image s' of a point s of the lamp behind the board,
a receiver gets over the points x of the board

    E = integral of  rho_g E_s(x) · i(cos a) · cos(at the receiver) / |r - x|²  dA,   a between x - s' and r - x

with i the intensity of one lumen in the lobe. As the lobe narrows this becomes the light of the image, seen through the
board as through a window; far from the mirror's direction it goes to nothing, and the matt rest of the board
(`recipes.light.bounce`) is what is left. The part of a lobe that would go into the board is lost.

Source: law of reflection; the lobe is Phong's with the energy kept (E. Lafortune, Y. Willems 1994). The lobe of a
silver cloth is known to those who have measured it: it comes with its spread. Checked against the mirror image and a
path tracer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from recipes.light.emission import Emission, beam
from recipes.light.geometry import Face, dot, squares_between
from recipes.light.obstruction import Blocker, passing
from recipes.light.quadrature import Nodes, Rows, graded_nodes
from recipes.light.source import Source
from recipes.quantity import Array, part, within

__all__ = ["Gloss", "glossy_light", "image_in"]

MOST_SHARE = 0.95
"""No board is a mirror altogether."""

_PAIRS_AT_ONCE = 16_000
"""Pairs of a node and a receiver: what fits the processor's own memory goes twice as fast."""
_BEHIND_M = 1e-30
_LAMP_ORDERS = (1, 2, 4, 6, 8)
_IN_SHADOW = 4
"""Points a side of a lamp that something stands before."""
_A_FEW = 64
_CLOSEST_M = 0.15
_CLOSEST_OF_MANY_M = 1.0
_LOBES_A_CELL = 2.0
"""A cell may be as wide as the lobe between its halves: four Gauss points a side then are exact to a thousandth."""


@dataclass(frozen=True)
class Gloss:
    """How a surface shines: ``share`` of what it reflects goes into the lobe, 0 to 0.95; ``half_angle_deg`` from the
    mirror's direction to half of the lobe's intensity, 2 to 60 degrees."""

    share: float
    half_angle_deg: float

    def __post_init__(self) -> None:
        within("share of the gloss", self.share, 0.0, MOST_SHARE)
        within("half_angle_deg of the gloss", self.half_angle_deg, 2.0, 60.0)

    @property
    def lobe(self) -> Emission:
        """Intensity of one lumen about the mirror's direction."""
        return beam(2.0 * self.half_angle_deg)


def image_in(face: Face, points: Array) -> Array:
    """The mirror images (..., 3) of points in the plane of a face."""
    return np.asarray(points - 2.0 * face.height_over(points)[..., None] * face.normal)


def glossy_light(
    sources: Sequence[Source],
    face: Face,
    reflectance: float,
    gloss: Gloss,
    points: Array,
    normals: Array,
    blockers: Sequence[Blocker] = (),
) -> Array:
    """What receivers (r, 3) looking along unit normals (r, 3) get from the sources by the lobe of a board's front.

    Parameters: the board's whole reflectance, of which ``gloss.share`` is in the lobe; blockers stand in both legs, and
    one that is the board itself does not. Returns (sources, r) in lux, or lx·s of flash.
    """
    found = np.zeros((len(sources), len(points)))
    strength = part("reflectance", reflectance) * gloss.share
    seeing = np.flatnonzero(face.height_over(points) > 0)
    if not len(seeing):
        return found
    for row, source in enumerate(sources):
        if source.flux_lm > 0 and np.any(face.height_over(_round(source)) > 0):
            lit = _Lit(source, face, gloss, points[seeing], blockers)
            found[row, seeing] = strength * lit.at(points[seeing], normals[seeing], blockers)
    return found


class _Lit:
    """The board under one source: its nodes, and for each node the light from each part of the lamp."""

    def __init__(
        self, source: Source, face: Face, gloss: Gloss, receivers: Array, blockers: Sequence[Blocker]
    ) -> None:
        self.face, self.lobe = face, gloss.lobe
        few = len(receivers) <= _A_FEW
        order = _lamp_order(source, face, gloss, few)
        image = image_in(face, source.centre)
        half = np.tan(np.radians(gloss.half_angle_deg))
        closest = _CLOSEST_M if few else _CLOSEST_OF_MANY_M
        # A map has thousands of receivers; every so many of them tell as well how near they come to the board.
        asked = receivers[:: max(1, len(receivers) // _A_FEW)]

        def detail(centres: Array, sizes: Array, rows: Rows) -> Array:
            to_lamp = np.sqrt(dot(centres - image, centres - image))
            nearest = np.sqrt(np.min(((centres[:, None, :] - asked[None, :, :]) ** 2).sum(axis=2), axis=1))
            nearest = np.maximum(nearest, closest)
            # Over the board the lobe's angle turns by both distances at once.
            return np.asarray(_LOBES_A_CELL * half * to_lamp * nearest / (to_lamp + nearest))

        self.nodes: Nodes = graded_nodes([face], detail)
        normal = np.broadcast_to(face.normal, self.nodes.points.shape)
        self.lamp, passed = _past(blockers, source, order, self.nodes.points)
        if passed is not None and order < _IN_SHADOW:
            # Of a lamp in half-shadow it matters which half.
            self.lamp, passed = _past(blockers, source, _IN_SHADOW, self.nodes.points)
        share = self.lamp.areas_m2 / self.lamp.areas_m2.sum()
        light = source.flux_lm * source.per_lumen(self.lamp.points, self.nodes.points, normal) * share
        light = light if passed is None else light * passed
        arriving = self.nodes.points[:, None, :] - image_in(face, self.lamp.points)[None, :, :]
        mirrored = arriving / np.sqrt(dot(arriving, arriving))[..., None]
        shift = dot(mirrored, (self.nodes.points - face.centre)[:, None, :])
        # Thousands of receivers are told in half the digits, which takes a third of the time.
        self.digits = np.float64 if few else np.float32
        self.mirrored = mirrored.transpose(1, 2, 0).astype(self.digits)
        self.shift, self.peaks = (
            each.T.astype(self.digits) for each in (shift, light * self.lobe.cd_per_lm(np.ones(1)))
        )

    def at(self, points: Array, normals: Array, blockers: Sequence[Blocker]) -> Array:
        found = np.zeros(len(points))
        at_once = max(1, _PAIRS_AT_ONCE // len(self.nodes.points))
        for start in range(0, len(points), at_once):
            these = slice(start, start + at_once)
            found[these] = self._some(points[these], normals[these], blockers)
        return found

    def _some(self, points: Array, normals: Array, blockers: Sequence[Blocker]) -> Array:
        square = squares_between(points, self.nodes.points)
        arriving = normals @ self.nodes.points.T - dot(normals, points)[:, None]
        np.maximum(arriving, 0.0, out=arriving)
        arriving *= self.nodes.areas_m2
        arriving /= square * np.sqrt(square)
        arriving *= self._intensities(points, square)
        sizes_m = np.sqrt(np.abs(self.nodes.areas_m2))
        passed = passing(self.nodes.points, points, blockers, sizes_m) if blockers else None
        return np.asarray((arriving if passed is None else arriving * passed).sum(axis=1))

    def _intensities(self, points: Array, square: Array) -> NDArray[np.floating[Any]]:
        """What each node sends to each receiver, (r, n) in cd, as exp(m log cos), from their squared distances (r, n).

        A receiver's cosine to all lobes of a lamp's point is one product of matrices: this is where the time goes.
        """
        out = (points - self.face.centre).astype(self.digits)
        away = (self.lobe.exponent / 2.0 * np.log(square)).astype(self.digits)
        found = np.zeros(square.shape, dtype=self.digits)
        for mirrored, shift, peaks in zip(self.mirrored, self.shift, self.peaks, strict=True):
            ahead = out @ mirrored - shift
            np.maximum(ahead, _BEHIND_M, out=ahead)
            np.log(ahead, out=ahead)
            ahead *= self.digits(self.lobe.exponent)
            ahead -= away
            np.exp(ahead, out=ahead)
            ahead *= peaks
            found += ahead
        return found


def _past(
    blockers: Sequence[Blocker], source: Source, order: int, points: Array
) -> tuple[Nodes, Array | None]:
    """So many nodes a side of a lamp, and the part of each that gets past blockers to points (n, 3), (n, nodes)."""
    nodes = source.nodes(order)
    sizes_m = np.sqrt(np.abs(nodes.areas_m2)) if isinstance(source.emitter, Face) else None
    return nodes, passing(nodes.points, points, blockers, sizes_m)


def _lamp_order(source: Source, face: Face, gloss: Gloss, few: bool) -> int:
    """How many points a side of the lamp: as many as its own angle, seen from the board, has lobes; fewer for a map."""
    if not isinstance(source.emitter, Face):
        return 1
    away = max(float(np.linalg.norm(source.centre - face.nearest_to(source.centre[None, :])[0])), 1e-3)
    spans = source.emitter.across_m / away / np.tan(np.radians(gloss.half_angle_deg))
    wanted = 1.5 * spans + 0.5 if few else spans
    return next((order for order in _LAMP_ORDERS if order >= wanted), _LAMP_ORDERS[-1])


def _round(source: Source) -> Array:
    return source.emitter.corners_round() if isinstance(source.emitter, Face) else source.centre[None, :]
