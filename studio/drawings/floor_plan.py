"""Where does everything stand on the floor plan?

The plan is seen from above with the camera at the bottom, looking up the page; left on the page is left for the camera.
The frame of the calculation has +y towards the camera and +x at bearing 90, so on the page x runs the other way: the
drawing is turned by half a circle and never mirrored.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2, degrees, dist, hypot, radians, tan

from studio.drawings.plan_page import Outline, Page, Placed, Ray, towards, turn_deg, turned
from studio.drawings.plan_scene import (
    BoardMark,
    CameraMark,
    LightArea,
    LightMark,
    PlanRoom,
    PlanScene,
    Point,
    SpotMark,
    SunPatch,
    WindowMark,
)

__all__ = [
    "BoardMark",
    "CameraMark",
    "Contour",
    "FloorPlan",
    "LightArea",
    "LightMark",
    "PlanRoom",
    "PlanScene",
    "Point",
    "SpotMark",
    "SunPatch",
    "WindowMark",
    "floor_plan",
]

PAGE_WIDTH, PAGE_HEIGHT = 480.0, 560.0
"""The most that the drawing takes, in its own units; the page scales it."""
CLOSEST_UNITS_PER_M = 140.0
MARGIN_M = 0.45
WALL_WITHIN_M = 2.5
CLEAR_OF_NAMES_M = 0.8
CLEAR_OF_WALLS_M = 0.4
BADGE_BEHIND = 22.0
DISTANCE_BEHIND = 52.0
STRIP = 40.0
AT_THE_MARK_M = 0.5
SCALE_BARS_M = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2)


@dataclass(frozen=True)
class Contour:
    """A line of equal placement as an SVG path, with a place for its number."""

    placement_stops: float
    path: str
    x: float
    y: float


@dataclass(frozen=True)
class FloorPlan:
    """The whole drawing in its own units, y down the page. ``units_per_m`` is its scale."""

    width: float
    height: float
    units_per_m: float
    mark: Point
    walls: str
    panes: tuple[Outline, ...]
    roof_panes: tuple[Outline, ...]
    sun_patches: tuple[Outline, ...]
    sun_words: str
    tolerance_area: str
    light_areas: tuple[Contour, ...]
    spots: tuple[Placed, ...]
    camera: Placed | None
    view: str
    lights: tuple[Placed, ...]
    rays: tuple[Ray, ...]
    boards: tuple[Placed, ...]
    bar_m: float
    bar_units: float
    north_turn_deg: float | None
    room_words: str

    @property
    def page_height(self) -> float:
        """Height with the strip below for the scale bar and the north arrow."""
        return round(self.height + STRIP, 1)

    @property
    def strip_y(self) -> float:
        """The middle of that strip."""
        return round(self.height + 0.55 * STRIP, 1)

    @property
    def north_x(self) -> float:
        """Where the north arrow stands in it."""
        return round(self.width - 18, 1)


def floor_plan(scene: PlanScene) -> FloorPlan:
    """Lay the scene out to scale.

    What stands in the room decides the frame; a wall further than 2.5 m (or three quarters of the set) beyond it is cut
    off. A scene with nothing in it shows the mark in a square metre.
    """
    left, top, right, bottom = _frame(scene)
    units_per_m = min(PAGE_WIDTH / (right - left), PAGE_HEIGHT / (bottom - top), CLOSEST_UNITS_PER_M)
    page = Page(left, top, units_per_m)
    width, height = (right - left) * units_per_m, (bottom - top) * units_per_m
    bar_m = next((m for m in SCALE_BARS_M if m * units_per_m <= 0.3 * width), SCALE_BARS_M[-1])
    return FloorPlan(
        width=round(width, 1),
        height=round(height, 1),
        units_per_m=units_per_m,
        mark=page.at((0.0, 0.0)),
        walls=page.points(_walls(scene.room)) if scene.room else "",
        panes=tuple(page.outline(w.name, w.corners_m) for w in scene.windows if len(w.corners_m) == 2),
        roof_panes=tuple(page.outline(w.name, w.corners_m) for w in scene.windows if len(w.corners_m) > 2),
        sun_patches=tuple(page.outline(sun.when, sun.outline_m, sun.words) for sun in scene.sun_patches),
        sun_words=scene.sun_words,
        tolerance_area=_path(page, (scene.tolerance_area_m, *scene.tolerance_holes_m)),
        light_areas=tuple(_contour(page, area, scene) for area in scene.light_areas),
        spots=tuple(_spot(page, spot) for spot in scene.spots),
        camera=_camera(page, scene.camera) if scene.camera else None,
        view=page.points(_view(scene.camera)) if scene.camera else "",
        lights=tuple(_light(page, number, light) for number, light in enumerate(scene.lights, start=1)),
        rays=tuple(_ray(page, light) for light in scene.lights),
        boards=tuple(_board(page, number, board) for number, board in enumerate(scene.boards)),
        bar_m=bar_m,
        bar_units=round(bar_m * units_per_m, 1),
        north_turn_deg=None if scene.north_deg is None else round((180.0 - scene.north_deg) % 360, 1),
        room_words=_room_words(scene.room),
    )


def _path(page: Page, outlines: tuple[tuple[Point, ...], ...]) -> str:
    return "".join(f"M{page.points(outline).replace(' ', 'L')}Z" for outline in outlines if outline)


def _contour(page: Page, area: LightArea, scene: PlanScene) -> Contour:
    """An area of light, its number at the furthest point of its longest outline that keeps clear of names and walls."""
    path = _path(page, area.outlines_m)
    longest = max(area.outlines_m, key=len, default=())
    clear = [point for point in longest if _is_clear(scene, point)]
    label = page.at(min(clear or longest, key=lambda point: point[1], default=(0.0, 0.0)))
    return Contour(area.placement_stops, path, *label)


def _is_clear(scene: PlanScene, point: Point) -> bool:
    """Whether a number at a point lies over no zone's name and on no wall."""
    if any(dist(point, spot.at_m) <= CLEAR_OF_NAMES_M for spot in scene.spots):
        return False
    if scene.room is None:
        return True
    (left, far), _, (right, near), _ = _walls(scene.room)
    x, y = point
    return min(left - x, x - right, y - far, near - y) > CLEAR_OF_WALLS_M


