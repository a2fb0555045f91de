"""How even is the light over the floor plan, and how far may the subject move?

Light at one height and for one facing on a grid of points, as an array; the areas between two levels as polygons; and
the area round the mark in which the light stays within a tolerance, in m². Between grid points the logarithm of the
light runs straight (`recipes.light.contours`), so areas and outlines are good to a grid step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from shapely.geometry import MultiPolygon, Point, Polygon, box

from recipes.light.contours import area_between
from recipes.light.edges import feet, marked, shadow_lines
from recipes.light.geometry import Face
from recipes.light.refining import Asked, Plan, refined
from recipes.light.scene import Illumination, LitScene, Scene, Source, light_scene
from recipes.light.window_room import WindowsInRoom
from recipes.quantity import Array, N, above_zero, finite, plain, within

__all__ = [
    "Around",
    "FloorGrid",
    "LightMap",
    "RoomToMove",
    "light_map",
    "map_of",
    "room_to_move",
    "window_map",
]

_DARK = 1e-12

_SHARP_M = 0.2
"""How far apart points may be where light comes straight or off a board that is matt, and turns out smooth."""

_NARROW_M = 0.3

_SOFT_M = 0.6
"""The same for the lobes of silver boards and for what the room adds."""

_MISSES_OF_A_ROOM_STOPS = 0.03
_MISSES_PER_STOP_BEYOND = 0.2


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

    def at(self, x_m: N, y_m: N) -> N:
        """Stops at points of the plan, straight between grid points. Raises ValueError outside the grid."""
        x = within("x_m", x_m, float(self.x_m[0]), float(self.x_m[-1]))
        y = within("y_m", y_m, float(self.y_m[0]), float(self.y_m[-1]))
        across, down = _between(self.x_m, np.atleast_1d(x)), _between(self.y_m, np.atleast_1d(y))
        found = ((down @ self._finite) * across).sum(axis=1)
        return plain(found if x.ndim else found[0])

    def between(self, low_stops: float, high_stops: float) -> MultiPolygon:
        """The areas where the light lies from one level to another, in m of the plan; infinite levels are open."""
        return area_between(self.x_m, self.y_m, self._finite, low_stops, high_stops)

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
class Around:
    """Of a map only the area round a mark is wanted where the light stays within a tolerance."""

    mark_m: tuple[float, float]
    tolerance_stops: float

    def misses_stops(self, plan: Plan, light: Array) -> Array:
        """By how much what a room adds may be missed: the further beyond the tolerance, the more."""
        here = LightMap(plan.x_m, plan.y_m, np.log2(np.maximum(light, _DARK))).at(*self.mark_m)
        beyond = np.abs(np.log2(np.maximum(light, _DARK)) - here) - self.tolerance_stops
        return np.maximum(_MISSES_OF_A_ROOM_STOPS, _MISSES_PER_STOP_BEYOND * beyond)


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

    Parameters: height of the receivers in m, the unit vector (3,) they face, shutter time in s.
    """
    above_zero("time_s", time_s)
    weights = np.array([time_s if source.kind == "ambient" else 1.0 for source in scene.sources])
    x, y = np.meshgrid(_a_few(grid.x_m), _a_few(grid.y_m))
    seen_from = _points(x.ravel(), y.ravel(), height_m)
    return map_of(light_scene(scene, seen_from), grid, height_m, facing, weights)


