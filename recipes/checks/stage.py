"""Where everything stands: the recipe's words and the assigned units as faces and directions."""

from __future__ import annotations

import numpy as np

from gear.specs import ContinuousSpec
from recipes.checks.heads import HeadOutput, Missing, emission_of, face_of
from recipes.checks.panels import SURFACE_REFLECTANCE, gloss_of, sheet_side, spread_of_board
from recipes.checks.setup import AssignedLight, Room, Setup
from recipes.light.emission import beam
from recipes.light.geometry import direction, facing, position, rectangle, unit
from recipes.light.interreflection import RoomBox
from recipes.light.scene import Board, PointEmitter, Source
from recipes.light.source import Kind
from recipes.look import Bounce, Look, Zone
from recipes.quantity import Array

__all__ = ["REACH_M", "board_of", "places_to_move", "room_box", "source_of", "zone_points"]

REACH_M = 1.5
"""How far to each side of the mark the light on the subject is looked at: common practice, no source."""

HEAD_SHARE_OF_HEIGHT = 0.9
"""Where the head is on a standing figure: common practice, no source."""


def zone_points(zones: tuple[Zone, ...]) -> tuple[Array, Array]:
    """Where the zones are and which way they face: points and unit normals, both of shape (zones, 3)."""
    bearing, distance, height, turn, rise = np.array(
        [[z.bearing_deg, z.distance_m, z.height_m, z.facing_deg, z.facing_up_deg] for z in zones]
    ).T
    return position(bearing, distance, height), facing(turn, rise)


def places_to_move(setup: Setup) -> Array:
    """Points round the mark as far as the subject may move, and as far as the room goes, (n, 3) in m."""
    zones, _ = zone_points(setup.look.zones)
    steps = np.array([-REACH_M, 0.0, REACH_M])
    x, y = np.meshgrid(steps, steps)
    near = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, zones[:, 2].mean())])
    box = room_box(setup.room)
    return near if box is None else np.clip(near, box.low, box.high)


def source_of(light: AssignedLight, output: HeadOutput, look: Look) -> Source:
    """The light at full power, in its place, turned to its board or its aim. Raises `Missing`."""
    stands = position(light.plan.bearing_deg, light.plan.distance_m, light.plan.height_m)
    target = _board_centre(light.plan.bounce) if light.plan.bounce else _aim(light, look)
    if float(np.linalg.norm(target - stands)) < 0.05:
        raise Missing("a distance between the light and what it is turned to; they stand in one place")
    axis = direction(stands, target)
    kind: Kind = "flash" if light.plan.source == "strobe" else "ambient"
    head = light.heads[0].spec
    if light.modifier is not None:
        face = face_of(light.modifier.spec, stands, axis)
        emission = emission_of(light.modifier.spec, head)
        return Source(light.plan.name, kind, face, output.full_flux, emission, output.spread_stops)
    if isinstance(head, ContinuousSpec) and head.face_width_m and head.face_height_m:
        panel = rectangle(stands, axis, head.face_width_m, head.face_height_m)
        return Source(
            light.plan.name,
            kind,
            panel,
            output.full_flux,
            beam(min(head.beam_angle_deg, 120.0)),
            output.spread_stops,
        )
    return Source(
        light.plan.name,
        kind,
        PointEmitter(stands, axis),
        output.full_flux,
        emission_of(None, head),
        output.spread_stops,
    )


def board_of(light: AssignedLight) -> Board | None:
    """The board that a light is bounced off: the assigned unit's size and surface, else the recipe's."""
    bounce = light.plan.bounce
    if bounce is None:
        return None
    centre = _board_centre(bounce)
    width, height = bounce.width_m, bounce.height_of_board_m
    stated, surface = bounce.reflectance, str(bounce.surface)
    reflectance = SURFACE_REFLECTANCE[surface] if stated is None else stated
    sheet = light.board.spec if light.board is not None else None
    if sheet is not None:
        width, height = sheet.width_m, sheet.height_m
        reflectance, surface = sheet_side(sheet, surface)
    if bounce.turn_deg is not None:
        front = facing(bounce.turn_deg, bounce.tilt_up_deg)
    else:
        lamp = position(light.plan.bearing_deg, light.plan.distance_m, light.plan.height_m)
        mark = np.array([0.0, 0.0, bounce.height_m])
        front = unit(direction(centre, lamp) + direction(centre, mark))
    return Board(
        f"board of {light.plan.name}",
        rectangle(centre, front, width, height),
        reflectance,
        spread_stops=spread_of_board(surface, sheet),
        gloss=gloss_of(surface, sheet),
    )


def room_box(room: Room | None) -> RoomBox | None:
    """The room as matt surfaces; None outdoors, where nothing comes back."""
    if room is None or room.outdoors:
        return None
    return RoomBox(
        width_m=room.width_m,
        depth_m=room.depth_m,
        height_m=room.height_m,
        mark_m=room.mark_m,
        floor_reflectance=room.floor_reflectance,
        ceiling_reflectance=room.ceiling_reflectance,
        walls=(room.wall_reflectance,) * 4,
    )


def _board_centre(bounce: Bounce) -> Array:
    return position(bounce.bearing_deg, bounce.distance_m, bounce.height_m)


def _aim(light: AssignedLight, look: Look) -> Array:
    if light.plan.aim is not None:
        zone = look.zone(light.plan.aim)
        return position(zone.bearing_deg, zone.distance_m, zone.height_m)
    return np.array([0.0, 0.0, look.subject.height_m * HEAD_SHARE_OF_HEIGHT])
