"""Does the light hold from head to floor, as far as the frame shows the subject?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from recipes.checks.common import Common
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.light_plan import placements_at
from recipes.checks.prediction import Prediction, ZonePlacement
from recipes.checks.room_to_move import NEAR_MARK_M
from recipes.checks.setup import Setup
from recipes.checks.verdict import signed, status_of
from recipes.light.geometry import facing, position
from recipes.look import Zone
from recipes.quantity import Array

__all__ = ["EXPLANATION", "MOST_STOPS", "check"]

MOST_STOPS = 1.0
"""A figure that keeps within a stop of its face looks lit by one light. Common practice, no source."""

LOWEST_M = 0.05
"""The shoes: a receptor on the floor itself would see half of every lamp only by chance."""

PLACES = 9

EXPLANATION = Explanation(
    name="full-figure",
    family="exposure",
    title="Light from head to floor",
    question="How far does the tone drift from that of the face, from the top of the frame down to its lower edge?",
    formula=(
        "P at nine heights of the mark, for a receptor that faces as the face does",
        "value = the largest | P − P of the face |",
        f"margin = {MOST_STOPS:g} − value",
        "spread² = Σ ( (share there − share on the face) · s )²",
    ),
    symbols=(
        ("P", "placement with every light at its predicted setting, in stops"),
        ("s", "spread of a light's flux, of the ambient reading, of a board, a scrim or the room, in stops"),
        ("share", "part of a point's light that hangs on that figure, 0 to 1"),
        ("lower edge", "height of the subject less the height of the frame, at least the shoes"),
    ),
    assumes=(
        "the figure stands upright on the floor at the place of the face, and nothing on it shades what is below; a "
        "zone above the height of the subject says that it stands on something, and nothing is asked",
        "ambient whose reading names the hour comes in by the windows, as under a covered sky; any other is as strong "
        "lower down as it is on the face",
        "what lights face and figure alike cancels in the difference, as a single light's flux, the reading and the "
        "lens do; only what makes up another share of the one than of the other leaves it in doubt",
        f"more than {MOST_STOPS:g} stop shows; less can be meant, and is for the photographer to say",
    ),
    source=(
        "Lambert's law and the inverse-square law, CIE e-ILV",
        "how much shows: common practice, no source",
    ),
)


def check(setup: Setup, prediction: Prediction, common: Common | None = None) -> Iterator[Finding]:
    """One finding, of the highest zone on the subject, where the recipe says how much of it is in the frame; stops."""
    if setup.look.subject.frame_height_m is None:
        return
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
        zone, placed = max(zones, key=lambda pair: pair[0].height_m)
        if zone.height_m > setup.look.subject.height_m:
            return  # it does not stand on the floor: a thing on a table
        yield from _of_zone(common or Common(setup), prediction, zone, placed)


def _of_zone(common: Common, prediction: Prediction, zone: Zone, placed: ZonePlacement) -> Iterator[Finding]:
    setup = common.setup
    subject = setup.look.subject
    frame_m = subject.frame_height_m or subject.height_m
    top, bottom = subject.height_m, max(subject.height_m - frame_m, LOWEST_M)
    heights = np.linspace(top, bottom, PLACES)
    points = np.concatenate(
        [
            position(zone.bearing_deg, zone.distance_m, zone.height_m)[None, :],
            position(zone.bearing_deg, zone.distance_m, heights),
        ]
    )
    try:
        ambient = common.ambient(zone)
        placements = placements_at(
            setup, prediction, points, facing(zone.facing_deg, zone.facing_up_deg), ambient, common.lighting
        )
    except ValueError:
        # A mark, a zone or a light outside the room: the placement check tells it.
        return
    face, *figure = placements.stops
    drifts = np.maximum(np.array(figure) - face, -99.0)
    worst = int(np.argmax(np.abs(drifts)))
    value = abs(float(drifts[worst]))
    margin = MOST_STOPS - value
    spread = float(placements.drift_spreads_stops()[1 + worst])
    status = status_of(margin, spread)
    side = "over" if drifts[worst] > 0 else "under"
    where = f"at {heights[worst]:.2f} m it lies {value:.1f} stops {side} {zone.name}"
    more = f"{-margin:.{1 if margin < -0.05 else 2}f}"
    whole = "head to floor" if bottom <= LOWEST_M else f"{top:.2f} m down to {bottom:.2f} m"
    yield Finding(
        check=EXPLANATION.name,
        status=status,
        about=zone.name,
        sentence=f"From {whole} the light drifts: {where}, {more} more than {MOST_STOPS:g}."
        if status == "gap"
        else f"From {whole} the light holds: {where}.",
        value=value,
        limit=MOST_STOPS,
        margin=margin,
        unit="stops",
        spread=spread,
        estimated=placed.estimated,
        remedies=()
        if status == "ok"
        else (
            Remedy(
                "Take the nearest light farther off, or turn it down the figure.",
                action="edit_recipe",
                costs="more power; the face changes with it",
            ),
            Remedy(
                "Use a tall face: a strip upright, or a board.", action="edit_recipe", costs="a softer shadow"
            ),
            Remedy(
                "Fill from below with a second light.", action="edit_recipe", costs="another head and stand"
            ),
        ),
        workings=tuple(_workings(zone.name, heights, [round(float(one), 2) for one in (face, *figure)])),
    )


def _workings(face: str, heights: Array, placements: list[float]) -> Iterator[Working]:
    """Of the top, the middle and the lower edge; the first placement is that of the face."""
    here, *figure = placements
    for name, row in (("top", 0), ("middle", PLACES // 2), ("lower edge", PLACES - 1)):
        yield Working(
            name,
            f"P at {heights[row]:.2f} m − P of {face}",
            f"{figure[row]:.2f} − {here:.2f}".replace("-", "−"),
            f"{signed(figure[row] - here, 2)} stops",
        )
