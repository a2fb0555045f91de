"""What the floor plan is given: plain values in metres, in the frame of the calculation.

Origin on the floor at the mark, +y from the mark to the camera, +x at bearing 90; bearings in degrees clockwise from
the mark-to-camera line, seen from above.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "BoardMark",
    "CameraMark",
    "LightArea",
    "LightMark",
    "PlanRoom",
    "PlanScene",
    "Point",
    "SpotMark",
    "SunPatch",
    "WindowMark",
]

Point = tuple[float, float]


@dataclass(frozen=True)
class PlanRoom:
    """The room's rectangle: where its walls are from the mark, as the camera sees them."""

    name: str
    width_m: float
    depth_m: float
    mark_from_left_m: float
    mark_from_far_m: float


@dataclass(frozen=True)
class WindowMark:
    """A pane: two ends for one in a wall, four corners for one in the roof."""

    name: str
    corners_m: tuple[Point, ...]


@dataclass(frozen=True)
class CameraMark:
    """Where the camera stands, and how wide it sees. ``view_deg`` is the full horizontal angle."""

    at_m: Point
    view_deg: float
    height_m: float
    looks_at_m: Point = (0.0, 0.0)


@dataclass(frozen=True)
class LightMark:
    """A light. ``aim_m`` is the point of the floor plan that it looks at; ``face_width_m`` the width of its emitting
    face; ``setting`` in words, for the list."""

    name: str
    role: Literal["key", "fill", "rim", "background", "practical"]
    source: Literal["strobe", "continuous"]
    at_m: Point
    aim_m: Point
    height_m: float
    face_width_m: float = 0.2
    setting: str = ""


@dataclass(frozen=True)
class BoardMark:
    """A board, flag, scrim or backdrop: a line of true width that looks to ``facing_deg``."""

    name: str
    at_m: Point
    width_m: float
    facing_deg: float
    kind: Literal["board", "flag", "scrim", "backdrop"] = "board"


@dataclass(frozen=True)
class SpotMark:
    """A place that matters: a zone off the mark."""

    name: str
    at_m: Point


@dataclass(frozen=True)
class SunPatch:
    """Where direct sun lies on the floor; ``when`` in words, ``words`` for the list."""

    when: str
    outline_m: tuple[Point, ...]
    words: str = ""


@dataclass(frozen=True)
class LightArea:
    """Where an incident reading is at least ``placement_stops``: outlines, with those of its holes."""

    placement_stops: float
    outlines_m: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True)
class PlanScene:
    """Everything that the plan can show. ``north_deg`` is the compass bearing of the mark-to-camera line, None when
    nobody measured it. ``tolerance_area_m`` is the outline inside which the subject may
    move, less ``tolerance_holes_m``. ``sun_words`` says what the patches rest on, or that there are none."""

    camera: CameraMark | None = None
    room: PlanRoom | None = None
    windows: tuple[WindowMark, ...] = ()
    lights: tuple[LightMark, ...] = ()
    boards: tuple[BoardMark, ...] = ()
    spots: tuple[SpotMark, ...] = ()
    sun_patches: tuple[SunPatch, ...] = ()
    sun_words: str = ""
    tolerance_area_m: tuple[Point, ...] = ()
    tolerance_holes_m: tuple[tuple[Point, ...], ...] = ()
    light_areas: tuple[LightArea, ...] = ()
    north_deg: float | None = None
