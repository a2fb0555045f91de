"""Does each stand reach the height that the recipe asks for?"""

from __future__ import annotations

from collections.abc import Iterator

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.rigged import Rig, rigs
from recipes.checks.setup import Setup
from recipes.checks.verdict import status_of
from recipes.rig.boom import head_height_m
from recipes.rig.ceiling import stand_reach

__all__ = ["EXPLANATION", "check"]

BOOM_RAISED_DEG = 45.0
"""Steeper than this a boom leans on its stand more than it reaches out. House policy, no source."""
TIGHT_M = 0.1
"""A stand at its very top is less stiff and leaves nothing to correct. Common practice, no source."""

EXPLANATION = Explanation(
    name="stand-height",
    family="rig",
    title="Stands reach the height",
    question="Is the height of each head within the range of its stand?",
    formula=(
        "margin = smaller of height − lowest and highest − height",
        "with a boom: highest = highest of the stand + longest reach · sin 45°, and no lowest",
    ),
    symbols=(
        ("height", "of the head above the floor, or of the board's middle, in m"),
        ("lowest, highest", "range of the stand, in m"),
    ),
    assumes=("the head sits at the top of the column; a board is held at its middle",),
    source=("the maker's sheets", "a boom no steeper than 45°: house policy, no source"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a stand; value, limit and margin in m."""
    for rig in rigs(setup):
        lowest, highest = _range_m(rig)
        reach = stand_reach(rig.height_m, min(lowest, highest), highest)
        status = status_of(reach.margin_m, TIGHT_M if highest - rig.height_m < TIGHT_M else 0.0)
        limit = lowest if rig.height_m - lowest < highest - rig.height_m else highest
        with_boom = f" with {rig.boom.tag}" if rig.boom else ""
        yield Finding(
            check=EXPLANATION.name,
            status=status,
            about=rig.name,
            sentence=f"{rig.name} is wanted at {rig.height_m:.2f} m; {rig.stand.tag}{with_boom} goes from "
            f"{lowest:.2f} to {highest:.2f} m.",
            value=rig.height_m,
            limit=limit,
            margin=reach.margin_m,
            unit="m",
            remedies=()
            if status == "ok"
            else (
                Remedy(f"Assign another stand to {rig.name}.", action="assign"),
                Remedy(
                    f"Set it at {reach.nearest_m:.2f} m.",
                    action="edit_recipe",
                    arguments=(("light", rig.of), ("height_m", f"{reach.nearest_m:.2f}")),
                    costs="the light comes from another angle",
                ),
            ),
            workings=(
                Working(
                    "to the nearer end",
                    "min( height − lowest, highest − height )",
                    f"min( {rig.height_m:g} − {lowest:.2f}, {highest:.2f} − {rig.height_m:g} )",
                    f"{reach.margin_m:+.2f} m",
                ),
            ),
        )


def _range_m(rig: Rig) -> tuple[float, float]:
    spec = rig.stand.spec
    if rig.boom is None:
        return spec.min_height_m, spec.max_height_m
    return 0.01, head_height_m(spec.max_height_m, rig.boom.spec.max_reach_m, BOOM_RAISED_DEG)
