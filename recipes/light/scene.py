"""What light falls where, from every source and along every path: straight, off the boards, off the room?

Put sources, boards, things in the way and the room into a `Scene`, ask `illuminate` for points and the directions they
face. Flash comes in lx·s, ambient in lux; they are never added here, since only a shutter time can.

Paths counted: straight; source, board, receiver; source, wall, receiver; and everything later as an exchange of light
between the surfaces of the room.
Boards are opaque and shade what is behind them. What boards send to the walls is in that exchange; what they send to
each other is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from recipes.light.bounce import LitSurface, lit_surface
from recipes.light.geometry import Face
from recipes.light.interreflection import RoomBox, later_bounces
from recipes.light.obstruction import Blocker, visible_share
from recipes.light.source import Kind, PointEmitter, Source, glowing_face
from recipes.light.spread import combined_stops
from recipes.quantity import Array, N, at_least_zero, part, plain

__all__ = [
    "DIRECT",
    "ROOM",
    "ROOM_AGAIN",
    "Blocker",
    "Board",
    "Illumination",
    "PointEmitter",
    "RoomBox",
    "Scene",
    "Source",
    "glowing_face",
    "illuminate",
    "luminance_of",
]

DIRECT = "direct"
"""The path straight from the source."""

ROOM = "room"
"""The path by one bounce off floor, ceiling or a wall."""

ROOM_AGAIN = "room again"
"""All paths with two bounces or more."""

ROOM_COARSER = 2.0
"""Walls are sampled at twice the spacing of boards: half a hundredth of a stop, against half a stop of spread."""

FLUSH_M = 0.05
BEHIND_THE_WALL_M = 0.5
"""A wall that a recipe bounces off is given as a board; measured twice, it never lies exactly in the room's wall."""

BOARD_SPREAD_STOPS = 0.1
"""A board's reflectance as a sheet states it: common practice, no source."""


