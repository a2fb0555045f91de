"""Does the modelling lamp burn hotter than the modifier bears?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import StrobeSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.verdict import enough, not_known, status_of
from recipes.quantity import round_down
from recipes.rig.caution import Hazard, caution
from recipes.rig.heat import lamp_margin, lamp_share_allowed

__all__ = ["EXPLANATION", "check"]

ASKED_FROM_W = 60.0
"""Lamps up to this warm a modifier too little to ask for its limit. Common practice, no source."""

EXPLANATION = Explanation(
    name="lamp-heat",
    family="rig",
    title="Modelling lamp and modifier",
    question="How many watts of modelling lamp burn inside each modifier, against what it bears?",
    formula=("burning = lamp · heads in the modifier", "margin = limit − burning"),
    symbols=(
        ("lamp", "power of one modelling lamp, in W"),
        ("limit", "most lamp power in the modifier, by its sheet, in W"),
    ),
    assumes=(
        "the lamps burn at full power unless they are locked lower",
        f"without a limit on the modifier's sheet, lamps of {ASKED_FROM_W:g} W together and less are not asked about",
    ),
    source=("the maker's sheets",),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a light with modelling lamps in a modifier; value, limit and margin in W."""
    for light in setup.lights:
        lamps = [head.spec.modelling_lamp_w for head in light.heads if isinstance(head.spec, StrobeSpec)]
        burning_w = sum(lamps)
        if light.modifier is None or not burning_w:
            continue
        limit_w = light.modifier.spec.max_modelling_lamp_w
        name = light.plan.name
        if limit_w is None:
            if burning_w > ASKED_FROM_W:
                missing = f"the lamp limit of {light.modifier.type_name}"
                yield not_known(
                    EXPLANATION,
                    name,
                    f"{burning_w:.0f} W of modelling lamp burn in {light.modifier.tag}; missing {missing}.",
                    missing,
                    caution=caution(Hazard.HEAT),
                )
            continue
        answer = lamp_margin(burning_w, limit_w)
        status = status_of(answer.margin_w)
        share = lamp_share_allowed(burning_w, limit_w)
        yield Finding(
            check=EXPLANATION.name,
            status=status,
            about=name,
            sentence=f"{burning_w:.0f} W of modelling lamp burn in {light.modifier.tag}, which bears {limit_w:g} W.",
            value=answer.lamp_w,
            limit=answer.limit_w,
            margin=answer.margin_w,
            unit="W",
            remedies=()
            if status == "ok"
            else (
                Remedy(
                    f"Lock the modelling lamp at {round_down(100 * share):.0f}% or less, or switch it off."
                ),
                Remedy(f"Assign a modifier that bears {enough(burning_w)} W.", action="assign"),
            ),
            workings=(
                Working(
                    "burning",
                    "lamp · heads",
                    " + ".join(f"{watts:g}" for watts in lamps),
                    f"{burning_w:.0f} W",
                ),
            ),
            caution=caution(Hazard.HEAT),
        )
