"""At which points of a face must light be sampled so that their weighted sum is the integral over it?

Gauss-Legendre points on cells of the face. `graded_nodes` cuts a cell while it is larger than the detail that the
caller sees there (half-shadow, a lamp close by, the spot of a beam); a handful of cells then does for a wall.

Source: Abramowitz & Stegun 25.4 (Gauss quadrature; weights sum to the area, tested).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from recipes.light.geometry import Disc, Face, Polygon, dot
from recipes.quantity import Array

__all__ = ["Detail", "Nodes", "even_nodes", "graded_nodes"]

Detail = Callable[[Array, Array], Array]
"""From cell centres (k, 3) and cell sizes (k,) in m: the largest cell (k,) in m that still resolves the light."""

_DEEPEST = 7
_ORDER_IN_A_CELL = 4


@dataclass(frozen=True, eq=False)
class Nodes:
    """Points (n, 3) of a face and the area in m² (n,) each stands for."""

    points: Array
    areas_m2: Array


Surface = Callable[[Array, Array], tuple[Array, Array]]
"""From two parameters, 0 to 1 each, to points (..., 3) and area per unit of both parameters (...)."""


def even_nodes(face: Face, order: int) -> Nodes:
    """``order`` by ``order`` Gauss points on the face (a disc has twice as many round as across)."""
    cells = np.array([[0.0, 0.0, 1.0, 1.0]])
    return _joined([_on_cells(surface, cells, order) for surface in _surfaces(face)])


def graded_nodes(face: Face, detail: Detail) -> Nodes:
    """Gauss points on cells that are no larger than the detail there."""
    return _joined(
        [_on_cells(surface, _cut(surface, detail), _ORDER_IN_A_CELL) for surface in _surfaces(face)]
    )


def _joined(parts: list[Nodes]) -> Nodes:
    return Nodes(
        np.concatenate([part.points for part in parts]), np.concatenate([part.areas_m2 for part in parts])
    )


def _surfaces(face: Face) -> list[Surface]:
    if isinstance(face, Disc):
        return [_sector(face, start) for start in np.arange(4) * np.pi / 2.0]
    assert isinstance(face, Polygon)
    if face.is_parallelogram:
        return [_parallelogram(face)]
    return [
        _triangle(face, face.corners[0], second, third)
        for second, third in zip(face.corners[1:-1], face.corners[2:], strict=True)
    ]


def _parallelogram(face: Polygon) -> Surface:
    origin, side, other = (
        face.corners[0],
        face.corners[1] - face.corners[0],
        face.corners[3] - face.corners[0],
    )

    def at(u: Array, v: Array) -> tuple[Array, Array]:
        return origin + u[..., None] * side + v[..., None] * other, np.full(u.shape, face.area_m2)

    return at


def _triangle(face: Polygon, first: Array, second: Array, third: Array) -> Surface:
    """Fan triangles; one that runs backwards round an inward corner counts negative."""
    twice = float(np.cross(second - first, third - first) @ face.normal)

    def at(u: Array, v: Array) -> tuple[Array, Array]:
        points = first + u[..., None] * (second - first) + (u * v)[..., None] * (third - second)
        return points, twice * u

    return at


def _sector(face: Disc, start: float) -> Surface:
    along, up = face.axes

    def at(u: Array, v: Array) -> tuple[Array, Array]:
        radius, angle = face.radius_m * u, start + v * np.pi / 2.0
        points = face.centre + radius[..., None] * (
            np.cos(angle)[..., None] * along + np.sin(angle)[..., None] * up
        )
        return points, face.radius_m * radius * np.pi / 2.0

    return at


def _cut(surface: Surface, detail: Detail) -> Array:
    """Cells (k, 4): lower u, lower v, and their widths."""
    done: list[Array] = []
    cells = np.array([[0.0, 0.0, 1.0, 1.0]])
    for _ in range(_DEEPEST):
        u, v, du, dv = cells.T
        centres, _ = surface(u + du / 2.0, v + dv / 2.0)
        wide = _length(surface(u + du, v + dv / 2.0)[0] - surface(u, v + dv / 2.0)[0])
        high = _length(surface(u + du / 2.0, v + dv)[0] - surface(u + du / 2.0, v)[0])
        wanted = detail(centres, np.hypot(wide, high))
        in_u, in_v = wide > wanted, high > wanted
        done.append(cells[~in_u & ~in_v])
        both, only_u, only_v = cells[in_u & in_v], cells[in_u & ~in_v], cells[~in_u & in_v]
        cells = np.concatenate([_halved(_halved(both, 0), 1), _halved(only_u, 0), _halved(only_v, 1)])
        if not len(cells):
            break
    return np.concatenate([*done, cells])


def _halved(cells: Array, side: int) -> Array:
    """Each cell in two, across its first (0) or second (1) parameter."""
    lower = cells.copy()
    lower[:, 2 + side] /= 2.0
    upper = lower.copy()
    upper[:, side] += lower[:, 2 + side]
    return np.concatenate([lower, upper])


def _length(vectors: Array) -> Array:
    return np.sqrt(dot(vectors, vectors))


@lru_cache(maxsize=16)
def _gauss(order: int) -> tuple[Array, Array]:
    """Points and weights on 0 to 1."""
    nodes, weights = np.polynomial.legendre.leggauss(order)
    return (nodes + 1.0) / 2.0, weights / 2.0


def _on_cells(surface: Surface, cells: Array, order: int) -> Nodes:
    nodes, weights = _gauss(order)
    u = cells[:, 0, None, None] + cells[:, 2, None, None] * nodes[None, :, None]
    v = cells[:, 1, None, None] + cells[:, 3, None, None] * nodes[None, None, :]
    u, v = np.broadcast_arrays(u, v)
    points, per_unit = surface(u, v)
    cell_areas = (cells[:, 2] * cells[:, 3])[:, None, None]
    areas = per_unit * cell_areas * weights[None, :, None] * weights[None, None, :]
    return Nodes(points.reshape(-1, 3), areas.reshape(-1))
