"""Does the generator carry the heads that hang on it?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import GeneratorSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.loads import generator_of, plugged_heads
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup, Unit
from recipes.checks.verdict import status_of
from recipes.rig.caution import Hazard, caution
from recipes.rig.circuits import Load
from recipes.rig.generator import USUAL_LOADING, generator_margin

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.1
"""Less than a tenth of the limit to spare is tight. Common practice, no source."""

EXPLANATION = Explanation(
    name="generator",
    family="power",
    title="Generator carries the load",
    question="What do the heads on it draw at their peak and on average, against what it may be loaded with?",
    formula=(
        f"margin in VA = {USUAL_LOADING:g} · rating − sum of the peaks",
        f"margin in W = {USUAL_LOADING:g} · rating · power factor − sum of the averages",
        "margin = the smaller of the two",
    ),
    symbols=(
        ("rating", "of the generator's plate, in VA"),
        ("power factor", "of its plate: what its engine gives of it, in W"),
        ("peak, average", "of each head while it recycles, and over the session, in VA"),
    ),
    assumes=(
        "a head hangs on the generator that is named as its circuit; where the room has no circuits, all heads do",
        "every pack recycles at the same moment; averages count as watts, which is on the cautious side",
        "nothing is lost to altitude and heat: the maker's sheet says how much to take off",
    ),
    source=("energy balance", f"loading to {USUAL_LOADING:.0%}: common practice, no source"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a generator in use; value, limit and margin in VA or W."""
    feeds: dict[str, tuple[Unit[GeneratorSpec], list[Load]]] = {}
    for head in plugged_heads(setup, prediction):
        generator = generator_of(setup, head.circuit)
        if generator is not None:
            feeds.setdefault(generator.tag, (generator, []))[1].append(head.load)
    for generator, loads in feeds.values():
        yield _finding(generator, loads)


def _finding(generator: Unit[GeneratorSpec], loads: list[Load]) -> Finding:
    spec = generator.spec
    answer = generator_margin(loads, spec.rated_va, spec.power_factor)
    engine = answer.w_margin < answer.va_margin
    value, limit, margin, unit = (
        (answer.average_w, answer.usable_w, answer.w_margin, "W")
        if engine
        else (answer.peak_va, answer.usable_va, answer.va_margin, "VA")
    )
    status = status_of(margin, TIGHT_SHARE * limit)
    names = " + ".join(load.name for load in loads)
    sentence = (
        f"{generator.tag}: {names} draw {value:.0f} {unit}{' on average' if engine else ' at the peak'}"
    )
    sentence += f"; it may be loaded with {limit:.0f} {unit}"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=generator.tag,
        sentence=f"{sentence}: {-margin:.0f} too much." if status == "gap" else f"{sentence}.",
        value=value,
        limit=limit,
        margin=margin,
        unit=unit,
        estimated=spec.source_of("rated_va").basis == "estimated",
        remedies=()
        if status == "ok"
        else (
            Remedy("Set the heads to slow recycling, or hang fewer of them on it.", costs="a slower pace"),
            Remedy("Assign a larger generator, or heads on batteries.", action="assign"),
        ),
        workings=(
            *(
                Working(load.name, "average, peak", "", f"{load.average_va:.0f} VA, {load.peak_va:.0f} VA")
                for load in loads
            ),
            Working(
                "windings",
                f"{USUAL_LOADING:g} · rating − peaks",
                f"{USUAL_LOADING:g} · {spec.rated_va:g} − {answer.peak_va:.0f}",
                f"{answer.va_margin:.0f} VA",
            ),
            Working(
                "engine",
                f"{USUAL_LOADING:g} · rating · power factor − averages",
                f"{USUAL_LOADING:g} · {spec.rated_va:g} · {spec.power_factor:g} − {answer.average_w:.0f}",
                f"{answer.w_margin:.0f} W",
            ),
        ),
        caution=caution(Hazard.GENERATOR),
    )
