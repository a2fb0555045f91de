"""How far may the subject move before the light on it leaves its tolerance?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from recipes.checks.common import Common
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.light_plan import grid_of, placement_map
from recipes.checks.prediction import Prediction, ZonePlacement
from recipes.checks.setup import Setup
from recipes.checks.stage import REACH_M
from recipes.checks.verdict import status_of
from recipes.light.ev_map import Around, FloorGrid, LightMap, room_to_move
from recipes.light.geometry import position
from recipes.look import Zone

__all__ = ["EXPLANATION", "STANDING_M2", "check"]

STANDING_M2 = 0.1
"""Somebody who stands still and sways takes about this: 0.3 by 0.3 m. Common practice, no source."""
TIGHT_UNDER_M2 = 0.5
"""A step to any side. Common practice, no source."""

SPACING_M = 0.15
NEAR_MARK_M = 0.8
"""A zone farther from the mark than this is not on the subject."""

EXPLANATION = Explanation(
    name="room-to-move",
    family="picture",
    title="Room to move",
    question="How large is the area round the mark in which the subject keeps its tone within the tolerance?",
    formula=(
        "P at every point of a grid, for a flat receptor as high as the zone that faces as the zone does",
        "area = all points joined to the mark where | P − P at the mark | ≤ tolerance",
        f"margin = area − {STANDING_M2:g}",
    ),
    symbols=(
        ("P", "placement with every light at its predicted setting, in stops"),
        ("tolerance", "of the zone's target, in stops"),
        ("area", "on the floor, in m²"),
    ),
    assumes=(
        "the subject keeps facing the same way, and the camera goes on exposing as it does",
        "ambient whose reading names the hour falls off from the windows, as under a covered sky; any other is even",
        f"points {SPACING_M:g} m apart, {REACH_M:g} m to each side of the mark: a larger area is told as at least that",
        "nobody stands in anybody's light",
    ),
    source=(
        "Lambert's law and the inverse-square law, CIE e-ILV",
        "how much is enough: common practice, no source",
    ),
)


def check(setup: Setup, prediction: Prediction, common: Common | None = None) -> Iterator[Finding]:
    """One finding, of the zone on the subject with the narrowest tolerance; value, limit and margin in m²."""
    zones = [
        (zone, placed)
        for zone, placed in zip(setup.look.zones, prediction.zones, strict=True)
        if zone.reading == "incident"
        and not zone.stays_dark
        and zone.distance_m <= NEAR_MARK_M
        and placed.placement is not None
        and placed.light_shares
    ]
    if zones:
        # One map takes as long as all other checks together, so the most exacting zone stands for all.
        zone, placed = min(zones, key=lambda pair: pair[0].target.tolerance_stops)
        yield from _of_zone(common or Common(setup), prediction, zone, placed)


def _of_zone(common: Common, prediction: Prediction, zone: Zone, placed: ZonePlacement) -> Iterator[Finding]:
    setup = common.setup
    x, y, _ = (float(one) for one in position(zone.bearing_deg, zone.distance_m, zone.height_m))
    try:
        ambient = common.ambient(zone)
        grid = _round(setup, x, y)
        light = placement_map(
            setup,
            prediction,
            grid,
            zone.height_m,
            zone.facing_deg,
            zone.facing_up_deg,
            ambient,
            common.lighting,
            Around((x, y), zone.target.tolerance_stops),
        )
        room = room_to_move(light, zone.target.tolerance_stops, (x, y))
    except ValueError:
        # A mark, a zone or a light outside the room: the placement check tells it.
        return
    margin = room.area_m2 - STANDING_M2
    status = status_of(margin, TIGHT_UNDER_M2 - STANDING_M2)
    least = "at least " if room.reaches_edge else ""
    yield Finding(
        check=EXPLANATION.name,
        status=status,
        about=zone.name,
        sentence=f"{zone.name} keeps within ±{zone.target.tolerance_stops:g} stops on {least}{room.area_m2:.1f} m² "
        "round the mark.",
        value=room.area_m2,
        limit=STANDING_M2,
        margin=margin,
        unit="m²",
        estimated=placed.estimated,
        remedies=()
        if status == "ok"
        else (
            Remedy(
                "Take the nearest light farther off, or use a larger face.",
                action="edit_recipe",
                costs="more power; a softer or a harder shadow",
            ),
            Remedy("Mark the floor, and hold the subject to it."),
        ),
        workings=(
            Working("tolerance", "of the target", "", f"±{zone.target.tolerance_stops:g} stops"),
            Working(
                "half a step to each side",
                "P at 0.3 m − P at the mark",
                "left, right, back, front",
                ", ".join(f"{step:+.2f}" for step in _half_steps(light, grid, x, y)) + " stops",
            ),
        ),
    )


def _half_steps(light: LightMap, grid: FloorGrid, x: float, y: float) -> list[float]:
    """What half a step to the left, right, back and front changes, in stops, as far as the plan goes."""
    steps = ((0.3, 0.0), (-0.3, 0.0), (0.0, -0.3), (0.0, 0.3))
    ends = [
        (x + dx, y + dy)
        for dx, dy in steps
        if grid.x_from_m <= x + dx <= grid.x_to_m and grid.y_from_m <= y + dy <= grid.y_to_m
    ]
    here, *there = light.at(*np.array([(x, y), *ends]).T)
    return [float(stops - here) for stops in there]


def _round(setup: Setup, x: float, y: float) -> FloorGrid:
    """Points round the zone, as far as the room goes. Raises ValueError when the zone lies outside it."""
    whole = grid_of(setup, SPACING_M)
    return FloorGrid(
        max(whole.x_from_m, x - REACH_M),
        min(whole.x_to_m, x + REACH_M),
        max(whole.y_from_m, y - REACH_M),
        min(whole.y_to_m, y + REACH_M),
        SPACING_M,
    )