def _walls(room: PlanRoom) -> tuple[Point, ...]:
    left, far = room.mark_from_left_m, -room.mark_from_far_m
    right, near = left - room.width_m, far + room.depth_m
    return (left, far), (right, far), (right, near), (left, near)


def _frame(scene: PlanScene) -> tuple[float, float, float, float]:
    """Left, top, right, bottom on the page, in metres from the mark."""
    stands = [turned(point) for point in _what_stands(scene)]
    left, right = min(x for x, _ in stands) - MARGIN_M, max(x for x, _ in stands) + MARGIN_M
    top, bottom = min(y for _, y in stands) - MARGIN_M, max(y for _, y in stands) + MARGIN_M
    if scene.room is None:
        return left, top, right, bottom
    beyond = max(WALL_WITHIN_M, 0.75 * max(right - left, bottom - top))
    edge = 0.12
    walls = [turned(point) for point in _walls(scene.room)]
    wall_left, wall_right = min(x for x, _ in walls) - edge, max(x for x, _ in walls) + edge
    wall_top, wall_bottom = min(y for _, y in walls) - edge, max(y for _, y in walls) + edge
    return (
        min(left, wall_left) if wall_left > left - beyond else left,
        min(top, wall_top) if wall_top > top - beyond else top,
        max(right, wall_right) if wall_right < right + beyond else right,
        max(bottom, wall_bottom) if wall_bottom < bottom + beyond else bottom,
    )


def _what_stands(scene: PlanScene) -> Iterator[Point]:
    yield from ((-0.5, -0.5), (0.5, 0.5))
    if scene.camera:
        yield scene.camera.at_m
    for light in scene.lights:
        away = _away(light)
        yield light.at_m[0] + 0.3 * away[0], light.at_m[1] + 0.3 * away[1]
        yield from _ends(light.at_m, light.face_width_m, away)
    for board in scene.boards:
        yield from _ends(board.at_m, board.width_m, towards(board.facing_deg))
    yield from (spot.at_m for spot in scene.spots)
    yield from scene.tolerance_area_m


def _ends(at: Point, width_m: float, direction: Point) -> tuple[Point, Point]:
    half = width_m / 2
    across = direction[1] * half, -direction[0] * half
    return (at[0] + across[0], at[1] + across[1]), (at[0] - across[0], at[1] - across[1])


def _away(light: LightMark) -> Point:
    """Unit vector from what the light is aimed at to the light; straight to the camera when it stands on its aim."""
    x, y = light.at_m[0] - light.aim_m[0], light.at_m[1] - light.aim_m[1]
    length = hypot(x, y)
    return (x / length, y / length) if length > 1e-6 else (0.0, 1.0)


