"""The light over the floor plan and at any other points, with every light at the setting it will have."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log2

import numpy as np

from recipes.checks.exposure import exposure_of, flash_loss_stops, meter_of
from recipes.checks.lighting import (
    Lighting,
    Staged,
    light_up,
    lit_stage,
    stage_lights,
)
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.stage import room_box
from recipes.checks.window_ambient import NO_AMBIENT, Ambient
from recipes.light.ev_map import Around, FloorGrid, LightMap, map_of
from recipes.light.geometry import facing
from recipes.light.scene import LitScene
from recipes.light.spread import difference_spread_stops
from recipes.quantity import Array

__all__ = ["Placements", "grid_of", "placement_map", "placements_at"]

_OPEN_M = 3.0
"""How far the plan reaches round the mark where no room bounds it."""


@dataclass(frozen=True, eq=False)
class Placements:
    """Placements of points, and the figures that they hang on: each light's flux, the ambient reading, each way.

    ``stops`` (n,); ``shares`` (figures, n), which part of a point's light hangs on each figure; ``spreads_stops``
    (figures,), one standard deviation of each.
    """

    stops: Array
    shares: Array
    spreads_stops: Array

    def drift_spreads_stops(self) -> Array:
        """One standard deviation of how far each point lies off the first, (n,): what both share cancels."""
        first = self.shares[:, :1]
        return np.asarray(difference_spread_stops(self.shares, first, self.spreads_stops[:, None]))


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
    ambient: Ambient = NO_AMBIENT,
    lighting: Lighting | None = None,
    around: Around | None = None,
) -> LightMap:
    """Placement of an incident reading at every point of the grid, for a flat receptor that faces one way.

    Parameters: heights in metres, the bearing and the rise of the receptor in degrees; ``lighting`` may be handed in
    when it has been computed already; ``around`` says what of the map is wanted if not all. ``stops`` of the map are
    placements. A light without a setting is left out.
    """
    stage, weights = _stage(setup, prediction, lighting or light_up(setup))
    towards = facing(facing_deg, up_deg)
    gain = _gain(setup)
    beside = ambient.over(grid, height_m, towards) / gain
    lit = map_of(stage, grid, height_m, towards, weights, beside, around)
    return replace(lit, stops=lit.stops + log2(gain))


def placements_at(
    setup: Setup,
    prediction: Prediction,
    points_m: Array,
    facing_to: Array,
    ambient: Ambient = NO_AMBIENT,
    lighting: Lighting | None = None,
) -> Placements:
    """Placements of an incident reading at points (n, 3) for a flat receptor that faces along a unit vector (3,).

    The rest as in `placement_map`. Raises ValueError when a point or a light lies outside the room.
    """
    stage, weights = _stage(setup, prediction, lighting or light_up(setup))
    found = stage.at(points_m, facing_to)
    shape = len(found.sources), len(found.ways), len(points_m)
    by_way = np.reshape([found.by_way(source.label) for source in found.sources], shape)
    by_way = by_way * weights[:, None, None] * _gain(setup)
    around = ambient.at(points_m, np.broadcast_to(facing_to, points_m.shape))
    total = by_way.sum(axis=(0, 1)) + around
    figures = np.concatenate([by_way.sum(axis=1), around[None, :], by_way.sum(axis=0)])
    with np.errstate(divide="ignore"):
        stops = np.log2(total)
    return Placements(
        stops=stops,
        shares=figures / np.where(total > 0, total, 1.0),
        spreads_stops=np.array(
            [
                *(source.spread_stops for source in found.sources),
                ambient.spread_stops,
                *found.way_spreads_stops,
            ]
        ),
    )


def _gain(setup: Setup) -> float:
    """``2**P`` of one lx·s."""
    return float(exposure_of(setup).gain) / meter_of(setup).c_incident


def _stage(setup: Setup, prediction: Prediction, lighting: Lighting) -> tuple[LitScene, Array]:
    """The lit stage and what part of its full power each of its sources gives the picture."""
    stage = lighting.stage or lit_stage(setup, _set(stage_lights(setup), prediction))
    return stage, _weights(setup, prediction, lighting, stage, float(exposure_of(setup).time_s))


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
