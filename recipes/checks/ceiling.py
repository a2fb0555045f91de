"""Do lights and boards fit under the ceiling and its beams?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import ContinuousSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, Room, Setup
from recipes.checks.verdict import status_of
from recipes.rig.caution import Hazard, caution
from recipes.rig.ceiling import ceiling_margin, highest_head_m, modifier_above_head_m

__all__ = ["EXPLANATION", "check"]

CLEARANCE_M = 0.1
"""Less air than this over a light is tight. House policy; the maker's sheet of a hot head may ask for more."""
BARE_HEAD_M = 0.15
"""How far a bare head stands up over its spigot. Common practice, no source."""

EXPLANATION = Explanation(
    name="ceiling",
    family="rig",
    title="Under the ceiling",
    question="How high is the top of each light and board, against the ceiling and the lowest beam?",
    formula=(
        "top = height of the head + half the height of what is on it",
        "margin = ceiling − top",
    ),
    symbols=(
        ("height of the head", "above the floor, in m"),
        ("half the height", f"of the modifier's face; {BARE_HEAD_M:g} m for a bare head"),
        ("ceiling", "clear height of the room, in m"),
    ),
    assumes=(
        "the face stands upright: turned down it is lower",
        "nobody knows whether a beam runs over the light: between beam and ceiling it is tight",
        "a light that is bounced off the ceiling or a wall has no board of its own",
    ),
    source=("geometry", f"{CLEARANCE_M:g} m of air: house policy, no source"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a light with a head, one a board or scrim; value, limit and margin in m."""
    room = setup.room
    if room is None or room.outdoors:
        return
    for light in setup.lights:
        if light.heads:
            yield _finding(room, light.plan.name, light.plan.height_m, _above_m(light))
        bounce = light.plan.bounce
        if bounce is not None and bounce.surface not in ("wall", "ceiling"):
            height = light.board.spec.height_m if light.board else bounce.height_of_board_m
            yield _finding(room, f"board of {light.plan.name}", bounce.height_m, height / 2.0)
    for panel in setup.panels:
        height = panel.unit.spec.height_m if panel.unit else panel.plan.height_of_panel_m
        yield _finding(room, panel.plan.name, panel.plan.height_m, height / 2.0)


def _above_m(light: AssignedLight) -> float:
    if light.modifier is not None:
        face = light.modifier.spec
        return max(modifier_above_head_m(face.height_m or face.width_m), BARE_HEAD_M)
    head = light.heads[0].spec
    if isinstance(head, ContinuousSpec) and head.face_height_m is not None:
        return max(head.face_height_m / 2.0, BARE_HEAD_M)
    return BARE_HEAD_M


def _finding(room: Room, about: str, height_m: float, above_m: float) -> Finding:
    fit = ceiling_margin(height_m, above_m, room.height_m)
    status = status_of(fit.margin_m, CLEARANCE_M)
    lowest = min(room.height_m, room.beam_height_m or room.height_m)
    under_beam = ceiling_margin(height_m, above_m, room.height_m, room.beam_height_m)
    sentence = f"The top of {about} is at {fit.top_m:.2f} m under a ceiling of {fit.limit_m:.2f} m"
    if status == "ok" and status_of(under_beam.margin_m, CLEARANCE_M) != "ok":
        status = "tight"
        sentence += f" with beams at {lowest:.2f} m: keep it out from under them"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=about,
        sentence=f"{sentence}.",
        value=fit.top_m,
        limit=fit.limit_m,
        margin=fit.margin_m,
        unit="m",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Set {about} at {highest_head_m(lowest, above_m, CLEARANCE_M):.2f} m or lower.",
                action="edit_recipe",
                costs="the light comes from another angle",
            ),
        ),
        workings=(
            Working(
                "top", "height + half of its face", f"{height_m:g} + {above_m:.2f}", f"{fit.top_m:.2f} m"
            ),
        ),
        caution=caution(Hazard.HEAT) if status == "gap" else "",
    )
