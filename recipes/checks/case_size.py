"""How large is each packed case?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import CaseSpec, SpecSheet
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup, Unit
from recipes.checks.verdict import not_known
from recipes.rig.air_travel import PIECE_SIZE, size_margin
from recipes.rig.caution import Hazard, caution

__all__ = ["EXPLANATION", "check"]

_SIDES = ("outside_length_m", "outside_width_m", "outside_height_m")

EXPLANATION = Explanation(
    name="case-size",
    family="travel",
    title="Size of the cases",
    question="How large is each case that goes by air, against what an airline usually takes as one piece?",
    formula=("size = length + width + height", "margin = usual size of one piece − size"),
    symbols=(
        ("length, width, height", "outside, wheels and handles included, in m, by the sheet of the case"),
    ),
    assumes=(
        f"{PIECE_SIZE.limit_m:g} m are usual; larger pieces go as oversize, where the operator takes them",
        "on the road no size is asked for",
    ),
    source=(PIECE_SIZE.source,),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """By air, one finding a case on the list with something in it; value, limit and margin in m."""
    if not setup.travels_by_air:
        return
    for case in setup.units:
        if isinstance(case.spec, CaseSpec) and any(unit.case_tag == case.tag for unit in setup.units):
            yield _of_case(case, case.spec)


def _of_case(case: Unit[SpecSheet], spec: CaseSpec) -> Finding:
    sides = [getattr(spec, side) for side in _SIDES]
    if None in sides:
        missing = f"the outside length, width and height of {case.tag} ({case.type_name})"
        return not_known(
            EXPLANATION, case.tag, f"How large {case.tag} is is not known: missing {missing}.", missing
        )
    answer = size_margin(*sides)
    # An oversize piece still flies where the operator takes it, so it is never a gap.
    status: Status = "tight" if answer.margin_m < 0 else "ok"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=case.tag,
        sentence=f"{case.tag} measures {answer.size_m:.2f} m round its three sides; {answer.limit_m:g} m are the usual "
        f"piece.",
        value=answer.size_m,
        limit=answer.limit_m,
        margin=None if status == "tight" else answer.margin_m,
        unit="m",
        remedies=()
        if status == "ok"
        else (Remedy("Ask the operator for oversize, or pack into smaller cases.", action="assign"),),
        workings=(
            Working(
                "size",
                "length + width + height",
                " + ".join(f"{side:g}" for side in sides),
                f"{answer.size_m:.2f} m",
            ),
        ),
        caution=caution(Hazard.LIFTING) if status != "ok" else "",
    )
