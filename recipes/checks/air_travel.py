"""May the batteries fly with the crew, and how?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import BatterySpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.verdict import not_known
from recipes.rig.air_travel import (
    LITHIUM_RULES,
    BatteryCarriage,
    CarriedBattery,
    CountMargin,
    carriage,
    count_margins,
)
from recipes.rig.caution import Hazard, caution

__all__ = ["EXPLANATION", "check"]

EXPLANATION = Explanation(
    name="air-travel",
    family="travel",
    title="Lithium batteries in the air",
    question="By its marked Wh, may each battery travel as baggage, where, and how many of them?",
    formula=(
        "up to 100 Wh: allowed; spares in the cabin only",
        "over 100 to 160 Wh: with the operator's approval; spares in the cabin only, two a person",
        "over 160 Wh: not as baggage",
        "margin = number a person · travellers − batteries under the rule",
    ),
    symbols=(
        ("Wh", "the rating marked on the battery; the limits are inclusive"),
        ("spare", "a battery that does not travel in its head"),
    ),
    assumes=(
        "one battery travels in each head of its light, all others are spares",
        "the batteries are really shared out among the travellers",
        f"the edition quoted: {LITHIUM_RULES[0].edition}; operators may be stricter: confirm with them before the day",
    ),
    source=(LITHIUM_RULES[0].source,),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a rule in use, when the shoot travels by air; number of batteries, or Wh for refused ones."""
    if not setup.travels_by_air:
        return
    batteries = _carried(setup)
    answers = [
        (battery, carriage(battery.rating_wh, battery.spare, battery.chemistry)) for battery in batteries
    ]
    for battery, answer in answers:
        yield from _by_itself(battery, answer)
    for count in count_margins(batteries, setup.travellers):
        yield _count(count, setup.travellers)


def _carried(setup: Setup) -> list[CarriedBattery]:
    in_heads = {
        battery.unit.tag
        for light in setup.lights
        for battery in light.batteries[: sum(head.spec.supply == "battery" for head in light.heads)]
    }
    return [
        CarriedBattery(unit.tag, unit.spec.capacity_wh, unit.tag not in in_heads, unit.spec.chemistry)
        for unit in setup.units
        if isinstance(unit.spec, BatterySpec)
    ]


def _by_itself(battery: CarriedBattery, answer: BatteryCarriage) -> Iterator[Finding]:
    if answer.verdict == "not covered":
        yield not_known(
            EXPLANATION,
            battery.tag,
            f"{battery.tag}: {answer.sentence}.",
            f"the operator's rule for {battery.chemistry} batteries",
        )
    elif answer.verdict == "refused":
        most = max(rule.up_to_wh for rule in LITHIUM_RULES)
        yield Finding(
            check=EXPLANATION.name,
            status="gap",
            about=battery.tag,
            sentence=f"{battery.tag} has {battery.rating_wh:g} Wh: {answer.sentence}.",
            value=battery.rating_wh,
            limit=most,
            margin=most - battery.rating_wh,
            unit="Wh",
            remedies=(
                Remedy(f"Take batteries of {most:g} Wh or less in its place.", action="assign"),
                Remedy("Send it as cargo, or hire one where you land."),
            ),
            caution=caution(Hazard.LITHIUM),
        )


def _count(count: CountMargin, travellers: int) -> Finding:
    rule = count.rule
    status: Status = "tight" if rule.approval else "ok"
    sentence = f"{len(count.tags)} batteries {count.name} ({', '.join(count.tags)}): {rule.note}"
    if rule.approval:
        sentence += "; the operator must approve"
    if count.margin is not None and count.margin < 0:
        status = "gap"
        sentence += f"; {count.allowed} are the most for {travellers} travelling"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=count.name,
        sentence=f"{sentence}.",
        value=float(len(count.tags)),
        limit=float(count.allowed) if count.allowed is not None else None,
        margin=float(count.margin) if count.margin is not None else None,
        unit="batteries",
        remedies=()
        if status == "ok"
        else (
            Remedy("Ask the operator in writing, with the Wh of each battery, and take the answer along."),
            Remedy("Take fewer, or share them out among more people.", action="assign"),
        ),
        workings=(
            Working(
                "most",
                "number a person · travellers",
                f"{rule.most_per_person if rule.most_per_person is not None else 'no number'} · {travellers}",
                str(count.allowed) if count.allowed is not None else "not stated",
            ),
            Working("rule", rule.source, rule.edition, rule.name),
        ),
        caution=caution(Hazard.LITHIUM),
    )
