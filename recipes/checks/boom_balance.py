"""Does each boom carry its head, and is there a counterweight that balances it?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import BoomSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.rigged import Rig, front_moment_kg_m, rear_m, rigs
from recipes.checks.setup import Setup, Unit
from recipes.checks.verdict import enough, not_known, status_of
from recipes.rig.boom import counterweight_kg
from recipes.rig.caution import Hazard, caution
from recipes.rig.stand import STANDARD_GRAVITY, load_margin

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.1
"""Less than a tenth of the rated load to spare is tight. Common practice, no source."""

EXPLANATION = Explanation(
    name="boom-balance",
    family="rig",
    title="Booms carried and balanced",
    question="Is the head within the boom's rated load, and is the counterweight heavy enough for its moment?",
    formula=(
        "moment = head · reach + boom · ( length / 2 − rear )",
        "counterweight = moment / arm of the counterweight",
        "margin = weights assigned − counterweight",
    ),
    symbols=(
        ("head", "everything at the boom's end, in kg"),
        ("reach", "from the pivot to the head, in m"),
        (
            "boom, length, rear",
            "the boom's mass in kg, its length in m, and how much of it is behind the pivot",
        ),
        ("arm", "from the pivot to the counterweight, in m"),
    ),
    assumes=(
        "a uniform boom, level: raised, both sides shorten alike and the balance stays",
        "the recipe does not say how far the boom is out: first its longest reach is tried, then its shortest",
        "all weights assigned to the light may hang on its end; the bags at the legs are counted by the tipping check",
    ),
    source=("statics", "the maker's sheets"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """Two findings a boom: its load and its counterweight; kg."""
    for rig in rigs(setup):
        if rig.boom is None:
            continue
        missing = [*rig.missing]
        if rig.boom.spec.mass_kg is None:
            missing.append(f"{rig.boom.tag} ({rig.boom.type_name})")
        if missing:
            what = f"the mass of {', '.join(missing)}"
            yield not_known(
                EXPLANATION,
                rig.name,
                f"Whether {rig.boom.tag} balances is not known: missing {what}.",
                what,
                caution=caution(Hazard.OVERHEAD),
            )
            continue
        yield _load(rig, rig.boom)
        yield _balance(rig, rig.boom)


def _load(rig: Rig, boom: Unit[BoomSpec]) -> Finding:
    answer = load_margin([mass for _, mass in rig.load], boom.spec.max_load_kg)
    status = status_of(answer.margin_kg, TIGHT_SHARE * answer.limit_kg)
    sentence = (
        f"{boom.tag} holds {answer.load_kg:.1f} kg of {rig.name} and is rated for {answer.limit_kg:g} kg"
    )
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=f"{boom.tag} load",
        sentence=f"{sentence}: {-answer.margin_kg:.1f} kg too much." if status == "gap" else f"{sentence}.",
        value=answer.load_kg,
        limit=answer.limit_kg,
        margin=answer.margin_kg,
        unit="kg",
        remedies=()
        if status == "ok"
        else (
            Remedy(f"Assign a stronger boom, or a lighter head or modifier, to {rig.name}.", action="assign"),
        ),
        workings=(
            Working(
                "load",
                "sum of the masses",
                " + ".join(f"{tag} {mass:g}" for tag, mass in rig.load),
                f"{answer.load_kg:.2f} kg",
            ),
        ),
        caution=caution(Hazard.OVERHEAD),
    )


def _balance(rig: Rig, boom: Unit[BoomSpec]) -> Finding:
    spec = boom.spec
    longest, shortest = (
        counterweight_kg(front_moment_kg_m(rig.load_kg, spec, reach), spec.counterweight_arm_m)
        for reach in (spec.max_reach_m, spec.min_reach_m)
    )
    has = rig.weights_kg
    status, needed, reach = status_of(has - longest), longest, spec.max_reach_m
    if status != "ok":
        status, needed, reach = status_of(has - shortest, longest), shortest, spec.min_reach_m
    sentence = (
        f"{boom.tag} takes {longest:.1f} kg of counterweight at its longest reach of {spec.max_reach_m:g} m"
    )
    if status != "ok":
        sentence += f" and {shortest:.1f} kg drawn in to {spec.min_reach_m:g} m"
    sentence += f"; {has:g} kg are assigned."
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=f"{boom.tag} balance",
        sentence=sentence,
        value=has,
        limit=needed,
        margin=has - needed,
        unit="kg",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Assign {enough(longest - has, 1)} kg more of weights to {rig.name}.",
                action="assign",
            ),
            Remedy(
                f"Draw {boom.tag} in, and bring its stand nearer.",
                costs="the stand may come into the picture",
            ),
        ),
        workings=(
            Working(
                "moment",
                "head · reach + boom · ( length / 2 − rear )",
                f"{rig.load_kg:g} · {reach:g} + {spec.mass_kg or 0.0:g} · ( {spec.length_m:g} / 2 − "
                f"{rear_m(spec, reach):g} )",
                f"{front_moment_kg_m(rig.load_kg, spec, reach):.2f} kg·m, "
                f"{front_moment_kg_m(rig.load_kg, spec, reach) * STANDARD_GRAVITY:.0f} N·m",
            ),
            Working(
                "counterweight",
                "moment / arm",
                f"{front_moment_kg_m(rig.load_kg, spec, reach):.2f} / {spec.counterweight_arm_m:g}",
                f"{needed:.2f} kg",
            ),
        ),
        caution=caution(Hazard.OVERHEAD),
    )
