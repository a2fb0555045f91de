"""Do the room's circuits carry what is plugged into them?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.loads import Plugged, generator_of, plugged_heads
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Circuit, Setup
from recipes.checks.verdict import status_of
from recipes.rig.caution import Hazard, caution
from recipes.rig.circuits import CircuitMargin, Load, breaker_at_inrush, circuit_margin, switch_on_order
from recipes.rig.place_rules import continuous_rule

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.1
"""Less than a tenth of the circuit to spare is tight. Common practice, no source."""

LOWEST_POWER_FACTOR = 0.6
"""Of a pack without correction. Common practice, no source."""

EXPLANATION = Explanation(
    name="circuits",
    family="power",
    title="Circuits carry the load",
    question="What do the assigned mains heads draw on average and at their peak, against what the circuit may give?",
    formula=(
        "peak VA = sum of every head's peak at one moment",
        "average VA = sum of the averages + (factor of the place's rule − 1) · what of them is continuous",
        "margin = voltage · rated current − the larger of the two",
    ),
    symbols=(("VA", "apparent power: volts times amperes, what a breaker feels"),),
    assumes=(
        "a head that is not given a circuit counts on the room's first one",
        "a strobe's average in VA: idle draw + ( energy at the setting / charging efficiency / pace + modelling lamp ) "
        "/ power factor, at most its peak",
        "a power factor that no sheet states counts as 1; where the circuit would not carry the heads at "
        f"{LOWEST_POWER_FACTOR:g}, as of a pack without correction (common practice, no source), nobody knows",
        "a light that burns draws its peak all the time, a strobe its idle draw and its modelling lamp, which is left "
        "on: that is continuous when the shoot lasts as long as the rule says",
        "every pack recycles at the same moment",
    ),
    source=(
        "continuous loads: NEC (NFPA 70) 210.19(A)(1), 210.20(A); elsewhere the studio's own policy",
        "breaker bands: IEC 60898-1",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a circuit in use; value, limit and margin in VA."""
    plugged = [head for head in plugged_heads(setup, prediction) if generator_of(setup, head.circuit) is None]
    if not plugged:
        return
    room = setup.room
    if room is None or not room.circuits:
        yield Finding(
            check=EXPLANATION.name,
            status="unknown",
            about="circuits",
            sentence="Mains heads are assigned and nobody has entered the circuits of the room.",
            missing="the room's circuits",
        )
        return
    circuits = {circuit.name: circuit for circuit in room.circuits}
    first = room.circuits[0].name
    poorest = plugged_heads(setup, prediction, LOWEST_POWER_FACTOR)
    at_poorest = {(head.light.plan.name, head.load.name): head.load for head in poorest}
    by_circuit: dict[str, list[Plugged]] = defaultdict(list)
    for head in plugged:
        by_circuit[head.circuit if head.circuit in circuits else first].append(head)
    for name, group in sorted(by_circuit.items()):
        loads = [head.load for head in group]
        finding = _finding(circuits[name], loads, room.country, len(circuits))
        at_most = [at_poorest[head.light.plan.name, head.load.name] for head in group]
        beyond_va = -_margin(circuits[name], at_most, room.country).margin_va
        if finding.status != "gap" and beyond_va > 0:
            unstated = [one.name for one, most in zip(loads, at_most, strict=True) if one != most]
            finding = _unsettled(finding, unstated, beyond_va)
        yield finding


def _unsettled(finding: Finding, names: list[str], beyond_va: float) -> Finding:
    """The finding where it hangs on the power factor of some heads, which their sheets do not state."""
    return replace(
        finding,
        status="unknown",
        value=None,
        limit=None,
        margin=None,
        unit="",
        sentence=f"{finding.sentence} At a power factor of {LOWEST_POWER_FACTOR:g} it would be {beyond_va:.0f} VA too "
        "much, and no sheet says what it is.",
        missing=f"the power factor of {' and '.join(names)}",
    )


def _margin(circuit: Circuit, loads: list[Load], country: str) -> CircuitMargin:
    return circuit_margin(loads, circuit.voltage_v, circuit.rated_a, continuous_rule(country))


def _finding(circuit: Circuit, loads: list[Load], country: str, circuits: int) -> Finding:
    margin = _margin(circuit, loads, country)
    status = status_of(margin.margin_va, TIGHT_SHARE * margin.rated_va)
    drawn = margin.rated_va - margin.margin_va
    order = switch_on_order(loads, circuit.voltage_v)
    worst = max(step.total_a for step in order)
    answer = breaker_at_inrush(worst, circuit.rated_a, circuit.breaker)
    sentence = f"{circuit.name}: {' + '.join(load.name for load in loads)} draw {drawn:.0f} of {margin.rated_va:.0f} VA"
    if status == "gap":
        sentence += f", {-margin.margin_va:.0f} too much"
    sentence += "."
    if answer != "holds":
        sentence += f" Switching on one by one the breaker {answer}: {worst:.0f} A for a moment."
        status = "tight" if status == "ok" else status
    elsewhere = "another circuit" if circuits > 1 else "a circuit of another room, or fewer heads at once"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=circuit.name,
        sentence=sentence,
        value=drawn,
        limit=margin.rated_va,
        margin=margin.margin_va,
        unit="VA",
        remedies=()
        if status == "ok"
        else (Remedy(f"Plug some of these into {elsewhere}.", action="assign"),),
        workings=(
            *(
                Working(load.name, "average, peak", "", f"{load.average_va:.0f} VA, {load.peak_va:.0f} VA")
                for load in loads
            ),
            Working(
                "rule",
                f"continuous from {margin.rule.hours:g} h counts {margin.rule.factor:g} times",
                f"{margin.rule.standing}, {margin.rule.edition}",
                f"{margin.counted_average_va:.0f} VA on average, {margin.peak_va:.0f} VA at the peak",
            ),
            Working(
                "switch on in this order",
                "one after another",
                " → ".join(step.name for step in order),
                f"{worst:.0f} A",
            ),
        ),
        caution=caution(Hazard.MAINS),
    )
