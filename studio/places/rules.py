"""What a room must hold to: the mark stands inside it, and each pane lies in its wall."""

from __future__ import annotations

from collections.abc import Iterator

from gear.errors import FieldProblem
from studio.places.entries import RoomEntry, WindowEntry

__all__ = ["room_problems", "wall_length_m"]

SLACK_M = 0.005
MOST_WINDOWS = 60
MOST_CIRCUITS = 60


def room_problems(room: RoomEntry) -> tuple[FieldProblem, ...]:
    """What does not fit together, field by field; empty when all does."""
    return tuple(_problems(room))


def wall_length_m(wall: str, width_m: float, depth_m: float) -> float:
    """How long a wall is; for the roof, how far a pane may lie from the left wall."""
    return depth_m if wall in ("left", "right") else width_m


def _problems(room: RoomEntry) -> Iterator[FieldProblem]:
    if not 0 <= room.mark_x_m <= room.width_m:
        yield FieldProblem(
            "mark_x_m", f"a distance inside the room, 0 to {room.width_m:g} m; {room.mark_x_m:g} m is outside"
        )
    if not 0 <= room.mark_y_m <= room.depth_m:
        yield FieldProblem(
            "mark_y_m", f"a distance inside the room, 0 to {room.depth_m:g} m; {room.mark_y_m:g} m is outside"
        )
    if room.beam_height_m is not None and room.beam_height_m > room.height_m:
        yield FieldProblem("beam_height_m", f"not above the ceiling, which is at {room.height_m:g} m")
    if len(room.windows) > MOST_WINDOWS:
        yield FieldProblem("windows", f"at most {MOST_WINDOWS}")
    if len(room.circuits) > MOST_CIRCUITS:
        yield FieldProblem("circuits", f"at most {MOST_CIRCUITS}")
    for where, names in (
        ("windows", [window.name for window in room.windows]),
        ("circuits", [circuit.name for circuit in room.circuits]),
    ):
        for index, name in enumerate(names):
            if name in names[:index]:
                yield FieldProblem(f"{where}.{index}.name", f"a name of its own; {name!r} is there already")
    for index, window in enumerate(room.windows):
        yield from _window_problems(room, window, f"windows.{index}")


def _window_problems(room: RoomEntry, window: WindowEntry, where: str) -> Iterator[FieldProblem]:
    length = wall_length_m(window.wall, room.width_m, room.depth_m)
    if window.offset_m + window.width_m > length + SLACK_M:
        yield FieldProblem(
            f"{where}.offset_m",
            f"offset and width together within the wall's {length:g} m; "
            f"{window.offset_m:g} + {window.width_m:g} m is more",
        )
    reach, what = (
        (room.depth_m, "the room's depth") if window.wall == "roof" else (room.height_m, "the ceiling")
    )
    if window.sill_m + window.height_m > reach + SLACK_M:
        yield FieldProblem(
            f"{where}.sill_m",
            f"lower edge and height together within {what}, {reach:g} m; "
            f"{window.sill_m:g} + {window.height_m:g} m is more",
        )
