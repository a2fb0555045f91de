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
    question="What do the heads on it draw at their peak, against what its windings and its engine may be loaded with?",
    formula=(
        f"margin in VA = {USUAL_LOADING:g} · rating − sum of the peaks",
        f"margin in W = {USUAL_LOADING:g} · rating · power factor − sum of (peak · power factor of the head)",
        "margin = of the two the one that is used up to the larger part",
    ),
    symbols=(
        ("rating", "of the generator's plate, in VA"),
        ("power factor", "of its plate: what its engine gives of it, in W"),
        ("peak", "of each head while it recycles, in VA"),
        ("power factor of the head", "what part of its VA are watts, by its sheet; 1 where nobody says"),
    ),
    assumes=(
        "a head hangs on the generator that is named as its circuit; where the room has no circuits, all heads do",
        "every pack recycles at the same moment, for longer than the engine's flywheel lasts",
        "nothing is lost to altitude and heat: the maker's sheet says how much to take off",
    ),
    source=(
        "energy balance; generators are rated in VA at a power factor: ISO 8528-1",
        f"loading to {USUAL_LOADING:.0%}: common practice, no source",
    ),
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
    value, limit, margin, unit = (
        (answer.peak_w, answer.usable_w, answer.w_margin, "W")
        if answer.engine_decides
        else (answer.peak_va, answer.usable_va, answer.va_margin, "VA")
    )
    status = status_of(margin, TIGHT_SHARE * limit)
    names = " + ".join(load.name for load in loads)
    sentence = (
        f"{generator.tag}: {names} draw {value:.0f} {unit} at the peak; "
        f"its {'engine' if unit == 'W' else 'windings'} may be loaded with {limit:.0f} {unit}"
    )
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
                Working(load.name, "peak", "", f"{load.peak_va:.0f} VA, {load.peak_w:.0f} W")
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
                f"{USUAL_LOADING:g} · rating · power factor − peaks",
                f"{USUAL_LOADING:g} · {spec.rated_va:g} · {spec.power_factor:g} − {answer.peak_w:.0f}",
                f"{answer.w_margin:.0f} W",
            ),
        ),
        caution=caution(Hazard.GENERATOR),
    )
