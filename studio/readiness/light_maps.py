"""The light over the floor plan of one recipe at a shoot, for the drawing and for the API."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import LinearRing, MultiPolygon

from gear.errors import FieldProblem, Invalid
from recipes.checks.light_plan import grid_of, placement_map
from recipes.checks.lighting import light_up
from recipes.checks.prediction import predict_under
from recipes.checks.setup import Setup
from recipes.checks.window_ambient import ambient_of
from recipes.light.ev_map import LightMap, room_to_move
from studio.drawings.plan_scene import LightArea, PlanScene, Point

__all__ = ["MapAsked", "MapSeen", "map_of", "with_contours"]

COARSEST_M, FINEST_M = 1.0, 0.05
MOST_POINTS = 65_536


@dataclass(frozen=True)
class MapAsked:
    """At which height, facing where, how fine; None for what the recipe's own first zone says."""

    height_m: float | None = None
    facing_deg: float | None = None
    spacing_m: float = 0.25
    tolerance_stops: float | None = None


@dataclass(frozen=True)
class MapSeen:
    """The map and what it was asked for; the subject may move over ``area_m2``, or more if ``edge``.

    ``left_out`` names the lights that cannot be drawn, each with what it lacks.
    """

    light: LightMap
    height_m: float
    facing_deg: float
    tolerance_stops: float
    area_m2: float
    edge: bool
    outline_m: tuple[Point, ...]
    holes_m: tuple[tuple[Point, ...], ...]
    left_out: tuple[str, ...]


def map_of(setup: Setup, asked: MapAsked) -> MapSeen:
    """The placement of an incident reading over the room. Raises `Invalid` with the fields."""
    zone = next((z for z in setup.look.zones if z.reading == "incident" and not z.glows), setup.look.zones[0])
    height = zone.height_m if asked.height_m is None else asked.height_m
    facing = zone.facing_deg if asked.facing_deg is None else asked.facing_deg
    tolerance = zone.target.tolerance_stops if asked.tolerance_stops is None else asked.tolerance_stops
    _refuse_nonsense(setup, height, asked.spacing_m, tolerance)
    lighting = light_up(setup)
    prediction = predict_under(lighting)
    grid = grid_of(setup, asked.spacing_m)
    if len(grid.x_m) * len(grid.y_m) > MOST_POINTS:
        raise Invalid(
            f"A map with a point every {asked.spacing_m:g} m would have more than {MOST_POINTS} points.",
            (FieldProblem("spacing", "a coarser step"),),
        )
    ambient = ambient_of(setup, lighting, zone)
    light = placement_map(setup, prediction, grid, height, facing, zone.facing_up_deg, ambient, lighting)
    free = room_to_move(light, tolerance)
    return MapSeen(
        light=light,
        height_m=height,
        facing_deg=facing,
        tolerance_stops=tolerance,
        area_m2=free.area_m2,
        edge=free.reaches_edge,
        outline_m=_ring(free.round_mark.exterior),
        holes_m=tuple(_ring(hole) for hole in free.round_mark.interiors),
        left_out=tuple(
            f"{light.light}: {light.missing}" for light in prediction.lights if light.setting_stops is None
        ),
    )


def with_contours(scene: PlanScene, seen: MapSeen) -> PlanScene:
    """The plan with a line for every whole stop, and the area in which the subject may move."""
    stops = seen.light.stops[np.isfinite(seen.light.stops)]
    if not stops.size:
        return scene
    low = max(int(np.ceil(stops.min())), int(np.ceil(stops.max())) - 6)
    levels = range(low, int(np.floor(stops.max())) + 1)
    areas = zip(levels, seen.light.contours(list(levels)), strict=True)
    return replace(
        scene,
        light_areas=tuple(
            LightArea(float(level), _rings(area)) for level, area in areas if not area.is_empty
        ),
        tolerance_area_m=seen.outline_m,
        tolerance_holes_m=seen.holes_m,
    )


def _rings(area: MultiPolygon) -> tuple[tuple[Point, ...], ...]:
    rings = [ring for part in area.geoms for ring in (part.exterior, *part.interiors)]
    return tuple(_ring(ring) for ring in rings)


def _ring(ring: LinearRing) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in ring.coords[:-1])


def _refuse_nonsense(setup: Setup, height_m: float, spacing_m: float, tolerance_stops: float) -> None:
    ceiling = setup.room.height_m if setup.room and not setup.room.outdoors else 30.0
    problems = []
    if not 0 <= height_m < ceiling:
        problems.append(FieldProblem("height", f"metres from 0 to under {ceiling:g}"))
    if not FINEST_M <= spacing_m <= COARSEST_M:
        problems.append(FieldProblem("spacing", f"metres from {FINEST_M:g} to {COARSEST_M:g}"))
    if not 0 < tolerance_stops <= 5:
        problems.append(FieldProblem("tolerance", "stops above 0, at most 5"))
    if problems:
        raise Invalid("This map cannot be drawn as asked.", tuple(problems))
