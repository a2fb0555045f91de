"""What light falls where, from every source and along every path: straight, off the boards, off the room?

Put sources, boards, things in the way and the room into a `Scene`, ask `illuminate` for points and the directions they
face. Flash comes in lx·s, ambient in lux; they are never added here, since only a shutter time can.

Paths counted: straight; by way of boards and scrims, one after the other too; source, wall, receiver; and everything
later as an exchange of light between the surfaces of the room. What comes by several boards and scrims is counted with
the last of them.
Boards are opaque and shade what is behind them; scrims let a part through. What they send to the walls is in that
exchange; what walls send to them and they send on is counted with the room.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from recipes.light.bounce import NOBODY, Falling, LitSurfaces, Surface, lit_from_all_round, lit_surfaces
from recipes.light.exchange import exchanged, taking_normals
from recipes.light.gloss import glossy_light
from recipes.light.illumination import Illumination
from recipes.light.interreflection import RoomBox, later_bounces
from recipes.light.lamps import Lamps
from recipes.light.lit_room import LitRoom
from recipes.light.obstruction import Blocker
from recipes.light.scene_parts import DIRECT, ROOM, ROOM_AGAIN, Board, Scene, place
from recipes.light.scrim import Scrim
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
    "Scrim",
    "Source",
    "glowing_face",
    "illuminate",
    "light_scene",
    "luminance_of",
]


@dataclass(frozen=True, eq=False)
class LitScene:
    """A scene whose boards and room are lit already, so that it answers for any receivers.

    ``boards`` are the sides of boards and scrims that send light out, ``room`` the sides of the room, with all that it
    throws to and fro; None where there are none.
    """

    scene: Scene
    lamps: Lamps
    obstacles: tuple[Blocker, ...]
    boards: LitSurfaces | None
    room: LitRoom | None

    def at(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """The light at receivers: points (..., 3) in m that face along unit normals (..., 3); shapes broadcast.

        Raises ValueError when a point lies outside the room.
        """
        points, facing, shape = _receivers(points_m, normals)
        _refuse_outside(self.scene.room, points)
        amounts = [self._near(points, facing)]
        if self.room is not None:
            amounts.append(self.room.light_at(points, facing))
        return self._told(self.scene.paths, np.concatenate(amounts, axis=1), shape)

    def without_room(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """The same straight and by way of the boards only."""
        points, facing, shape = _receivers(points_m, normals)
        return self._told(self._near_paths, self._near(points, facing), shape)

    def straight(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """Only what comes straight from the sources."""
        points, facing, shape = _receivers(points_m, normals)
        return self._told((DIRECT,), self._straight(points, facing)[:, None], shape)

    def of_matt(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """Only what comes by way of the boards and scrims, as if none of them shone."""
        points, facing, shape = _receivers(points_m, normals)
        return self._told(self._near_paths, self._of_matt(points, facing), shape)

    def of_lobes(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """Only what silver boards throw about the mirror's direction."""
        points, facing, shape = _receivers(points_m, normals)
        return self._told(self._near_paths, self._of_lobes(points, facing), shape)

    def of_room(self, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
        """Only what the room adds; no paths at all outdoors. Raises ValueError when a point lies outside the room."""
        points, facing, shape = _receivers(points_m, normals)
        _refuse_outside(self.scene.room, points)
        if self.room is None:
            return self._told((), np.zeros((len(self.scene.sources), 0, len(points))), shape)
        return self._told((ROOM, ROOM_AGAIN), self.room.light_at(points, facing), shape)

    def _told(self, paths: tuple[str, ...], amounts: Array, shape: tuple[int, ...]) -> Illumination:
        spread = {one.label: one.spread_stops for one in self.scene.panels}
        if self.scene.room is not None:
            spread |= dict.fromkeys((ROOM, ROOM_AGAIN), self.scene.room.spread_stops)
        return Illumination(
            sources=self.scene.sources,
            paths=paths,
            amounts=amounts.reshape(*amounts.shape[:2], *shape),
            path_spreads_stops=tuple(spread.get(path, 0.0) for path in paths),
            # All bounces of a room are off by the same walls.
            hangs_on=tuple(ROOM if path == ROOM_AGAIN else path for path in paths),
        )

    @property
    def _near_paths(self) -> tuple[str, ...]:
        return tuple(path for path in self.scene.paths if path not in (ROOM, ROOM_AGAIN))

    def _near(self, points: Array, normals: Array) -> Array:
        """Straight, then off each board, (sources, paths, r)."""
        found = self._of_matt(points, normals) + self._of_lobes(points, normals)
        found[:, 0] = self._straight(points, normals)
        return found

    def _straight(self, points: Array, normals: Array) -> Array:
        """Past what stands in the way, (sources, r)."""
        direct = self.lamps.light_at(points, normals)
        if self.obstacles:
            direct *= visible_shares(self.lamps, points, normals, self.obstacles, direct > 0)
        return direct

    def _of_matt(self, points: Array, normals: Array) -> Array:
        """Off each board as off a matt one and through each scrim, (sources, paths, r); nothing straight."""
        found = np.zeros((len(self.scene.sources), 1 + len(self.scene.panels), len(points)))
        if self.boards is not None:
            labels = [one.label for one in self.scene.panels for _ in one.sides]
            of_sides = self.boards.light_at(points, normals, self.obstacles)
            for label, light in zip(labels, of_sides, strict=True):
                found[:, self.scene.paths.index(label)] += light
        return found

    def _of_lobes(self, points: Array, normals: Array) -> Array:
        """What silver boards throw about the mirror's direction, (sources, paths, r)."""
        found = np.zeros((len(self.scene.sources), 1 + len(self.scene.panels), len(points)))
        for board in self.scene.boards:
            found[:, self.scene.paths.index(board.label)] += _lobe(
                self.scene, board, points, normals, self.obstacles
            )
        return found


def illuminate(scene: Scene, points_m: ArrayLike, normals: ArrayLike) -> Illumination:
    """The light at receivers: points (..., 3) in m that face along unit normals (..., 3); shapes broadcast.

    Raises ValueError when a point lies outside the room.
    """
    points = np.asarray(points_m, dtype=np.float64).reshape(-1, 3)
    _refuse_outside(scene.room, points)
    return light_scene(scene, points).at(points_m, normals)


def light_scene(
    scene: Scene, seen_from: Array, roughly_from: Array = NOBODY, falling: Falling | None = None
) -> LitScene:
    """The scene with its boards and its room lit, once for all receivers.

    ``seen_from`` (n, 3) are points where receivers will stand, so that boards and walls are sampled finely enough for
    them. Near ``roughly_from`` (n, 3) there may be more of them; one that stands close to a board there is told a
    little less exactly. ``falling`` answers for what the sources throw straight onto boards and walls where they are
    more than `Source` tells.
    """
    lamps, obstacles = Lamps(scene.sources), scene.obstacles
    sides = [side for panel in scene.panels for side in panel.sides]
    walls = scene.walls
    if not sides and not walls:
        return LitScene(scene, lamps, obstacles, None, None)
    lit = lit_surfaces([*sides, *walls], lamps, obstacles, seen_from, roughly_from, falling)
    boards = _exchanged(scene, lit.some(0, len(sides)), obstacles) if sides else None
    room = None
    if scene.room is not None:
        room = _lit_room(scene, scene.room, lit.some(len(sides), len(sides) + len(walls)), boards)
    return LitScene(scene, lamps, obstacles, boards, room)


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
            f"the point {place(points[beyond][0])} lies outside the room; "
            "move it inside, or correct the room's size or its mark."
        )


