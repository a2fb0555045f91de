"""A readiness as the drawings need it: the stops scale and the floor plan, from the same numbers as the text."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, degrees, radians, sin
from typing import Any

from recipes.checks.power_range import setting_words
from recipes.checks.setup import AssignedLight, AssignedPanel, Room, Setup
from recipes.checks.sun_on_floor import FloorSun, sun_on_floor
from recipes.look import Look
from studio.drawings.floor_plan import FloorPlan, floor_plan
from studio.drawings.plan_scene import (
    BoardMark,
    CameraMark,
    LightMark,
    PlanRoom,
    PlanScene,
    Point,
    SpotMark,
    SunPatch,
    WindowMark,
)
from studio.drawings.scale import StopsScale, ZoneMark, stops_scale
from studio.readiness.queries import RecipeReadiness

__all__ = ["Drawings", "drawings_of", "scene_of"]


@dataclass(frozen=True)
class Drawings:
    """Both drawings of one recipe at a shoot."""

    scale: StopsScale
    plan: FloorPlan


def drawings_of(readiness: RecipeReadiness) -> Drawings:
    """From the stored prediction; a recipe that was never checked shows its targets only."""
    prediction: dict[str, Any] = readiness.stored.prediction if readiness.stored else {}
    findings = readiness.findings
    return Drawings(
        scale=stops_scale(_zone_marks(readiness.setup.look, prediction, findings)),
        plan=floor_plan(scene_of(readiness.setup, prediction)),
    )


def _zone_marks(
    look: Look, prediction: dict[str, Any], findings: list[dict[str, Any]]
) -> tuple[ZoneMark, ...]:
    status = {f["about"]: f["status"] for f in reversed(findings) if f["check"] == "placement"}
    known = {zone["zone"]: zone for zone in prediction.get("zones", [])}
    return tuple(
        ZoneMark(
            name=zone.name,
            target_stops=zone.target.placement_stops,
            tolerance_stops=zone.target.tolerance_stops,
            predicted_stops=known.get(zone.name, {}).get("placement"),
            spread_stops=known.get(zone.name, {}).get("spread_stops"),
            ambient_share=known.get(zone.name, {}).get("ambient_share", 0.0)
            + known.get(zone.name, {}).get("continuous_share", 0.0),
            flash_share=known.get(zone.name, {}).get("flash_share", 0.0),
            stays_dark=zone.stays_dark,
            status=status.get(zone.name, ""),
            estimated=known.get(zone.name, {}).get("estimated", False),
            missing=known.get(zone.name, {}).get("missing", "not checked yet"),
        )
        for zone in look.zones
    )


def scene_of(setup: Setup, prediction: dict[str, Any]) -> PlanScene:
    """Everything that stands in the room, with the settings of a stored prediction."""
    look = setup.look
    settings = {light["light"]: light["setting_stops"] for light in prediction.get("lights", [])}
    room = setup.room
    boards = [_board(light) for light in setup.lights if light.plan.bounce is not None]
    boards += [_panel(panel) for panel in setup.panels]
    sun = sun_on_floor(setup)
    sensor_mm = setup.camera.spec.sensor_width_mm if setup.camera else 36.0
    return PlanScene(
        camera=CameraMark(
            at_m=(0.0, look.camera.distance_m),
            view_deg=2 * degrees(atan(sensor_mm / 2 / look.camera.focal_length_mm)),
            height_m=look.camera.height_m,
        ),
        room=None if room is None or room.outdoors else _room(room),
        windows=() if room is None else tuple(_window(room, index) for index in range(len(room.windows))),
        lights=tuple(_light(light, look, settings.get(light.plan.name)) for light in setup.lights),
        boards=tuple(board for board in boards if board is not None),
        spots=tuple(
            SpotMark(zone.name, _at(zone.bearing_deg, zone.distance_m))
            for zone in look.zones
            if zone.distance_m > 0.3
        ),
        sun_patches=tuple(_sun_patch(patch, sun) for patch in sun or ()),
        sun_words=_sun_words(sun),
        north_deg=room.north_deg if room else None,
    )


def _at(bearing_deg: float, distance_m: float) -> Point:
    return distance_m * sin(radians(bearing_deg)), distance_m * cos(radians(bearing_deg))


def _room(room: Room) -> PlanRoom:
    return PlanRoom(room.name, room.width_m, room.depth_m, room.mark_m[0], room.mark_m[1])


def _window(room: Room, index: int) -> WindowMark:
    window = room.windows[index]
    x, y, _ = window.centre_m
    half, along = window.width_m / 2, window.height_m / 2
    if window.skylight:
        return WindowMark(
            window.name,
            ((x - half, y - along), (x + half, y - along), (x + half, y + along), (x - half, y + along)),
        )
    turned = radians(window.azimuth_deg - room.north_deg)
    dx, dy = cos(turned) * half, -sin(turned) * half
    return WindowMark(window.name, ((x - dx, y - dy), (x + dx, y + dy)))


def _sun_patch(patch: FloorSun, every: tuple[FloorSun, ...] | None) -> SunPatch:
    """Its hour on the wall clock; with the day when the shoot has several."""
    days = {one.at.date() for one in every or ()}
    when = f"{patch.at:%a %H:%M}" if len(days) > 1 else f"{patch.at:%H:%M}"
    where = "on the mark" if patch.from_mark_m == 0 else f"{patch.from_mark_m:.1f} m from the mark"
    return SunPatch(
        when, patch.outline_m, f"through {patch.window}, {patch.area_m2:.1f} m², its nearest point {where}"
    )


def _sun_words(sun: tuple[FloorSun, ...] | None) -> str:
    if sun is None:
        return ""
    if not sun:
        return "The sun does not reach the floor at the hours looked at, from start to end."
    return "Sun for a cloudless sky; houses, trees and curtains are not known."


def _light(light: AssignedLight, look: Look, setting: float | None) -> LightMark:
    plan = light.plan
    aim: Point = (0.0, 0.0)
    if plan.bounce is not None:
        aim = _at(plan.bounce.bearing_deg, plan.bounce.distance_m)
    elif plan.aim is not None:
        zone = look.zone(plan.aim)
        aim = _at(zone.bearing_deg, zone.distance_m)
    width = 0.2
    if light.modifier is not None:
        width = light.modifier.spec.width_m
    elif plan.modifier is not None:
        width = plan.modifier.width_m
    return LightMark(
        name=plan.name,
        role=plan.role,
        source=plan.source,
        at_m=_at(plan.bearing_deg, plan.distance_m),
        aim_m=aim,
        height_m=plan.height_m,
        face_width_m=width,
        setting="" if setting is None else setting_words(setting),
    )


def _board(light: AssignedLight) -> BoardMark | None:
    bounce = light.plan.bounce
    if bounce is None:
        return None
    facing = bounce.turn_deg
    if facing is None:
        facing = _half_way(
            _at(bounce.bearing_deg, bounce.distance_m), _at(light.plan.bearing_deg, light.plan.distance_m)
        )
    name = light.board.tag if light.board else f"board for {light.plan.name}"
    return BoardMark(name, _at(bounce.bearing_deg, bounce.distance_m), bounce.width_m, facing)


def _panel(panel: AssignedPanel) -> BoardMark:
    plan = panel.plan
    name = f"{plan.name} ({panel.unit.tag})" if panel.unit else plan.name
    width = panel.unit.spec.width_m if panel.unit else plan.width_m
    turn = plan.bearing_deg + 180.0 if plan.turn_deg is None else plan.turn_deg
    return BoardMark(name, _at(plan.bearing_deg, plan.distance_m), width, turn, plan.kind)


def _half_way(board: Point, lamp: Point) -> float:
    """The bearing between the directions from the board to the lamp and to the mark."""

    def unit(point: Point) -> Point:
        dx, dy = point[0] - board[0], point[1] - board[1]
        length = (dx * dx + dy * dy) ** 0.5 or 1.0
        return dx / length, dy / length

    (ax, ay), (bx, by) = unit(lamp), unit((0.0, 0.0))
    x, y = ax + bx, ay + by
    return degrees(atan(x / y)) + (180.0 if y < 0 else 0.0) if y else (90.0 if x > 0 else -90.0)
