"""Does each stand carry what hangs on it?"""

from __future__ import annotations

from collections.abc import Iterator

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.rigged import Rig, counterbalance, front_moment_kg_m, rigs
from recipes.checks.setup import Setup
from recipes.checks.verdict import enough, not_known, status_of
from recipes.rig.boom import counterweight_kg
from recipes.rig.caution import Hazard, caution
from recipes.rig.stand import load_margin

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.1
"""Less than a tenth of the rated load to spare is tight: cables and clamps weigh too. Common practice, no source."""

EXPLANATION = Explanation(
    name="stand-load",
    family="rig",
    title="Stands carry their load",
    question="How heavy is what hangs on each stand, against the load it is rated for?",
    formula=(
        "load = heads + modifier + adapter + receiver + batteries on it",
        "with a boom also the boom and its counterweight",
        "margin = rated load − load",
    ),
    symbols=(("load", "in kg, by the units' sheets"), ("rated load", "the stand's own figure, in kg")),
    assumes=(
        "one battery on each head; cables are not weighed",
        "bags hang at the legs and do not load the column",
        "of the weights assigned to a boom, those nearest to what balances it at its longest reach hang on its end",
    ),
    source=("the maker's sheets", "statics"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a stand; value, limit and margin in kg."""
    for rig in rigs(setup):
        parts = list(rig.load)
        missing = list(rig.missing)
        if rig.boom is not None:
            spec = rig.boom.spec
            if spec.mass_kg is None:
                missing.append(f"{rig.boom.tag} ({rig.boom.type_name})")
            else:
                parts.append((rig.boom.tag, spec.mass_kg))
            needed = counterweight_kg(
                front_moment_kg_m(rig.load_kg, spec, spec.max_reach_m), spec.counterweight_arm_m
            )
            on_end, _ = counterbalance(rig.weights, needed)
            parts.extend((weight.tag, weight.spec.mass_kg) for weight in on_end)
        yield _finding(rig, parts, missing)


def _finding(rig: Rig, parts: list[tuple[str, float]], missing: list[str]) -> Finding:
    answer = load_margin([mass for _, mass in parts], rig.stand.spec.max_load_kg)
    status = status_of(answer.margin_kg, TIGHT_SHARE * answer.limit_kg)
    if missing and status != "gap":
        what = f"the mass of {', '.join(missing)}"
        return not_known(
            EXPLANATION,
            rig.name,
            f"What {rig.stand.tag} carries for {rig.name} is not known: missing {what}.",
            what,
            caution=caution(Hazard.OVERHEAD),
        )
    sentence = f"{rig.stand.tag} carries {answer.load_kg:.1f} kg for {rig.name} and is rated for {answer.limit_kg:g} kg"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=rig.name,
        sentence=f"{sentence}: {-answer.margin_kg:.1f} kg too much." if status == "gap" else f"{sentence}.",
        value=answer.load_kg,
        limit=answer.limit_kg,
        margin=answer.margin_kg,
        unit="kg",
        estimated=rig.stand.spec.source_of("max_load_kg").basis == "estimated",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Assign a stand rated for {enough(answer.load_kg / (1 - TIGHT_SHARE))} kg or more to {rig.name}.",
                action="assign",
            ),
        ),
        workings=(
            Working(
                "load",
                "sum of the masses",
                " + ".join(f"{tag} {mass:g}" for tag, mass in parts) or "nothing",
                f"{answer.load_kg:.2f} kg",
            ),
        ),
        caution=caution(Hazard.OVERHEAD),
    )
