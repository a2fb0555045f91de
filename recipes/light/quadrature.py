"""At which points of a face must light be sampled so that their weighted sum is the integral over it?

Gauss-Legendre points on cells of the face. `graded_nodes` cuts a cell while it is larger than the detail that the
caller sees there (half-shadow, a lamp close by, the spot of a beam); a handful of cells then does for a wall. All faces
are cut at once.

Source: Abramowitz & Stegun 25.4 (Gauss quadrature; weights sum to the area, tested).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from recipes.light.geometry import Disc, Face, Polygon, dot
from recipes.quantity import Array

__all__ = ["Detail", "Nodes", "even_nodes", "graded_nodes", "nearest_of_cells"]

Rows = NDArray[np.int64]

Detail = Callable[[Array, Array, Rows], Array]
"""From cell centres (k, 3), cell sizes (k,) in m and the face (k,) each lies on: the largest cell (k,) in m that still
resolves the light."""

_DEEPEST = 7
_ORDER_IN_A_CELL = 4


@dataclass(frozen=True, eq=False)
class Nodes:
    """Points (n, 3) of faces, the area in m² (n,) each stands for, and the face (n,) it lies on, in ascending order."""

    points: Array
    areas_m2: Array
    faces: Rows

    def on(self, face: int) -> slice:
        """Where the nodes of one face stand."""
        first, last = np.searchsorted(self.faces, [face, face + 1])
        return slice(int(first), int(last))


def even_nodes(face: Face, order: int) -> Nodes:
    """``order`` by ``order`` Gauss points on the face (a disc has twice as many round as across)."""
    sheets = _Sheets([face])
    return _on_cells(sheets, *sheets.whole, order)


def graded_nodes(faces: Sequence[Face], detail: Detail) -> Nodes:
    """Gauss points on cells of the faces that are no larger than the detail there."""
    sheets = _Sheets(faces)
    return _on_cells(sheets, *_cut(sheets, detail), _ORDER_IN_A_CELL)


def nearest_of_cells(apart_m: Array, over_m: Array, sizes: Array) -> Array:
    """How near points may come to cells, (..., k) in m: by how far they are from the cells' middles and from the cells'
    planes, (..., k) each, and by the cells' sizes (k,). The middle of a large cell may be far from what is close to it.
    """
    aside = np.sqrt(np.maximum(apart_m**2 - over_m**2, 0.0)) - sizes / 2.0
    return np.asarray(np.hypot(over_m, np.maximum(aside, 0.0)))


class _Sheets:
    """The faces in pieces that two parameters u and v, 0 to 1 each, run over. Arrays have a row a piece.

    A parallelogram is one piece, ``origin + u side + v other``. Other polygons are a fan of triangles,
    ``origin + u side + u v twist``; one that runs backwards round an inward corner counts negative. A disc is four
    quarters, ``origin + u (cos side + sin other)`` with the angle v / 4 of a turn. The area per unit of u and v is
    ``even + rising u``.
    """

    def __init__(self, faces: Sequence[Face]) -> None:
        pieces = [(row, *piece) for row, face in enumerate(faces) for piece in _pieces(face)]
        self.face = np.array([piece[0] for piece in pieces], dtype=np.int64)
        self.origin, self.side, self.other, self.twist = (
            np.array([piece[n] for piece in pieces], dtype=np.float64).reshape(-1, 3) for n in range(1, 5)
        )
        self.even, self.rising = (np.array([piece[n] for piece in pieces]) for n in (5, 6))
        self.round = np.array([isinstance(faces[row], Disc) for row in self.face], dtype=np.bool_)

    @property
    def whole(self) -> tuple[Array, Rows]:
        """Every piece as one cell, and the pieces."""
        return np.tile([0.0, 0.0, 1.0, 1.0], (len(self.face), 1)), np.arange(len(self.face))

    def at(self, piece: Rows, u: Array, v: Array) -> tuple[Array, Array]:
        """Points (..., 3) of pieces (...) and area per unit of both parameters (...)."""
        first, second = u, v
        if self.round.any():
            angle = v * (np.pi / 2.0)
            first = np.where(self.round[piece], u * np.cos(angle), u)
            second = np.where(self.round[piece], u * np.sin(angle), v)
        points = (
            self.origin[piece] + first[..., None] * self.side[piece] + second[..., None] * self.other[piece]
        )
        if self.twist.any():
            points = points + (u * v)[..., None] * self.twist[piece]
        return points, self.even[piece] + self.rising[piece] * u

    def sides(self, piece: Rows, u: Array, v: Array, du: Array, dv: Array) -> tuple[Array, Array]:
        """How wide and how high, in m, a cell with its middle at u and v is there."""
        wide = du * _length(self.side[piece] + v[:, None] * self.twist[piece])
        high = dv * _length(self.other[piece] + u[:, None] * self.twist[piece])
        chord = 2.0 * u * np.sin(dv * (np.pi / 4.0)) * _length(self.other[piece])
        return wide, np.where(self.round[piece], chord, high)


Piece = tuple[Array, Array, Array, Array, float, float]
"""Origin, side, other side, twist (3,) each; even and rising area."""

_NONE = np.zeros(3)


def _pieces(face: Face) -> list[Piece]:
    if isinstance(face, Disc):
        along, up = (face.radius_m * axis for axis in face.axes)
        area = face.radius_m**2 * np.pi / 2.0
        quarters = ((along, up), (up, -along), (-along, -up), (-up, along))
        return [(face.centre, first, second, _NONE, 0.0, area) for first, second in quarters]
    assert isinstance(face, Polygon)
    first = face.corners[0]
    if face.is_parallelogram:
        return [(first, face.corners[1] - first, face.corners[3] - first, _NONE, face.area_m2, 0.0)]
    return [
        (
            first,
            second - first,
            _NONE,
            third - second,
            0.0,
            float(np.cross(second - first, third - first) @ face.normal),
        )
        for second, third in zip(face.corners[1:-1], face.corners[2:], strict=True)
    ]


def _cut(sheets: _Sheets, detail: Detail) -> tuple[Array, Rows]:
    """Cells (k, 4), lower u, lower v and their widths, and the piece (k,) each lies on, in ascending order."""
    done: list[tuple[Array, Rows]] = []
    cells, piece = sheets.whole
    for _ in range(_DEEPEST):
        u, v, du, dv = cells.T
        middle_u, middle_v = u + du / 2.0, v + dv / 2.0
        centres, _ = sheets.at(piece, middle_u, middle_v)
        wide, high = sheets.sides(piece, middle_u, middle_v, du, dv)
        wanted = detail(centres, np.hypot(wide, high), sheets.face[piece])
        in_u, in_v = wide > wanted, high > wanted
        fine = ~in_u & ~in_v
        done.append((cells[fine], piece[fine]))
        if fine.all():
            break
        cells, piece, in_u, in_v = cells[~fine], piece[~fine], in_u[~fine], in_v[~fine]
        cells, piece = _halved(cells, piece, 0, in_u)
        cells, piece = _halved(cells, piece, 1, np.concatenate([in_v, in_v[in_u]]))
    else:
        done.append((cells, piece))
    found, pieces = (np.concatenate([part[n] for part in done]) for n in (0, 1))
    order = np.argsort(pieces, kind="stable")
    return found[order], pieces[order]


def _halved(cells: Array, piece: Rows, side: int, split: NDArray[np.bool_]) -> tuple[Array, Rows]:
    """Some cells in two, across the first (0) or second (1) parameter; the upper halves come last."""
    cells[split, 2 + side] /= 2.0
    upper = cells[split]
    upper[:, side] += upper[:, 2 + side]
    return np.concatenate([cells, upper]), np.concatenate([piece, piece[split]])


def _length(vectors: Array) -> Array:
    return np.sqrt(dot(vectors, vectors))


@lru_cache(maxsize=16)
def _gauss(order: int) -> tuple[Array, Array]:
    """Points and weights on 0 to 1."""
    nodes, weights = np.polynomial.legendre.leggauss(order)
    return (nodes + 1.0) / 2.0, weights / 2.0


def _on_cells(sheets: _Sheets, cells: Array, piece: Rows, order: int) -> Nodes:
    nodes, weights = _gauss(order)
    across, up = np.repeat(nodes, order), np.tile(nodes, order)
    u = cells[:, 0, None] + cells[:, 2, None] * across
    v = cells[:, 1, None] + cells[:, 3, None] * up
    each = np.broadcast_to(piece[:, None], u.shape)
    points, per_unit = sheets.at(each, u, v)
    areas = per_unit * (cells[:, 2] * cells[:, 3])[:, None] * np.outer(weights, weights).ravel()
    return Nodes(points.reshape(-1, 3), areas.reshape(-1), sheets.face[each].reshape(-1))
