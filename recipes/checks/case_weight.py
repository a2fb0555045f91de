"""How heavy is each packed case?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import CaseSpec, SpecSheet
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup, Unit
from recipes.checks.verdict import not_known, status_of
from recipes.rig.air_travel import CASE_LIMITS, CaseMargin, case_margin
from recipes.rig.caution import Hazard, caution

__all__ = ["EXPLANATION", "check"]

_USUAL, _HEAVIEST = CASE_LIMITS

EXPLANATION = Explanation(
    name="case-weight",
    family="travel",
    title="Weight of the cases",
    question="How heavy is each case with what travels in it, against what it takes or what an airline takes?",
    formula=(
        "contents = sum of the masses of the units that travel in it",
        "by air: margin = limit of one piece − (empty case + contents)",
        "else: margin = load of the case − contents",
    ),
    symbols=(
        ("masses", "in kg, by the units' sheets"),
        ("load of the case", "what its sheet says it takes, in kg"),
    ),
    assumes=(
        "each unit travels in the case it belongs to; stock and paper are not weighed",
        f"by air {_USUAL.limit_kg:g} kg are usual and {_HEAVIEST.limit_kg:g} kg the most for one piece; fares differ",
    ),
    source=(f"{_USUAL.source}", f"{_HEAVIEST.source}"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a case on the list with something in it; value, limit and margin in kg."""
    for case in setup.units:
        if isinstance(case.spec, CaseSpec):
            contents = [unit for unit in setup.units if unit.case_tag == case.tag]
            if contents:
                yield from _of_case(setup, case, case.spec, contents)


def _of_case(
    setup: Setup, case: Unit[SpecSheet], spec: CaseSpec, contents: list[Unit[SpecSheet]]
) -> Iterator[Finding]:
    bare = [unit for unit in contents if unit.spec.mass_kg is None]
    limited = setup.travels_by_air or spec.max_load_kg is not None
    if setup.travels_by_air and spec.mass_kg is None:
        bare.append(case)
    if bare and limited:
        missing = f"the mass of {', '.join(f'{unit.tag} ({unit.type_name})' for unit in bare)}"
        yield not_known(
            EXPLANATION, case.tag, f"How heavy {case.tag} is is not known: missing {missing}.", missing
        )
        return
    masses = [unit.spec.mass_kg for unit in contents if unit.spec.mass_kg is not None]
    if setup.travels_by_air and spec.mass_kg is not None:
        yield _by_air(case, spec.mass_kg, contents, masses)
    elif spec.max_load_kg is not None:
        yield _by_road(case, spec.max_load_kg, contents, masses)


def _by_air(
    case: Unit[SpecSheet], empty_kg: float, contents: list[Unit[SpecSheet]], masses: list[float]
) -> Finding:
    usual = case_margin(empty_kg, masses, _USUAL.limit_kg)
    heaviest = case_margin(empty_kg, masses, _HEAVIEST.limit_kg)
    status = status_of(heaviest.margin_kg, _HEAVIEST.limit_kg - _USUAL.limit_kg)
    answer = usual if status == "ok" else heaviest
    sentence = (
        f"{case.tag} weighs {answer.mass_kg:.1f} kg packed; {answer.limit_kg:g} kg are the {_name(status)}"
    )
    return _finding(case, contents, masses, answer, status, answer.margin_kg, sentence, empty_kg)


def _name(status: Status) -> str:
    return _USUAL.name if status == "ok" else _HEAVIEST.name


def _by_road(
    case: Unit[SpecSheet], max_load_kg: float, contents: list[Unit[SpecSheet]], masses: list[float]
) -> Finding:
    answer = case_margin(0.0, masses, max_load_kg)
    over = status_of(answer.margin_kg) == "gap"
    sentence = f"{case.tag} holds {answer.mass_kg:.1f} kg and takes {max_load_kg:g} kg"
    # Over its load a case strains handles and backs; it still travels, so it is never a gap.
    return _finding(
        case,
        contents,
        masses,
        answer,
        "tight" if over else "ok",
        None if over else answer.margin_kg,
        sentence,
        0.0,
    )


def _finding(
    case: Unit[SpecSheet],
    contents: list[Unit[SpecSheet]],
    masses: list[float],
    answer: CaseMargin,
    status: Status,
    margin: float | None,
    sentence: str,
    empty_kg: float,
) -> Finding:
    heaviest = max(zip(masses, (unit.tag for unit in contents), strict=True))
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=case.tag,
        sentence=f"{sentence}.",
        value=answer.mass_kg,
        limit=answer.limit_kg,
        margin=margin,
        unit="kg",
        remedies=()
        if status == "ok"
        else (Remedy(f"Pack {heaviest[1]} ({heaviest[0]:g} kg) in another case.", action="assign"),),
        workings=(
            Working(
                "mass",
                "empty + contents" if empty_kg else "contents",
                " + ".join([*([f"{empty_kg:g}"] if empty_kg else []), *(f"{mass:g}" for mass in masses)]),
                f"{answer.mass_kg:.1f} kg",
            ),
        ),
        caution=caution(Hazard.LIFTING) if status != "ok" else "",
    )