def map_of(
    lit: LitScene,
    grid: FloorGrid,
    height_m: float,
    facing: ArrayLike,
    weights: Array,
    beside: Array | float = 0.0,
    around: Around | None = None,
) -> LightMap:
    """Light over the plan from a scene that is lit already: log2 of the sum of its sources, each times its weight, and
    of what is there beside them.

    Parameters: height of the receivers in m, the unit vector (3,) they face, weights (sources,), other light (ny, nx)
    in the unit of the sum, what of the map is wanted if not all. A fine map is asked for only where the light is not
    smooth (`recipes.light.refining`), each way by itself: shadows are sharp and quick, what boards and a room send is
    soft and slow.
    """
    plan = Plan(grid.x_m, grid.y_m)

    def weighed(way: Callable[[ArrayLike, ArrayLike], Illumination]) -> Asked:
        return lambda x, y: np.asarray(
            np.tensordot(weights, way(_points(x, y, height_m), facing).amounts.sum(axis=1), axes=1)
        )

    edges = marked(plan, _lines(lit.scene, height_m)) if plan.stride(_SHARP_M) > 1 else None
    total = np.broadcast_to(np.asarray(beside, dtype=np.float64), plan.shape)
    total = total + refined(plan, weighed(lit.straight), _SHARP_M, beside=total, edges=edges)
    if lit.scene.panels:
        total = total + refined(plan, weighed(lit.of_matt), _SHARP_M, beside=total, edges=edges)
    if any(board.gloss is not None for board in lit.scene.boards):
        total = total + refined(plan, weighed(lit.of_lobes), _SOFT_M, beside=total)
    if lit.scene.room is not None:
        misses = _MISSES_OF_A_ROOM_STOPS if around is None else around.misses_stops
        total = total + refined(plan, weighed(lit.of_room), _SOFT_M, beside=total, misses_stops=misses)
    with np.errstate(divide="ignore"):
        return LightMap(grid.x_m, grid.y_m, np.log2(np.where(total > _DARK, total, 0.0)))


def window_map(windows: WindowsInRoom, grid: FloorGrid, height_m: float, facing: ArrayLike) -> Array:
    """Illuminance of windows over the plan, (ny, nx) in lux: at one height in m, along one unit vector (3,)."""
    plan = Plan(grid.x_m, grid.y_m)

    def told(way: Callable[[Array, Array], Array]) -> Asked:
        def ask(x: Array, y: Array) -> Array:
            points = _points(x, y, height_m)
            return way(points, np.broadcast_to(np.asarray(facing, dtype=np.float64), points.shape))

        return ask

    edges = marked(plan, _lines(windows.stage.scene, height_m)) if plan.stride(_SHARP_M) > 1 else None
    straight = refined(plan, told(windows.straight_lux), _SHARP_M, edges=edges)
    return straight + refined(
        plan, told(windows.off_lux), _SOFT_M, beside=straight, misses_stops=_MISSES_OF_A_ROOM_STOPS
    )


def _lines(scene: Scene, height_m: float) -> Array:
    """Where light breaks off on the level of the receivers: at hard shadows, and at what is too narrow to be met by
    coarse points."""
    emitters = [source.emitter for source in scene.sources]
    things = [blocker.face for blocker in scene.obstacles]
    narrow = [thing for thing in things if thing.narrow_m < _NARROW_M]
    faces = [one for one in emitters if isinstance(one, Face) and one.narrow_m < _NARROW_M]
    points = np.array([one.position_m for one in emitters if not isinstance(one, Face)]).reshape(-1, 3)
    lamps = np.concatenate([np.zeros((0, 3)), *(_ends(source) for source in scene.sources)])
    lines = [shadow_lines(points, things, height_m), shadow_lines(lamps, narrow, height_m)]
    return np.concatenate([*lines, feet([*faces, *narrow], height_m)])


def _ends(source: Source) -> Array:
    emitter = source.emitter
    return emitter.corners_round() if isinstance(emitter, Face) else source.centre[None, :]


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


def _between(few: Array, many: Array) -> Array:
    """The weights (many, few) that carry values at a few places straight to many between them."""
    upper = np.maximum(np.searchsorted(few, many), 1)
    part = (many - few[upper - 1]) / (few[upper] - few[upper - 1])
    weights = np.zeros((len(many), len(few)))
    rows = np.arange(len(many))
    weights[rows, upper - 1], weights[rows, upper] = 1.0 - part, part
    return weights


def _points(x: Array, y: Array, height_m: float) -> Array:
    return np.column_stack([x, y, np.full(len(x), float(finite("height_m", height_m)))])


def _a_few(values: Array) -> Array:
    """Every fourth of some places, of many a dozen."""
    return np.unique(np.append(values[:: max(4, len(values) // 12)], values[-1]))