def _exchanged(scene: Scene, lit: LitSurfaces, obstacles: Sequence[Blocker]) -> LitSurfaces:
    """The boards and scrims with what they send each other; a single one sends nothing to itself."""
    if len(scene.panels) < 2:
        return lit
    owner = _owners(scene)
    taking, lobes = taking_normals(lit), np.zeros(lit.exitance.shape)
    for row, board in enumerate(scene.boards):
        others = np.flatnonzero(owner[lit.nodes.faces] != row)
        lobes[:, others] += _lobe(scene, board, lit.nodes.points[others], taking[others], obstacles)
    return exchanged(lit, owner, obstacles, lobes)


def _owners(scene: Scene) -> NDArray[np.int64]:
    """Which board or scrim (sides,) each side belongs to."""
    return np.array([row for row, panel in enumerate(scene.panels) for _ in panel.sides], dtype=np.int64)


def _hung_on(walls: Sequence[Surface], boards: Sequence[Board]) -> frozenset[str]:
    """The labels of boards that are part of a wall, or hang flush on it."""
    covers = [cover for wall in walls for cover in wall.covered_by]
    return frozenset(board.label for board in boards if any(board.face is cover for cover in covers))


def _matt_sides(scene: Scene, hung: Container[str]) -> list[Surface]:
    """The sides of boards and scrims in light from all round, which leaves a silver one in all directions too. A board
    that hangs on a wall sends nothing of it back: the wall does."""
    lobes = {board.label: board.lobe_share for board in scene.boards}
    return [
        replace(
            side,
            reflectance=0.0
            if panel.label in hung
            else side.reflectance / (1.0 - (lobes.get(panel.label, 0.0) if row == 0 else 0.0)),
        )
        for panel in scene.panels
        for row, side in enumerate(panel.sides)
    ]


def _lit_room(scene: Scene, room: RoomBox, walls: LitSurfaces, boards: LitSurfaces | None) -> LitRoom:
    """The room with all that it throws to and fro, its boards and scrims among it."""
    hung = _hung_on(walls.surfaces, scene.boards)
    between = tuple(blocker for blocker in scene.obstacles if blocker.label not in hung)
    if boards is None:
        return LitRoom.of_walls(walls, later_bounces(room, walls, between=between), between)
    sides = _matt_sides(scene, hung)
    later = later_bounces(room, walls, sides, _sent_lm(scene, boards), between)
    lit = LitRoom.of_walls(walls, later, between)
    by_room = lit_from_all_round(sides, lambda points, normals: lit.light_at(points, normals).sum(axis=1))
    # What walls send them they send each other too.
    return lit.with_boards(
        exchanged(by_room, _owners(scene), scene.obstacles) if len(scene.panels) > 1 else by_room
    )


def _lobe(
    scene: Scene, board: Board, points: Array, normals: Array, obstacles: Sequence[Blocker]
) -> Array | float:
    """What receivers get about the mirror's direction of a board, (sources, r)."""
    if board.gloss is None:
        return 0.0
    return glossy_light(scene.sources, board.face, board.reflectance, board.gloss, points, normals, obstacles)


def _sent_lm(scene: Scene, boards: LitSurfaces) -> Array:
    """Flux that leaves each side of boards and scrims into the room, (sources, sides) in lm; a lobe counts with its
    matt part."""
    lobes = {board.label: board.lobe_share for board in scene.boards}
    matt = np.array(
        [
            1.0 - (lobes.get(panel.label, 0.0) if row == 0 else 0.0)
            for panel in scene.panels
            for row in range(len(panel.sides))
        ]
    )
    own = boards.nodes.faces[:, None] == np.arange(len(matt))
    return np.asarray(boards.exitance @ (boards.nodes.areas_m2[:, None] * own) / matt, dtype=np.float64)
