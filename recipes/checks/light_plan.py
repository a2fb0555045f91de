"""The light over the floor plan, with every light at the setting it will have."""

from __future__ import annotations

from dataclasses import replace
from math import log2

import numpy as np

from recipes.checks.lighting import (
    Lighting,
    Staged,
    exposure_of,
    flash_loss_stops,
    light_up,
    lit_stage,
    meter_of,
    stage_lights,
)
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.stage import room_box
from recipes.light.ev_map import FloorGrid, LightMap, map_of
from recipes.light.geometry import facing
from recipes.light.scene import LitScene
from recipes.quantity import Array

__all__ = ["grid_of", "placement_map"]

_OPEN_M = 3.0
"""How far the plan reaches round the mark where no room bounds it."""


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
    lighting: Lighting | None = None,
) -> LightMap:
    """Placement of an incident reading at every point of the grid, for a receptor that faces one way.

    Parameters: heights in metres, the bearing and the rise of the receptor in degrees; ``ambient`` is ``2**P`` of an
    ambient that is taken as even over the plan; ``lighting`` may be handed in when it has been computed already.
    ``stops`` of the map are placements. A light without a setting is left out.
    """
    exposure, meter = exposure_of(setup), meter_of(setup)
    lighting = lighting or light_up(setup)
    stage = lighting.stage or lit_stage(setup, _set(stage_lights(setup), prediction))
    weights = _weights(setup, prediction, lighting, stage, float(exposure.time_s))
    lit = map_of(stage, grid, height_m, facing(facing_deg, up_deg), weights)
    lamps = lit.stops + log2(float(exposure.gain) / meter.c_incident)
    if ambient <= 0:
        return replace(lit, stops=lamps)
    return replace(lit, stops=np.log2(np.exp2(lamps) + ambient))


def _set(staged: Staged, prediction: Prediction) -> Staged:
    """Without the lights that have no setting: one of them may stand outside the room."""
    return replace(
        staged,
        sources=tuple(
            source for source in staged.sources if prediction.light(source.label).setting_stops is not None
        ),
    )


def _weights(
    setup: Setup, prediction: Prediction, lighting: Lighting, stage: LitScene, time_s: float
) -> Array:
    """What part of its full power each source of the stage gives the picture, (sources,), in s for those that burn."""
    plans = {light.plan.name: light for light in setup.lights}
    outputs = {light.name: light.output for light in lighting.lights}
    weights = np.zeros(len(stage.scene.sources))
    for row, source in enumerate(stage.scene.sources):
        setting, output = prediction.light(source.label).setting_stops, outputs[source.label]
        if setting is not None and output is not None:
            stops = output.output_stops(setting) - flash_loss_stops(plans[source.label], setup)
            weights[row] = 2.0**stops * (time_s if source.kind == "ambient" else 1.0)
    return weights