@dataclass(frozen=True, eq=False)
class Board:
    """A board to bounce off; its front is the face's. The back is black unless ``back_reflectance`` says otherwise.

    ``spread_stops`` is one standard deviation of the reflectance.
    """

    label: str
    face: Face
    reflectance: float
    back_reflectance: float = 0.0
    spread_stops: float = BOARD_SPREAD_STOPS

    def __post_init__(self) -> None:
        part(f"reflectance of {self.label}", self.reflectance)
        part(f"back_reflectance of {self.label}", self.back_reflectance)
        at_least_zero(f"spread_stops of {self.label}", self.spread_stops)


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that lights, reflects or shades.

    Raises ValueError when two sources, or two boards, have one label, or when a source stands outside the room.
    """

    sources: tuple[Source, ...]
    boards: tuple[Board, ...] = ()
    blockers: tuple[Blocker, ...] = ()
    room: RoomBox | None = None

    def __post_init__(self) -> None:
        _distinct("source", [source.label for source in self.sources])
        _distinct("board", [DIRECT, ROOM, ROOM_AGAIN, *(board.label for board in self.boards)])
        for source in self.sources:
            if self.room is not None and self.room.outside(source.centre):
                raise ValueError(
                    f"{source.label} stands outside the room, at {_place(source.centre)}; "
                    "move it inside, or correct the room's size or its mark."
                )

    @property
    def paths(self) -> tuple[str, ...]:
        """The paths that are counted apart: direct, each board by its label, room, room again."""
        room = (ROOM, ROOM_AGAIN) if self.room is not None else ()
        return (DIRECT, *(board.label for board in self.boards), *room)


@dataclass(frozen=True, eq=False)
class Illumination:
    """What arrives at the receivers.

    ``amounts`` (sources, paths, ...) in lx·s for flash and lux for ambient sources; the last axes are those of the
    points. `sources` and `paths` name the first two.
    """

    sources: tuple[Source, ...]
    paths: tuple[str, ...]
    amounts: Array
    path_spreads_stops: tuple[float, ...]

    @property
    def flash_lxs(self) -> Array:
        """All flash together, (...) in lx·s."""
        return self._total("flash")

    @property
    def ambient_lux(self) -> Array:
        """All ambient together, (...) in lux."""
        return self._total("ambient")

    def of_source(self, label: str) -> Array:
        """One source along all its paths, (...) in lx·s or lux. Raises KeyError."""
        return np.asarray(self.amounts[self._row(label)].sum(axis=0))

    def of_path(self, label: str, path: str) -> Array:
        """One source along one path, (...) in lx·s or lux. Raises KeyError."""
        if path not in self.paths:
            raise KeyError(f"there is no path {path!r}; the paths are {', '.join(self.paths)}")
        return np.asarray(self.amounts[self._row(label), self.paths.index(path)])

    def spread_stops(self, kind: Kind) -> Array:
        """One standard deviation of that kind's total, (...) in stops.

        Each source's flux is off by itself, on all its paths at once; each reflectance is off by itself, for all
        sources at once.
        """
        rows = self._rows(kind)
        light = self.amounts[rows]
        total = light.sum(axis=(0, 1))
        share = light / np.where(total > 0, total, 1.0)
        own = np.array([self.sources[row].spread_stops for row in rows])
        of_sources = np.einsum("s...,s->s...", share.sum(axis=1), own)
        of_paths = np.einsum("p...,p->p...", share.sum(axis=0), np.array(self.path_spreads_stops))
        return np.asarray(combined_stops(*of_sources, *of_paths)) + np.zeros(total.shape)

    def _total(self, kind: Kind) -> Array:
        return np.asarray(self.amounts[self._rows(kind)].sum(axis=(0, 1)))

    def _rows(self, kind: Kind) -> list[int]:
        return [row for row, source in enumerate(self.sources) if source.kind == kind]

    def _row(self, label: str) -> int:
        for row, source in enumerate(self.sources):
            if source.label == label:
                return row
        raise KeyError(
            f"there is no source {label!r}; the sources are {', '.join(s.label for s in self.sources)}"
        )


def illuminate(scene: Scene, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
    """The light at receivers: points (..., 3) in m that face along unit normals (..., 3); shapes broadcast.

    Raises ValueError when a point lies outside the room.
    """
    points, directions = np.broadcast_arrays(
        np.asarray(points_m, dtype=np.float64), np.asarray(normals, dtype=np.float64)
    )
    shape = points.shape[:-1]
    receivers, facing = points.reshape(-1, 3), directions.reshape(-1, 3)
    if scene.room is not None:
        beyond: NDArray[np.bool_] = scene.room.outside(receivers)
        if beyond.any():
            raise ValueError(
                f"the point {_place(receivers[beyond][0])} lies outside the room; "
                "move it inside, or correct the room's size or its mark."
            )
    boards = [_lit_board(scene, board, receivers) for board in scene.boards]
    amounts = [_direct(scene, receivers, facing)]
    for board, lit in zip(scene.boards, boards, strict=True):
        amounts.append(_off_board(scene, board, lit, receivers, facing))
    spreads = [0.0, *(board.spread_stops for board in scene.boards)]
    if scene.room is not None:
        first, again = _off_room(scene, scene.room, boards, receivers, facing)
        amounts += [first, again]
        spreads += [scene.room.spread_stops] * 2
    return Illumination(
        sources=scene.sources,
        paths=scene.paths,
        amounts=np.stack(amounts, axis=1).reshape(len(scene.sources), len(amounts), *shape),
        path_spreads_stops=tuple(spreads),
    )


def luminance_of(reflectance: N, illuminance: N) -> N:
    """Luminance of a matt surface: ``rho E / pi``. Lux gives cd/m², lx·s gives cd·s/m²."""
    return plain(part("reflectance", reflectance) * at_least_zero("illuminance", illuminance) / np.pi)


def _direct(scene: Scene, points: Array, normals: Array) -> Array:
    obstacles = _obstacles(scene)
    light = np.zeros((len(scene.sources), len(points)))
    for row, source in enumerate(scene.sources):
        light[row] = source.light_at(points, normals)
        if obstacles and light[row].any():
            light[row] *= visible_share(source, points, normals, obstacles)
    return light


def _lit_board(scene: Scene, board: Board, receivers: Array) -> tuple[LitSurface, ...]:
    """The front, and the back when it reflects."""
    obstacles = _obstacles(scene, but=board)
    sides = [(board.face, board.reflectance)]
    if board.back_reflectance > 0:
        sides.append((board.face.turned_over(), board.back_reflectance))
    return tuple(
        lit_surface(face, reflectance, scene.sources, obstacles, seen_from=receivers)
        for face, reflectance in sides
    )


def _off_board(scene: Scene, board: Board, lit: Sequence[LitSurface], points: Array, normals: Array) -> Array:
    obstacles = _obstacles(scene, but=board)
    light = np.zeros((len(scene.sources), len(points)))
    for surface in lit:
        light += surface.light_at(points, normals, obstacles)
    return light


def _off_room(
    scene: Scene, room: RoomBox, boards: Sequence[Sequence[LitSurface]], points: Array, normals: Array
) -> tuple[Array, Array]:
    obstacles = _obstacles(scene)
    from_boards = np.zeros(len(scene.sources))
    for sides in boards:
        for side in sides:
            from_boards += side.reflected_lm
    surfaces = [
        lit_surface(
            wall,
            reflectance,
            scene.sources,
            obstacles,
            seen_from=points,
            coarser=ROOM_COARSER,
            covered_by=_flush_with(wall, scene),
        )
        for _, wall, reflectance in room.surfaces
    ]
    first = np.sum([surface.light_at(points, normals, obstacles) for surface in surfaces], axis=0)
    return first, later_bounces(room, surfaces, from_boards).light_at(points, normals)


def _flush_with(wall: Face, scene: Scene) -> list[Face]:
    """Boards and panes that are part of a wall, or stand just behind it: the wall is not counted there once more."""
    faces = [board.face for board in scene.boards]
    faces += [source.emitter for source in scene.sources if isinstance(source.emitter, Face)]
    before = [wall.height_over(face.corners_round()) for face in faces]
    return [
        face
        for face, heights in zip(faces, before, strict=True)
        if heights.max() < FLUSH_M and heights.min() > -BEHIND_THE_WALL_M
    ]


def _obstacles(scene: Scene, but: Board | None = None) -> tuple[Blocker, ...]:
    return scene.blockers + tuple(
        Blocker(board.face, label=board.label) for board in scene.boards if board is not but
    )


def _distinct(what: str, labels: list[str]) -> None:
    for label in labels:
        if labels.count(label) > 1:
            raise ValueError(f"the {what} label {label!r} is used twice; give each {what} one of its own.")


def _place(point: Array) -> str:
    return "({:.2f}, {:.2f}, {:.2f}) m".format(*point)
