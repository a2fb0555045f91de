"""Is every unit really there: promised for the whole blocked time, fit for use, and inspected?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from gear.specs import SpecSheet
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup, Unit

__all__ = ["EXPLANATION", "check"]

EXPLANATION = Explanation(
    name="unit-state",
    family="booking",
    title="Units free, fit and inspected",
    question="Does the shoot have each unit for its whole blocked time, in service, with its inspection in date?",
    formula=("margin = days from the end of the shoot to the day the inspection is due",),
    symbols=(("blocked time", "the asked time plus preparation before and turnaround after"),),
    assumes=(
        "an inspection falls due at the end of its day; how often one is due is the studio's own setting",
    ),
    source=(
        "common practice, no source; for hired electrical equipment the local rules on inspection apply",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a unit that is not in order, and one for all that are."""
    troubled = 0
    for unit in setup.units:
        found = list(_troubles(setup, unit))
        troubled += bool(found)
        yield from found
    fine = len(setup.units) - troubled
    if fine:
        yield Finding(
            check=EXPLANATION.name,
            status="ok",
            about="units",
            sentence=f"{fine} of {len(setup.units)} units are promised for the whole time, in service and in date.",
            value=float(fine),
            limit=float(len(setup.units)),
            unit="units",
        )


def _troubles(setup: Setup, unit: Unit[SpecSheet]) -> Iterator[Finding]:
    who = f"{unit.tag} ({unit.type_name})"
    if not unit.fit_for_use:
        yield _gap(unit, f"{who} is not to be used: {unit.why_not}.")
    if not unit.promised:
        where = f"it is {unit.clash}" if unit.clash else "nobody has promised it to this shoot yet"
        yield _gap(unit, f"{who} is not promised to this shoot: {where}.")
    if unit.inspection_due and setup.ends is not None:
        days = (date.fromisoformat(unit.inspection_due) - setup.ends.date()).days
        if days < 0:
            yield Finding(
                check=EXPLANATION.name,
                status="gap",
                about=unit.tag,
                sentence=f"{who} must be inspected by {unit.inspection_due}, before this shoot ends.",
                value=float(days),
                limit=0.0,
                margin=float(days),
                unit="days",
                remedies=(Remedy(f"Inspect {unit.tag} and record it, or take another unit."),),
            )


def _gap(unit: Unit[SpecSheet], sentence: str) -> Finding:
    return Finding(
        check=EXPLANATION.name,
        status="gap",
        about=unit.tag,
        sentence=sentence,
        remedies=(Remedy(f"Assign another unit in place of {unit.tag}.", action="assign"),),
    )