def _light(page: Page, number: int, light: LightMark) -> Placed:
    away = _away(light)
    x, y = page.at(light.at_m)
    behind = turned(away)
    from_mark = hypot(*light.at_m)
    bearing = degrees(atan2(*light.at_m)) % 360
    words = (
        f"{light.role}, {light.source}, bearing {bearing:.0f}°, {from_mark:.1f} m from the mark, "
        f"{light.height_m:.1f} m high, face {light.face_width_m:.2g} m wide"
    )
    return Placed(
        badge=str(number),
        name=light.name,
        kind=light.role,
        source=light.source,
        x=x,
        y=y,
        turn_deg=turn_deg((-away[0], -away[1])),
        half=max(page.length(light.face_width_m / 2), 5.0),
        badge_x=round(x + BADGE_BEHIND * behind[0], 1),
        badge_y=round(y + BADGE_BEHIND * behind[1], 1),
        words=f"{words}; {light.setting}" if light.setting else words,
    )


def _ray(page: Page, light: LightMark) -> Ray:
    """The distance is from the mark: it stands on the line when the line goes there, else behind the badge."""
    (x1, y1), (x2, y2) = page.at(light.at_m), page.at(light.aim_m)
    if hypot(*light.aim_m) < AT_THE_MARK_M:
        label_x, label_y = x1 + 0.42 * (x2 - x1), y1 + 0.42 * (y2 - y1)
    else:
        behind = turned(_away(light))
        label_x, label_y = x1 + DISTANCE_BEHIND * behind[0], y1 + DISTANCE_BEHIND * behind[1]
    return Ray(x1, y1, x2, y2, f"{hypot(*light.at_m):.1f} m", round(label_x, 1), round(label_y, 1))


def _board(page: Page, number: int, board: BoardMark) -> Placed:
    facing = towards(board.facing_deg)
    x, y = page.at(board.at_m)
    behind = turned(facing)
    return Placed(
        badge=chr(ord("A") + number % 26),
        name=board.name,
        kind=board.kind,
        source="",
        x=x,
        y=y,
        turn_deg=turn_deg(facing),
        half=page.length(board.width_m / 2),
        badge_x=round(x - BADGE_BEHIND * behind[0], 1),
        badge_y=round(y - BADGE_BEHIND * behind[1], 1),
        words=f"{board.kind}, {board.width_m:.1f} m wide, {hypot(*board.at_m):.1f} m from the mark",
    )


def _spot(page: Page, spot: SpotMark) -> Placed:
    x, y = page.at(spot.at_m)
    return Placed("", spot.name, "spot", "", x, y, 0.0, 0.0, x, y, f"{hypot(*spot.at_m):.1f} m from the mark")


def _camera(page: Page, camera: CameraMark) -> Placed:
    x, y = page.at(camera.at_m)
    looks = camera.looks_at_m[0] - camera.at_m[0], camera.looks_at_m[1] - camera.at_m[1]
    distance = hypot(*camera.at_m)
    words = (
        f"{distance:.1f} m from the mark, {camera.height_m:.1f} m high, sees {camera.view_deg:.0f}° across"
    )
    return Placed("", "Camera", "camera", "", x, y, turn_deg(looks), 0.0, x, y, words)


def _view(camera: CameraMark) -> tuple[Point, ...]:
    """The field of view as a triangle that ends a little behind what the camera looks at."""
    x, y = camera.looks_at_m[0] - camera.at_m[0], camera.looks_at_m[1] - camera.at_m[1]
    length = hypot(x, y) or 1.0
    reach = length + min(1.5, 0.4 * length)
    half = reach * tan(radians(min(camera.view_deg, 170.0) / 2))
    end = camera.at_m[0] + x / length * reach, camera.at_m[1] + y / length * reach
    one, other = _ends(end, 2 * half, (x / length, y / length))
    return camera.at_m, one, other


def _room_words(room: PlanRoom | None) -> str:
    if room is None:
        return "No room is given."
    return (
        f"{room.name}: {room.width_m:.1f} m wide, {room.depth_m:.1f} m deep; the mark is {room.mark_from_left_m:.1f} m "
        f"from the left wall and {room.mark_from_far_m:.1f} m from the far wall, as the camera sees them."
    )
