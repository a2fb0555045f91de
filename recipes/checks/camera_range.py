"""Can the body be set to the recipe's ISO and shutter time?"""

from __future__ import annotations

from collections.abc import Iterator
from math import log2

from gear.specs import CameraSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup, Unit
from recipes.checks.verdict import engraved_time

__all__ = ["EXPLANATION", "check"]

ENGRAVING_SLACK_STOPS = 0.1
"""Engraved times and speeds are rounded by up to a tenth of a stop."""

EXPLANATION = Explanation(
    name="camera-range",
    family="exposure",
    title="ISO and shutter that the body has",
    question="Are the recipe's ISO and shutter time within what the assigned body can be set to?",
    formula=(
        "margin = smaller of log2( ISO / lowest ) and log2( highest / ISO )",
        "margin = log2( shutter time / shortest time )",
    ),
    symbols=(
        ("ISO", "exact speed behind the engraving"),
        ("shutter time", "exact time behind the engraving, in s"),
    ),
    assumes=("engravings are rounded by up to a tenth of a stop, which is forgiven",),
    source=("ISO 12232, speed", "ISO 516, shutters", "the body's spec sheet"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding for each setting out of range, else one for both; stops."""
    if setup.camera is None:
        return
    spec, plan = setup.camera.spec, setup.look.camera
    iso_margin = min(log2(plan.iso_exact / spec.iso_min), log2(spec.iso_max / plan.iso_exact))
    time_margin = log2(plan.time_s / spec.shortest_time_s)
    found = [*_iso(setup, setup.camera, iso_margin), *_time(setup, setup.camera, time_margin)]
    yield from found
    if not found:
        margin = max(0.0, min(iso_margin, time_margin))
        yield Finding(
            check=EXPLANATION.name,
            status="ok",
            about=setup.camera.tag,
            sentence=f"{setup.camera.tag} ({setup.camera.type_name}) can be set to ISO {plan.iso} and "
            f"{engraved_time(plan)}.",
            value=margin,
            limit=0.0,
            margin=margin,
            unit="stops",
        )


def _iso(setup: Setup, body: Unit[CameraSpec], margin: float) -> Iterator[Finding]:
    if margin >= -ENGRAVING_SLACK_STOPS:
        return
    plan, spec = setup.look.camera, body.spec
    limit = min(max(plan.iso_exact, spec.iso_min), spec.iso_max)
    yield Finding(
        check=EXPLANATION.name,
        status="gap",
        about=body.tag,
        sentence=f"{body.tag} goes from ISO {spec.iso_min} to {spec.iso_max}, the recipe asks for {plan.iso}.",
        value=log2(plan.iso_exact / 100.0),
        limit=log2(limit / 100.0),
        margin=margin,
        unit="stops",
        remedies=(
            Remedy(
                f"Set ISO {limit:g} and bring {-margin:.1f} stops back by aperture, filter or power.",
                action="edit_recipe",
            ),
        ),
        workings=(
            Working(
                "out of range",
                "log2( the smaller ISO / the larger )",
                f"log2( {min(plan.iso_exact, limit):.0f} / {max(plan.iso_exact, limit):.0f} )",
                f"{margin:+.2f} stops",
            ),
        ),
    )


def _time(setup: Setup, body: Unit[CameraSpec], margin: float) -> Iterator[Finding]:
    if margin >= -ENGRAVING_SLACK_STOPS:
        return
    plan, shortest = setup.look.camera, body.spec.shortest_time_s
    yield Finding(
        check=EXPLANATION.name,
        status="gap",
        about=body.tag,
        sentence=f"{body.tag} goes down to 1/{1 / shortest:.0f} s, the recipe asks for {engraved_time(plan)}.",
        value=log2(plan.time_s),
        limit=log2(shortest),
        margin=margin,
        unit="stops",
        remedies=(
            Remedy(
                f"Set 1/{1 / shortest:.0f} s and hold {-margin:.1f} stops of ambient back by aperture or filter.",
                action="edit_recipe",
            ),
        ),
        workings=(
            Working(
                "out of range",
                "log2( time / shortest )",
                f"log2( {plan.time_s:.6f} / {shortest:.6f} )",
                f"{margin:+.2f} stops",
            ),
        ),
    )
