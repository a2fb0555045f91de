"""How much voltage do the mains cables of each light lose, and do they carry its current?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import CableSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.loads import Plugged, generator_of, plugged_heads
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, Setup, Unit
from recipes.checks.verdict import enough, not_known, status_of
from recipes.rig.cable import IEC_60228_OHM_PER_KM, CableRun, DropMargin, conductor_ohm_per_km, drop_margin
from recipes.rig.caution import Hazard, caution
from recipes.rig.place_rules import DropLimit, drop_limits

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.1
"""Less than a tenth of the limit to spare is tight. Common practice, no source."""
_CORDS = sorted(IEC_60228_OHM_PER_KM[5])

EXPLANATION = Explanation(
    name="cable-drop",
    family="power",
    title="Voltage lost in cables",
    question="How many volts do the cables of each light lose at its peak current, against the limit of the place?",
    formula=(
        "I = sum of the peaks in VA / voltage",
        "lost = sum of 2 · L · R · I over the cables in a row",
        "margin = allowed part · voltage − lost;   and rated current of each cable − I",
    ),
    symbols=(
        ("I", "current of all heads of the light at their peak, in A"),
        ("L", "length of the cable, one way, in m"),
        ("R", "resistance of one conductor of its section at 70 °C, in ohm/m: a fifth more than at 20 °C"),
        ("allowed part", "of the nominal voltage, by the rule of the place or the house"),
    ),
    assumes=(
        "the light's mains cables are plugged one into the other, and all its heads hang on the end",
        "a generator whose sheet states no voltage gives that of the room's first circuit",
        "flexible copper cords; a section between two of the table counts as the thinner one",
        "what the house wiring loses is not known here",
    ),
    source=(
        "resistance: IEC 60228, class 5; rise with temperature: IEC 60028",
        "limits: BS 7671 regulation 525 with the informative Appendix 4, Table 4Ab; NEC 210.19(A) informational note; "
        "elsewhere house policy",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a light with mains heads and cables, one more for a cable that is too thin; V or A."""
    plugged = plugged_heads(setup, prediction)
    for light in setup.lights:
        cables = [cable for cable in light.cables if cable.spec.use == "mains"]
        heads = [head for head in plugged if head.light is light]
        if cables and heads:
            yield from _of_light(setup, light, cables, heads)


def _of_light(
    setup: Setup, light: AssignedLight, cables: list[Unit[CableSpec]], heads: list[Plugged]
) -> Iterator[Finding]:
    voltage_v = _voltage_v(setup, light)
    missing = "" if voltage_v else "the voltage: the room's circuits, or the generator's sheet"
    bare = [f"{cable.tag} ({cable.type_name})" for cable in cables if not _section_mm2(cable.spec)]
    if bare:
        missing = f"the section of {', '.join(bare)}, {_CORDS[0]:g} mm² or more"
    if missing or voltage_v is None:
        yield not_known(
            EXPLANATION,
            light.plan.name,
            f"What the cables of {light.plan.name} lose is not known: missing {missing}.",
            missing,
            caution=caution(Hazard.MAINS),
        )
        return
    current_a = sum(head.load.peak_va for head in heads) / voltage_v
    country = setup.room.country if setup.room else ""
    runs = [CableRun(cable.spec.length_m, _section_mm2(cable.spec)) for cable in cables]
    answer = drop_margin(runs, current_a, voltage_v, _limit(country, light))
    yield _drop(light, cables, runs, current_a, voltage_v, answer)
    for cable in cables:
        yield from _rating(light, cable, current_a)


def _voltage_v(setup: Setup, light: AssignedLight) -> float | None:
    """Of the generator or the circuit that feeds a light."""
    generator = generator_of(setup, light.circuit)
    if generator is not None and generator.spec.voltage_v is not None:
        return generator.spec.voltage_v
    circuits = setup.room.circuits if setup.room else ()
    named = (circuit for circuit in circuits if circuit.name == light.circuit)
    circuit = next(named, circuits[0] if circuits else None)
    return circuit.voltage_v if circuit else None


def _section_mm2(cable: CableSpec) -> float:
    """The section of the table that the cable has at least; 0 when it is not stated or thinner than all of them."""
    stated = cable.section_mm2 or 0.0
    return max((section for section in _CORDS if section <= stated), default=0.0)


def _limit(country: str, light: AssignedLight) -> DropLimit:
    limits = {limit.use: limit for limit in drop_limits(country)}
    if "branch" in limits:
        return limits["branch"]
    return limits["lighting" if light.plan.source == "continuous" else "other"]


def _drop(
    light: AssignedLight,
    cables: list[Unit[CableSpec]],
    runs: list[CableRun],
    current_a: float,
    voltage_v: float,
    answer: DropMargin,
) -> Finding:
    status = status_of(answer.margin_v, TIGHT_SHARE * answer.limit_v)
    tags = " + ".join(cable.tag for cable in cables)
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=light.plan.name,
        sentence=f"{tags} lose {answer.drop_v:.1f} V ({answer.drop_fraction:.1%}) at {current_a:.1f} A on the way to "
        f"{light.plan.name}; {answer.limit.fraction:.0%} are the limit ({answer.limit.standing}).",
        value=answer.drop_v,
        limit=answer.limit_v,
        margin=answer.margin_v,
        unit="V",
        remedies=()
        if status == "ok"
        else (
            Remedy("Take shorter or thicker cables.", action="assign"),
            Remedy(f"Plug {light.plan.name} in nearer by.", action="assign"),
        ),
        workings=(
            Working(
                "current",
                "peak VA / voltage",
                f"{current_a * voltage_v:.0f} / {voltage_v:g}",
                f"{current_a:.2f} A",
            ),
            *(
                Working(
                    f"{cable.tag}, {run.section_mm2:g} mm²",
                    "2 · L · R at 20 °C · 1.1965 · I",
                    f"2 · {run.length_m:g} · {conductor_ohm_per_km(run.section_mm2) / 1000:.5f} · 1.1965 · "
                    f"{current_a:.2f}",
                    f"{drop_v:.2f} V",
                )
                for cable, run, drop_v in zip(cables, runs, answer.by_run_v, strict=True)
            ),
            Working("rule", answer.limit.source, answer.limit.edition, f"{answer.limit_v:.1f} V"),
        ),
        caution=caution(Hazard.MAINS),
    )


def _rating(light: AssignedLight, cable: Unit[CableSpec], current_a: float) -> Iterator[Finding]:
    rated_a = cable.spec.rated_a
    if rated_a is None or current_a <= rated_a:
        return
    yield Finding(
        check=EXPLANATION.name,
        status="gap",
        about=cable.tag,
        sentence=f"{cable.tag} is rated for {rated_a:g} A and {light.plan.name} takes {current_a:.1f} A.",
        value=current_a,
        limit=rated_a,
        margin=rated_a - current_a,
        unit="A",
        remedies=(
            Remedy(
                f"Assign a cable for {enough(current_a)} A or more, or fewer heads on it.",
                action="assign",
            ),
        ),
        caution=caution(Hazard.MAINS),
    )
