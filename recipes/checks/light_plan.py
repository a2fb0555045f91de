"""The light over the floor plan, with every light at the setting it will have."""

from __future__ import annotations

from dataclasses import replace
from math import log2

import numpy as np

from recipes.checks.lighting import exposure_of, meter_of, stage_lights
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.stage import room_box
from recipes.light.ev_map import FloorGrid, LightMap, light_map
from recipes.light.geometry import facing
from recipes.light.scene import Scene

__all__ = ["grid_of", "placement_map", "scene_as_set"]

_OPEN_M = 3.0
"""How far the plan reaches round the mark where no room bounds it."""


def scene_as_set(setup: Setup, prediction: Prediction) -> Scene:
    """The lights of a setup at their predicted settings; one without a setting is left out."""
    staged = stage_lights(setup)
    sources = []
    for source in staged.sources:
        setting = prediction.light(source.label).setting_stops
        if setting is not None:
            down = staged.outputs[source.label].strobe.output_stops(setting)
            sources.append(replace(source, flux_lm=source.flux_lm * 2.0**down))
    return Scene(tuple(sources), staged.boards, room=room_box(setup.room), scrims=staged.scrims)


def grid_of(setup: Setup, spacing_m: float) -> FloorGrid:
    """Points over the room, or over six by six metres round the mark outdoors."""
    room = room_box(setup.room)
    if room is None:
        return FloorGrid(-_OPEN_M, _OPEN_M, -_OPEN_M, _OPEN_M, spacing_m)
    (x_from, y_from, _), (x_to, y_to, _) = room.low, room.high
    return FloorGrid(float(x_from), float(x_to), float(y_from), float(y_to), spacing_m)


def placement_map(
    setup: Setup,
    prediction: Prediction,
    grid: FloorGrid,
    height_m: float,
    facing_deg: float = 0.0,
    up_deg: float = 0.0,
    ambient: float = 0.0,
) -> LightMap:
    """Placement of an incident reading at every point of the grid, for a receptor that faces one way.

    Parameters: heights in metres, the bearing and the rise of the receptor in degrees; ``ambient`` is ``2**P`` of an
    ambient that is taken as even over the plan. ``stops`` of the map are placements.
    """
    exposure, meter = exposure_of(setup), meter_of(setup)
    scene = scene_as_set(setup, prediction)
    lit = light_map(scene, grid, height_m, facing(facing_deg, up_deg), float(exposure.time_s))
    lamps = lit.stops + log2(float(exposure.gain) / meter.c_incident)
    if ambient <= 0:
        return replace(lit, stops=lamps)
    return replace(lit, stops=np.log2(np.exp2(lamps) + ambient))
