"""Outdoors: in which wind does each modifier or board go over or slide?"""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.rigged import Rig, Sail, rigs
from recipes.checks.setup import Setup
from recipes.checks.tipping import masses_on, unweighed
from recipes.checks.verdict import enough, not_known, status_of
from recipes.rig.caution import Hazard, caution
from recipes.rig.stand import STANDARD_GRAVITY, USUAL_TIPPING_RATIO, Feet, tipping_arm_m, tipping_edges
from recipes.rig.wind import (
    AIR_DENSITY,
    USUAL_FRICTION,
    USUAL_GUST_FACTOR,
    beaufort,
    friction_hold_n,
    wind_force_n,
)

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.25
"""Within a quarter of the limit is tight: a forecast is no better. Common practice, no source."""

EXPLANATION = Explanation(
    name="wind",
    family="rig",
    title="Standing in the wind",
    question="Which mean wind may blow before the gusts of it tip or slide a modifier or board on its stand?",
    formula=(
        "force = ½ · 1.225 · (1.4 · v)² · Cd · A",
        f"tips when {USUAL_TIPPING_RATIO:g} · (force · h / g + turning) > holding",
        f"slides when force > {USUAL_FRICTION:g} · m · g",
        "margin = the lower of the two winds − the wind of the place",
    ),
    symbols=(
        ("v", "mean wind in m/s; gusts are taken as 1.4 times it"),
        ("Cd, A", "drag coefficient of the face, from its sheet; its area in m²"),
        ("h", "height of the head or of the board's middle, in m"),
        ("holding, turning", "moments of all masses over the line between two feet, in kg·m"),
        ("m", "mass of everything on the stand and of the stand, in kg"),
    ),
    assumes=(
        "the wind stands square on the face and comes from the worst side; a bare head catches none",
        "rubber feet on a dry, level, firm floor; bags hang clear of the ground, at the column",
        "a leg under the load of a boom at its longest reach",
    ),
    source=(
        "Bernoulli; air density of the international standard atmosphere",
        "drag of plates and hollow shapes: Aeronautical Engineer's Data Book",
        f"gusts 1.4, friction {USUAL_FRICTION:g}, {USUAL_TIPPING_RATIO:g} times: house policy",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a stand with something on it that catches the wind; value, limit and margin in m/s."""
    if setup.room is None or not setup.room.outdoors:
        return
    wind = setup.room.wind_m_per_s
    for rig in rigs(setup):
        sail = rig.sail
        if sail is None:
            continue
        masses = unweighed(rig)
        lacking = (
            f"the mass of {', '.join(masses)}" if masses else "the wind at the place" if wind is None else ""
        )
        if wind is None or lacking:
            yield not_known(
                EXPLANATION,
                rig.name,
                f"Whether {rig.name} stands in the wind is not known: missing {lacking}.",
                lacking,
                caution=caution(Hazard.WIND),
            )
        else:
            yield _finding(rig, sail, wind)


def _finding(rig: Rig, sail: Sail, wind: float) -> Finding:
    masses = masses_on(rig)
    spec = rig.stand.spec
    height_m = max(rig.height_m, spec.min_height_m)
    total_kg = sum(mass.mass_kg for mass in masses)
    edges = tipping_edges(Feet(spec.foot_radius_m, spec.legs), masses)
    spare_kg_m = min(edge.restoring_kg_m / USUAL_TIPPING_RATIO - edge.overturning_kg_m for edge in edges)
    tips_n = max(0.0, spare_kg_m) * STANDARD_GRAVITY / height_m
    slides_n = friction_hold_n(total_kg)
    limit = _wind_of_force(min(tips_n, slides_n), sail)
    margin = limit - wind
    status = status_of(margin, TIGHT_SHARE * limit)
    force_n = wind_force_n(sail.area_m2, wind, sail.drag, USUAL_GUST_FACTOR)
    how = "tips" if tips_n <= slides_n else "slides"
    more_kg = _bags_kg(rig, force_n, height_m, spare_kg_m, total_kg)
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=rig.name,
        sentence=f"{rig.name} {how} from a mean wind of {limit:.1f} m/s on (Beaufort {beaufort(limit)}); "
        f"{wind:.1f} m/s are expected.",
        value=wind,
        limit=limit,
        margin=margin,
        unit="m/s",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Hang {enough(more_kg)} kg more of bags on {rig.stand.tag}, clear of the ground, for this wind."
                if more_kg > 0
                else f"Hang more bags on {rig.stand.tag}, clear of the ground.",
                action="assign",
                arguments=(("light", rig.of), ("job", "weight")),
            ),
            Remedy(f"Use a smaller face, set {rig.name} lower, or shelter it."),
        ),
        workings=(
            Working(
                "force in a gust",
                "½ · 1.225 · (1.4 · v)² · Cd · A",
                f"½ · {AIR_DENSITY:g} · (1.4 · {wind:g})² · {sail.drag:g} · {sail.area_m2:.2f}",
                f"{force_n:.0f} N",
            ),
            Working(
                "tips it",
                "max( 0, (holding / 1.5 − turning) · g / h )",
                f"max( 0, {spare_kg_m:.2f} · 9.81 / {height_m:.2f} )",
                f"{tips_n:.0f} N",
            ),
            Working(
                "slides it", "μ · m · g", f"{USUAL_FRICTION:g} · {total_kg:.1f} · 9.81", f"{slides_n:.0f} N"
            ),
        ),
        caution=caution(Hazard.WIND),
    )


def _wind_of_force(force_n: float, sail: Sail) -> float:
    """The mean wind whose gusts push with this force, in m/s."""
    return sqrt(2.0 * force_n / (AIR_DENSITY * sail.drag * sail.area_m2)) / USUAL_GUST_FACTOR


def _bags_kg(rig: Rig, force_n: float, height_m: float, spare_kg_m: float, total_kg: float) -> float:
    """What must be added at the column against tipping and sliding in this wind, in kg."""
    spec = rig.stand.spec
    arm_m = tipping_arm_m(spec.foot_radius_m, spec.legs)
    tipping = (force_n * height_m / STANDARD_GRAVITY - spare_kg_m) * USUAL_TIPPING_RATIO / arm_m
    sliding = force_n / (USUAL_FRICTION * STANDARD_GRAVITY) - total_kg
    return max(0.0, tipping, sliding)
