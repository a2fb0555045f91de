"""What stands in a scene: sources, boards, scrims, flags, and the room round them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from recipes.light.bounce import Surface
from recipes.light.geometry import Face
from recipes.light.gloss import Gloss
from recipes.light.interreflection import RoomBox
from recipes.light.obstruction import Blocker
from recipes.light.scrim import Scrim
from recipes.light.source import Source
from recipes.quantity import Array, at_least_zero, part

__all__ = ["BOARD_SPREAD_STOPS", "DIRECT", "ROOM", "ROOM_AGAIN", "Board", "Scene", "place"]

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

    ``spread_stops`` is one standard deviation of the reflectance. ``gloss`` is how the front shines; None: it is matt.
    """

    label: str
    face: Face
    reflectance: float
    back_reflectance: float = 0.0
    spread_stops: float = BOARD_SPREAD_STOPS
    gloss: Gloss | None = None

    def __post_init__(self) -> None:
        part(f"reflectance of {self.label}", self.reflectance)
        part(f"back_reflectance of {self.label}", self.back_reflectance)
        at_least_zero(f"spread_stops of {self.label}", self.spread_stops)

    @property
    def lobe_share(self) -> float:
        """The part of what the front sends back that goes into its lobe."""
        return self.gloss.share if self.gloss is not None else 0.0

    @cached_property
    def sides(self) -> tuple[Surface, ...]:
        """The matt part of the front, and the back when it reflects."""
        front = Surface(self.face, self.reflectance * (1.0 - self.lobe_share))
        back = Surface(self.face.turned_over(), self.back_reflectance)
        return (front, back) if self.back_reflectance > 0 else (front,)


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that lights, reflects or shades.

    Raises ValueError when two sources, or two boards, have one label, or when a source stands outside the room.
    """

    sources: tuple[Source, ...]
    boards: tuple[Board, ...] = ()
    blockers: tuple[Blocker, ...] = ()
    room: RoomBox | None = None
    scrims: tuple[Scrim, ...] = ()

    def __post_init__(self) -> None:
        _distinct("source", [source.label for source in self.sources])
        _distinct("board", [DIRECT, ROOM, ROOM_AGAIN, *(one.label for one in self.panels)])
        for source in self.sources:
            if self.room is not None and self.room.outside(source.centre):
                raise ValueError(
                    f"{source.label} stands outside the room, at {place(source.centre)}; "
                    "move it inside, or correct the room's size or its mark."
                )

    @property
    def paths(self) -> tuple[str, ...]:
        """The paths that are counted apart: direct, each board and scrim by its label, room, room again."""
        room = (ROOM, ROOM_AGAIN) if self.room is not None else ()
        return (DIRECT, *(one.label for one in self.panels), *room)

    @property
    def panels(self) -> tuple[Board | Scrim, ...]:
        """The boards, then the scrims."""
        return (*self.boards, *self.scrims)

    @property
    def obstacles(self) -> tuple[Blocker, ...]:
        """Flags, boards and scrims; a board does not stand in the way of what it sends back itself."""
        boards = tuple(Blocker(board.face, label=board.label) for board in self.boards)
        return self.blockers + boards + tuple(scrim.blocker for scrim in self.scrims)

    @property
    def walls(self) -> tuple[Surface, ...]:
        """The six sides of the room, in the order of `RoomBox.surfaces`; none outdoors."""
        surfaces = self.room.surfaces if self.room is not None else ()
        faces = [board.face for board in self.boards]
        faces += [source.emitter for source in self.sources if isinstance(source.emitter, Face)]
        return tuple(
            Surface(wall, reflectance, ROOM_COARSER, _flush_with(wall, faces))
            for _, wall, reflectance in surfaces
        )


def _flush_with(wall: Face, faces: Sequence[Face]) -> tuple[Face, ...]:
    """Boards and panes that are part of a wall, or stand just behind it: the wall is not counted there once more."""
    if not faces:
        return ()
    corners = [face.corners_round() for face in faces]
    firsts = np.cumsum([0, *(len(one) for one in corners[:-1])])
    before = wall.height_over(np.concatenate(corners))
    highest, lowest = np.maximum.reduceat(before, firsts), np.minimum.reduceat(before, firsts)
    flush = (highest < FLUSH_M) & (lowest > -BEHIND_THE_WALL_M)
    return tuple(faces[row] for row in np.flatnonzero(flush).tolist())


def _distinct(what: str, labels: list[str]) -> None:
    for label in labels:
        if labels.count(label) > 1:
            raise ValueError(f"the {what} label {label!r} is used twice; give each {what} one of its own.")


def place(point: Array) -> str:
    """A point as a sentence says it."""
    return "({:.2f}, {:.2f}, {:.2f}) m".format(*point)
