"""How even is the light over the floor plan, and how far may the subject move?

Light at one height and for one facing on a grid of points, as an array; the areas between two levels as polygons; and
the area round the mark in which the light stays within a tolerance, in m². Inside a grid cell the logarithm of the
light runs straight over two triangles, so areas and outlines are exact for that surface and good to a grid step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from scipy.interpolate import RegularGridInterpolator
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from recipes.light.scene import Illumination, Scene, illuminate
from recipes.quantity import Array, above_zero, finite

__all__ = ["FloorGrid", "LightMap", "RoomToMove", "light_map", "room_to_move"]

_DARK = 1e-12
_AS_GOOD_AS_ON_IT = 1e-9

Corner = tuple[float, float, float]


@dataclass(frozen=True)
class FloorGrid:
    """Points of the floor plan: from and to in x and y, in m, and how far apart at most."""

    x_from_m: float
    x_to_m: float
    y_from_m: float
    y_to_m: float
    spacing_m: float

    def __post_init__(self) -> None:
        above_zero("spacing_m", self.spacing_m)
        for name in ("x_from_m", "x_to_m", "y_from_m", "y_to_m"):
            finite(name, getattr(self, name))
        if self.x_to_m <= self.x_from_m or self.y_to_m <= self.y_from_m:
            raise ValueError(
                "the grid has no width or no depth; give x_to_m and y_to_m above x_from_m and y_from_m."
            )

    @property
    def x_m(self) -> Array:
        """Columns, (nx,)."""
        return self._along(self.x_from_m, self.x_to_m)

    @property
    def y_m(self) -> Array:
        """Rows, (ny,)."""
        return self._along(self.y_from_m, self.y_to_m)

    def _along(self, start: float, end: float) -> Array:
        return np.linspace(start, end, int(np.ceil((end - start) / self.spacing_m)) + 1)


@dataclass(frozen=True, eq=False)
class LightMap:
    """Light over the plan: columns ``x_m`` (nx,), rows ``y_m`` (ny,), and ``stops`` (ny, nx), log2 of the light in any
    one unit; minus infinity in the dark."""

    x_m: Array
    y_m: Array
    stops: Array

    def at(self, x_m: float, y_m: float) -> float:
        """Stops at a point of the plan, straight between grid points. Raises ValueError outside the grid."""
        return float(RegularGridInterpolator((self.y_m, self.x_m), self._finite)([y_m, x_m])[0])

    def between(self, low_stops: float, high_stops: float) -> MultiPolygon:
        """The areas where the light lies from one level to another, in m of the plan; infinite levels are open."""
        return _area_between(self.x_m, self.y_m, self._finite, low_stops, high_stops)

    def contours(self, levels_stops: ArrayLike) -> tuple[MultiPolygon, ...]:
        """For each level the areas that have at least so much light."""
        return tuple(
            self.between(float(level), np.inf) for level in np.asarray(levels_stops, dtype=np.float64)
        )

    @property
    def _finite(self) -> Array:
        """Darkness as a very low number, so that straight lines through it exist."""
        return np.maximum(self.stops, -200.0)


@dataclass(frozen=True)
class RoomToMove:
    """Where the light stays within the tolerance: all such areas, the one that holds the mark, and its size.

    ``reaches_edge`` says that the area round the mark runs into the edge of the grid, so it may be larger.
    """

    everywhere: MultiPolygon
    round_mark: Polygon
    area_m2: float
    reaches_edge: bool


def light_map(scene: Scene, grid: FloorGrid, height_m: float, facing: ArrayLike, time_s: float) -> LightMap:
    """Flash plus ambient over the plan, as a camera with this shutter time adds them: log2 of lx·s.

    Parameters: height of the receivers in m, the unit vector (3,) they face, shutter time in s. What the room adds is
    soft, so it is computed on every fourth point and carried to the others.
    """
    above_zero("time_s", time_s)
    x, y = grid.x_m, grid.y_m
    total = _exposure(illuminate(_without_room(scene), _points(x, y, height_m), facing), time_s)
    if scene.room is not None:
        few_x, few_y = _every_fourth(x), _every_fourth(y)
        lit = illuminate(scene, _points(few_x, few_y, height_m), facing)
        added = _exposure(lit, time_s, from_path=len(scene.paths) - 2)
        rows, columns = np.meshgrid(y, x, indexing="ij")
        total = total + RegularGridInterpolator((few_y, few_x), added)(np.stack([rows, columns], axis=-1))
    with np.errstate(divide="ignore"):
        return LightMap(x, y, np.log2(np.where(total > _DARK, total, 0.0)))


def room_to_move(
    light: LightMap, tolerance_stops: float, mark_m: tuple[float, float] = (0.0, 0.0)
) -> RoomToMove:
    """The area round the mark where the light stays within a tolerance of what it is at the mark.

    Raises ValueError when the mark lies outside the grid.
    """
    above_zero("tolerance_stops", tolerance_stops)
    here = light.at(*mark_m)
    everywhere = light.between(here - tolerance_stops, here + tolerance_stops)
    mark = Point(mark_m)
    round_mark = min(everywhere.geoms, key=lambda area: area.distance(mark))
    edge = box(light.x_m[0], light.y_m[0], light.x_m[-1], light.y_m[-1]).exterior
    return RoomToMove(everywhere, round_mark, float(round_mark.area), bool(round_mark.distance(edge) < 1e-9))


def _exposure(lit: Illumination, time_s: float, from_path: int = 0) -> Array:
    weights = np.array([time_s if source.kind == "ambient" else 1.0 for source in lit.sources])
    return np.asarray(np.einsum("s,sp...->...", weights, lit.amounts[:, from_path:]))


def _without_room(scene: Scene) -> Scene:
    return Scene(scene.sources, scene.boards, scene.blockers, scrims=scene.scrims)


def _points(x: Array, y: Array, height_m: float) -> Array:
    rows, columns = np.meshgrid(y, x, indexing="ij")
    return np.stack([columns, rows, np.full(rows.shape, float(finite("height_m", height_m)))], axis=-1)


def _every_fourth(values: Array) -> Array:
    return np.unique(np.append(values[::4], values[-1]))


def _area_between(x: Array, y: Array, values: Array, low: float, high: float) -> MultiPolygon:
    """Cells that lie inside go as whole runs; those that a level crosses are cut, as two triangles each.

    A corner within a hair of a level is put on it: a sliver thinner than the digits of its corners has no outline.
    """
    for level in (low, high):
        values = np.where(np.abs(values - level) < _AS_GOOD_AS_ON_IT, level, values)
    corners = np.stack([values[:-1, :-1], values[:-1, 1:], values[1:, 1:], values[1:, :-1]])
    least, most = corners.min(axis=0), corners.max(axis=0)
    whole = (least >= low) & (most <= high)
    pieces: list[BaseGeometry] = [*_runs(x, y, whole)]
    for row, column in np.argwhere(~whole & (most >= low) & (least <= high)):
        square = [
            (x[column], y[row], values[row, column]),
            (x[column + 1], y[row], values[row, column + 1]),
            (x[column + 1], y[row + 1], values[row + 1, column + 1]),
            (x[column], y[row + 1], values[row + 1, column]),
        ]
        for triangle in ((square[0], square[1], square[2]), (square[0], square[2], square[3])):
            cut = _clipped(_clipped(list(triangle), low, above=True), high, above=False)
            if len(cut) >= 3:
                pieces.append(Polygon([corner[:2] for corner in cut]))
    joined = shapely.union_all(pieces)
    areas = [
        part for part in getattr(joined, "geoms", [joined]) if isinstance(part, Polygon) and not part.is_empty
    ]
    return MultiPolygon(areas)


def _runs(x: Array, y: Array, whole: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> list[Polygon]:
    """One rectangle for each unbroken run of whole cells in a row."""
    found = []
    for row, cells in enumerate(whole):
        steps = np.diff(np.concatenate([[0], cells.astype(np.int8), [0]]))
        for first, last in zip(np.flatnonzero(steps == 1), np.flatnonzero(steps == -1), strict=True):
            found.append(box(x[first], y[row], x[last], y[row + 1]))
    return found


def _clipped(corners: list[Corner], level: float, above: bool) -> list[Corner]:
    """The part of a triangle, or of what is left of it, that lies above or below a level of its third coordinate."""
    if not np.isfinite(level):
        return corners
    kept: list[Corner] = []
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        start_in = start[2] >= level if above else start[2] <= level
        end_in = end[2] >= level if above else end[2] <= level
        if start_in:
            kept.append(start)
        if start_in != end_in:
            kept.append(_crossing(min(start, end), max(start, end), level))
    return kept


def _crossing(start: Corner, end: Corner, level: float) -> Corner:
    """Where the edge meets the level. Neighbours give its ends in one order, so they find the very same point."""
    part = (level - start[2]) / (end[2] - start[2])
    return start[0] + part * (end[0] - start[0]), start[1] + part * (end[1] - start[1]), level
