"""What light falls where, from every source and along every path: straight, off the boards, off the room?

Put sources, boards, things in the way and the room into a `Scene`, ask `illuminate` for points and the directions they
face. Flash comes in lx·s, ambient in lux; they are never added here, since only a shutter time can.

Paths counted: straight; source, board, receiver; source, wall, receiver; and everything later as an exchange of light
between the surfaces of the room.
Boards are opaque and shade what is behind them. What boards send to the walls is in that exchange; what they send to
each other is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from recipes.light.bounce import LitSurfaces, Surface, lit_surfaces
from recipes.light.geometry import Face
from recipes.light.illumination import Illumination
from recipes.light.interreflection import RoomBox, RoomLight, later_bounces
from recipes.light.lamps import Lamps
from recipes.light.obstruction import Blocker
from recipes.light.shadow import visible_shares
from recipes.light.source import PointEmitter, Source, glowing_face
from recipes.quantity import Array, N, at_least_zero, part, plain

__all__ = [
    "DIRECT",
    "ROOM",
    "ROOM_AGAIN",
    "Blocker",
    "Board",
    "Illumination",
    "LitScene",
    "PointEmitter",
    "RoomBox",
    "Scene",
    "Source",
    "glowing_face",
    "illuminate",
    "light_scene",
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
class LitScene:
    """A scene whose boards and room are lit already, so that it answers for any receivers.

    ``boards`` are their reflecting sides, ``walls`` the six sides of the room, ``again`` what the room throws to and
    fro; None where there are none.
    """

    scene: Scene
    lamps: Lamps
    obstacles: tuple[Blocker, ...]
    boards: LitSurfaces | None
    walls: LitSurfaces | None
    again: RoomLight | None

    def at(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """The light at receivers: points (..., 3) in m that face along unit normals (..., 3); shapes broadcast.

        Raises ValueError when a point lies outside the room.
        """
        points, facing, shape = _receivers(points_m, normals)
        _refuse_outside(self.scene.room, points)
        amounts = [self._near(points, facing)]
        if self.scene.room is not None:
            amounts.append(self._of_room(points, facing))
        return self._told(self.scene.paths, np.concatenate(amounts, axis=1), shape)

    def without_room(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """The same straight and by way of the boards only."""
        points, facing, shape = _receivers(points_m, normals)
        paths = tuple(path for path in self.scene.paths if path not in (ROOM, ROOM_AGAIN))
        return self._told(paths, self._near(points, facing), shape)

    def of_room(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """Only what the room adds; no paths at all outdoors. Raises ValueError when a point lies outside the room."""
        points, facing, shape = _receivers(points_m, normals)
        _refuse_outside(self.scene.room, points)
        if self.scene.room is None:
            return self._told((), np.zeros((len(self.scene.sources), 0, len(points))), shape)
        return self._told((ROOM, ROOM_AGAIN), self._of_room(points, facing), shape)

    def _told(self, paths: tuple[str, ...], amounts: Array, shape: tuple[int, ...]) -> Illumination:
        spread = {board.label: board.spread_stops for board in self.scene.boards}
        if self.scene.room is not None:
            spread |= dict.fromkeys((ROOM, ROOM_AGAIN), self.scene.room.spread_stops)
        return Illumination(
            sources=self.scene.sources,
            paths=paths,
            amounts=amounts.reshape(*amounts.shape[:2], *shape),
            path_spreads_stops=tuple(spread.get(path, 0.0) for path in paths),
        )

    def _near(self, points: Array, normals: Array) -> Array:
        """Straight, then off each board, (sources, paths, r)."""
        direct = self.lamps.light_at(points, normals)
        if self.obstacles:
            direct *= visible_shares(self.lamps, points, normals, self.obstacles, direct > 0)
        found = np.zeros((len(direct), 1 + len(self.scene.boards), len(points)))
        found[:, 0] = direct
        if self.boards is not None:
            labels = [board.label for board in self.scene.boards for _ in _sides(board)]
            of_sides = self.boards.light_at(points, normals, self.obstacles)
            for label, light in zip(labels, of_sides, strict=True):
                found[:, self.scene.paths.index(label)] += light
        return found

    def _of_room(self, points: Array, normals: Array) -> Array:
        """By one bounce, then by more, (sources, 2, r)."""
        assert self.walls is not None
        assert self.again is not None
        first = self.walls.light_at(points, normals, self.obstacles).sum(axis=0)
        return np.stack([first, self.again.light_at(points, normals)], axis=1)


def illuminate(scene: Scene, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
    """The light at receivers: points (..., 3) in m that face along unit normals (..., 3); shapes broadcast.

    Raises ValueError when a point lies outside the room.
    """
    points = np.asarray(points_m, dtype=np.float64).reshape(-1, 3)
    _refuse_outside(scene.room, points)
    return light_scene(scene, points).at(points_m, normals)


def light_scene(scene: Scene, seen_from: Array) -> LitScene:
    """The scene with its boards and its room lit, once for all receivers.

    ``seen_from`` (n, 3) are points where receivers will stand, so that boards and walls are sampled finely enough for
    them; a receiver much nearer to a board than any of these is told a little less exactly.
    """
    lamps, obstacles = Lamps(scene.sources), _obstacles(scene)
    sides = [side for board in scene.boards for side in _sides(board)]
    walls = _walls(scene)
    if not sides and not walls:
        return LitScene(scene, lamps, obstacles, None, None, None)
    lit = lit_surfaces([*sides, *walls], lamps, obstacles, seen_from)
    boards = lit.some(0, len(sides))
    if scene.room is None:
        return LitScene(scene, lamps, obstacles, boards, None, None)
    room = lit.some(len(sides), len(sides) + len(walls))
    again = later_bounces(scene.room, room, boards.reflected_lm)
    return LitScene(scene, lamps, obstacles, boards if sides else None, room, again)


def luminance_of(reflectance: N, illuminance: N) -> N:
    """Luminance of a matt surface: ``rho E / pi``. Lux gives cd/m², lx·s gives cd·s/m²."""
    return plain(part("reflectance", reflectance) * at_least_zero("illuminance", illuminance) / np.pi)


def _receivers(points_m: ArrayLike, normals: ArrayLike) -> tuple[Array, Array, tuple[int, ...]]:
    """Points and directions (r, 3) each, and the shape that they came in."""
    points, directions = np.broadcast_arrays(
        np.asarray(points_m, dtype=np.float64), np.asarray(normals, dtype=np.float64)
    )
    return points.reshape(-1, 3), directions.reshape(-1, 3), points.shape[:-1]


def _refuse_outside(room: RoomBox | None, points: Array) -> None:
    beyond = room.outside(points) if room is not None else np.zeros(0, dtype=np.bool_)
    if beyond.any():
        raise ValueError(
            f"the point {_place(points[beyond][0])} lies outside the room; "
            "move it inside, or correct the room's size or its mark."
        )


def _sides(board: Board) -> list[Surface]:
    """The front, and the back when it reflects."""
    sides = [Surface(board.face, board.reflectance)]
    if board.back_reflectance > 0:
        sides.append(Surface(board.face.turned_over(), board.back_reflectance))
    return sides


def _walls(scene: Scene) -> list[Surface]:
    surfaces = scene.room.surfaces if scene.room is not None else ()
    return [
        Surface(wall, reflectance, ROOM_COARSER, _flush_with(wall, scene))
        for _, wall, reflectance in surfaces
    ]


def _flush_with(wall: Face, scene: Scene) -> tuple[Face, ...]:
    """Boards and panes that are part of a wall, or stand just behind it: the wall is not counted there once more."""
    faces = [board.face for board in scene.boards]
    faces += [source.emitter for source in scene.sources if isinstance(source.emitter, Face)]
    before = [wall.height_over(face.corners_round()) for face in faces]
    return tuple(
        face
        for face, heights in zip(faces, before, strict=True)
        if heights.max() < FLUSH_M and heights.min() > -BEHIND_THE_WALL_M
    )


def _obstacles(scene: Scene) -> tuple[Blocker, ...]:
    """Flags, scrims and boards; a board does not stand in the way of what it sends back itself."""
    return scene.blockers + tuple(Blocker(board.face, label=board.label) for board in scene.boards)


def _distinct(what: str, labels: list[str]) -> None:
    for label in labels:
        if labels.count(label) > 1:
            raise ValueError(f"the {what} label {label!r} is used twice; give each {what} one of its own.")


def _place(point: Array) -> str:
    return "({:.2f}, {:.2f}, {:.2f}) m".format(*point)
