"""What light do windows give anywhere in a room, all of it at one moment?

Straight in, each part of a pane sends towards a point what the sky, or the ground outside, shows in that direction,
through the glass at that angle; `recipes.light.daylight` does the same for one face through a day. So it falls on walls
and boards as well, and they send it on as they do a lamp's light. The sun itself is left out: it makes patches
(`recipes.light.sun_patch`), not a fall-off.

    E = integral over the panes of  L(direction) tau(a) cos(a) cos(at receiver) / d²  dA  +  what the room adds

Source: as `recipes.light.daylight`, which it is held to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from recipes.light.daylight import pane_luminance_cd_m2
from recipes.light.dome import ALL_ROUND, ALL_ROUND_WEIGHTS
from recipes.light.geometry import Polygon, dot
from recipes.light.lamps import Lamps
from recipes.light.obstruction import Blocker, passing
from recipes.light.pane import WindowPane, clip_polygon, plan_to_compass
from recipes.light.quadrature import Nodes, graded_nodes
from recipes.light.scene import LitScene, Scene, glowing_face, light_scene
from recipes.light.shadow import visible_shares
from recipes.light.sky import Sky
from recipes.quantity import Array

__all__ = ["SkyLight", "WindowsInRoom", "windows_in_room"]

_CLOSEST_M = 0.3
_AT_THE_EDGE = 1e-6
_NOTHING = 1e-300
_UP = np.array([0.0, 0.0, 1.0])
_MOST_AT_ONCE = 262_144


@dataclass(frozen=True, eq=False)
class WindowsInRoom:
    """Panes in a room under a sky of one instant. ``stage`` is the room as they light it."""

    sky_light: SkyLight
    stage: LitScene

    def lux_at(self, points: Array, normals: Array) -> Array:
        """Illuminance of faces at points (n, 3) along unit normals (n, 3), (n,); of the sun nothing but what the ground
        sends of it. Raises ValueError when a point lies outside the room."""
        return self.straight_lux(points, normals) + self.off_lux(points, normals)

    def read_by_dome_lux(self, points: Array, normals: Array) -> Array:
        """What domes read whose axes point along the normals, as lux straight ahead (`recipes.light.dome`), (n,)."""
        all_round = [self.lux_at(points, np.broadcast_to(way, points.shape)) for way in ALL_ROUND]
        from_all_sides = 4.0 * ALL_ROUND_WEIGHTS @ np.array(all_round)
        return np.asarray(
            (from_all_sides + self.lux_at(points, normals) - self.lux_at(points, -normals)) / 2.0
        )

    def straight_lux(self, points: Array, normals: Array) -> Array:
        """What comes straight in only."""
        return np.asarray(self.sky_light.falling(points, normals, at_horizon=True).sum(axis=0))

    def off_lux(self, points: Array, normals: Array) -> Array:
        """What comes off boards and the room only."""
        off = self.stage.of_matt(points, normals), self.stage.of_lobes(points, normals)
        return np.asarray(
            self.stage.of_room(points, normals).ambient_lux + sum(one.ambient_lux for one in off)
        )


@dataclass(frozen=True, eq=False)
class SkyLight:
    """What the sky and the ground outside send straight through panes, each with its face in the wall (panes,)."""

    panes: tuple[WindowPane, ...]
    faces: tuple[Polygon, ...]
    sky: Sky
    room_north_deg: float
    blockers: tuple[Blocker, ...]

    def falling(self, points: Array, normals: Array, at_horizon: bool = False) -> Array:
        """On points (n, 3) along unit normals (n, 3), (panes, n) in lux. ``at_horizon`` cuts each pane where its sky
        begins, at the height of the points: exact, and slow for points of very many heights."""
        found = np.zeros((len(self.panes), len(points)))
        for row, face in enumerate(self.faces):
            apart = points - face.nearest_to(points)
            away_m = np.maximum(np.sqrt(dot(apart, apart)), _CLOSEST_M)
            # Those that stand near need more of the pane's points than those that stand far.
            groups = np.floor(np.log2(away_m))[:, None]
            if at_horizon:
                groups = np.append(groups, points[:, 2:], axis=1)
            for group in np.unique(groups, axis=0):
                these = np.flatnonzero((groups == group).all(axis=1))
                for part in _cut(face, points[these[0]]) if at_horizon else (face,):
                    cell_m = 2.0 ** (group[0] - 1.0)
                    found[row, these] += self._through(row, part, cell_m, points[these], normals[these])
        return found

    def _through(self, row: int, face: Polygon, cell_m: float, points: Array, normals: Array) -> Array:
        """Through a pane, or a part of it."""
        nodes = graded_nodes([face], lambda centres, _, __: np.full(len(centres), cell_m))
        at_once = max(1, _MOST_AT_ONCE // len(nodes.points))
        starts = range(0, len(points), at_once)
        return np.concatenate(
            [self._some(row, face, nodes, points[n : n + at_once], normals[n : n + at_once]) for n in starts]
        )

    def _some(self, row: int, face: Polygon, nodes: Nodes, points: Array, normals: Array) -> Array:
        rays = nodes.points[None, :, :] - points[:, None, :]
        square = np.maximum(dot(rays, rays), 1e-12)
        out = rays / np.sqrt(square)[..., None]
        arriving = np.maximum(dot(out, normals[:, None, :]), 0.0)
        leaving = np.clip(-dot(out, self.faces[row].normal), 0.0, 1.0)
        seen = np.nonzero((arriving > 0) & (leaving > 0))
        light = np.zeros(square.shape)
        luminance = self.sky.luminance_cd_m2(plan_to_compass(out[seen], self.room_north_deg))[0]
        through = np.asarray(self.panes[row].glass.transmittance(np.degrees(np.arccos(leaving[seen]))))
        light[seen] = luminance * through * leaving[seen] * arriving[seen] / square[seen]
        passed = passing(nodes.points, points, self.blockers, np.sqrt(nodes.areas_m2))
        if passed is None:
            return np.asarray(light @ nodes.areas_m2)
        # How much of the face is seen past things is known exactly; the points of it say which part of the sky that is.
        even = leaving * arriving / square
        told = (even * passed) @ nodes.areas_m2 / np.maximum(even @ nodes.areas_m2, _NOTHING)
        pane = Lamps([glowing_face("pane", face, 1.0)])
        known = visible_shares(pane, points, normals, self.blockers, (told > 0)[None])[0]
        return np.asarray((light * passed) @ nodes.areas_m2 * known / np.maximum(told, _NOTHING))


def windows_in_room(
    panes: Sequence[WindowPane], sky: Sky, scene: Scene, seen_from: Array, *, room_north_deg: float
) -> WindowsInRoom:
    """The windows of a scene's room, lit for receivers near points (n, 3); the scene's own lamps are left out.

    A pane that is measured beside its wall is moved onto it. In a silver board it shows as bright all over as it looks
    on the whole from the middle of the receivers. Raises ValueError outdoors.
    """
    if scene.room is None:
        raise ValueError("there is no room for these windows; give the scene its room.")
    faces = []
    for pane in panes:
        onto_wall = np.clip(pane.centre, scene.room.low, scene.room.high) - pane.centre
        faces.append(Polygon(pane.corners(room_north_deg) + onto_wall))
    # The sky answers for what the faces throw on matt ones; their own luminance is for the lobes of silver boards.
    x, y, z = (float(one) for one in seen_from.mean(axis=0))
    seen = [pane_luminance_cd_m2(pane, (x, y, z), sky, room_north_deg=room_north_deg)[0] for pane in panes]
    glowing = tuple(
        glowing_face(f"window {number}", face, float(luminance))
        for number, (face, luminance) in enumerate(zip(faces, seen, strict=True))
    )
    inside = replace(scene, sources=glowing)
    sky_light = SkyLight(tuple(panes), tuple(faces), sky, room_north_deg, inside.obstacles)
    return WindowsInRoom(sky_light, light_scene(inside, seen_from, falling=sky_light.falling))


def _cut(face: Polygon, point: Array) -> tuple[Polygon, ...]:
    """The parts of a face above and below the height of a point; the face itself where that misses it or meets its
    edge."""
    above = (face.corners - point) @ _UP
    slack = _AT_THE_EDGE * face.across_m
    if above.min() > -slack or above.max() < slack:
        return (face,)
    return tuple(Polygon(clip_polygon(face.corners, point, up)) for up in (_UP, -_UP))
