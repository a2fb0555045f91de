"""Does the lens go on the body, and can it do the recipe's focal length, distance and aperture?"""

from __future__ import annotations

from collections.abc import Iterator
from math import log2

from gear.specs import LensSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup, Unit
from recipes.checks.verdict import not_known, status_of
from recipes.rig.mounts import same_mount

__all__ = ["EXPLANATION", "check"]

APERTURE_SLACK_STOPS = 0.15
"""Engraved f-numbers are rounded by up to this much: f/1.2 is 1.189 or 1.26."""
TIGHT_FOCUS_SHARE = 0.05
"""Nearer than this to the closest focus a step forward blurs the picture. Common practice, no source."""

EXPLANATION = Explanation(
    name="lens-fit",
    family="picture",
    title="Lens does what the recipe asks",
    question="Does the lens fit the body, and are focal length, focus distance and aperture within what it has?",
    formula=(
        "focal length: shortest ≤ wanted ≤ longest",
        "focus: margin = camera distance − closest focus",
        "aperture: margin = 2 · log2 of the f-number wanted / the limit of the lens, on the nearer side",
    ),
    symbols=(
        ("focal length", "in mm, as the recipe states it"),
        ("closest focus", "as engraved on the lens, in m"),
        ("camera distance", "from the camera to the mark, in m"),
    ),
    assumes=(
        "closest focus is engraved from the sensor, the camera distance may be taped from the lens: less than "
        "5 % to spare is tight",
        "engraved f-numbers are rounded by up to 0.15 stop, which is forgiven",
    ),
    source=("ISO 517, marked f-numbers", "the spec sheets of body and lens"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding for each thing that does not fit, else one for all; mm, m or stops."""
    if setup.lens is None:
        yield not_known(
            EXPLANATION,
            "lens",
            f"The recipe asks for {setup.look.camera.focal_length_mm:g} mm and no lens is assigned.",
            "a lens",
            (Remedy("Assign a lens.", action="assign"),),
        )
        return
    found = [
        *_mount(setup, setup.lens),
        *_focal(setup, setup.lens),
        *_focus(setup, setup.lens),
        *_aperture(setup, setup.lens),
    ]
    yield from found
    if not found:
        plan = setup.look.camera
        margin = plan.distance_m - setup.lens.spec.closest_focus_m
        yield Finding(
            check=EXPLANATION.name,
            status="ok",
            about=setup.lens.tag,
            sentence=f"{setup.lens.tag} ({setup.lens.type_name}) does {plan.focal_length_mm:g} mm, {plan.aperture} and "
            f"{plan.distance_m:g} m.",
            value=plan.distance_m,
            limit=setup.lens.spec.closest_focus_m,
            margin=margin,
            unit="m",
        )


def _mount(setup: Setup, lens: Unit[LensSpec]) -> Iterator[Finding]:
    if setup.camera is not None and not same_mount(setup.camera.spec.lens_mount, lens.spec.mount):
        yield Finding(
            check=EXPLANATION.name,
            status="gap",
            about=lens.tag,
            sentence=f"{lens.tag} has the mount {lens.spec.mount}, {setup.camera.tag} takes "
            f"{setup.camera.spec.lens_mount}.",
            remedies=(
                Remedy(f"Assign a lens with {setup.camera.spec.lens_mount}, or another body.", "assign"),
            ),
        )


def _focal(setup: Setup, lens: Unit[LensSpec]) -> Iterator[Finding]:
    wanted = setup.look.camera.focal_length_mm
    shortest, longest = lens.spec.focal_min_mm, lens.spec.focal_max_mm
    nearest = min(max(wanted, shortest), longest)
    if wanted == nearest:
        return
    reach = f"{shortest:g} mm" if shortest == longest else f"{shortest:g} to {longest:g} mm"
    yield Finding(
        check=EXPLANATION.name,
        status="gap",
        about=lens.tag,
        sentence=f"{lens.tag} has {reach}, the recipe asks for {wanted:g} mm.",
        value=wanted,
        limit=nearest,
        margin=-abs(wanted - nearest),
        unit="mm",
        remedies=(
            Remedy("Assign a lens with this focal length.", action="assign"),
            Remedy(
                f"Use {nearest:g} mm from {setup.look.camera.distance_m * nearest / wanted:.1f} m for the same frame.",
                action="edit_recipe",
                arguments=(("focal_length_mm", f"{nearest:g}"),),
                costs="another perspective, and another room behind the camera",
            ),
        ),
    )


def _focus(setup: Setup, lens: Unit[LensSpec]) -> Iterator[Finding]:
    distance, closest = setup.look.camera.distance_m, lens.spec.closest_focus_m
    margin = distance - closest
    status = status_of(margin, TIGHT_FOCUS_SHARE * closest)
    if status != "ok":
        yield Finding(
            check=EXPLANATION.name,
            status=status,
            about=lens.tag,
            sentence=f"{lens.tag} focuses from {closest:g} m on, the mark is at {distance:g} m.",
            value=distance,
            limit=closest,
            margin=margin,
            unit="m",
            remedies=(
                Remedy(
                    f"Put the camera at {(1 + TIGHT_FOCUS_SHARE) * closest:.2f} m or farther.",
                    action="edit_recipe",
                    costs="the subject comes out smaller",
                ),
            ),
            workings=(
                Working("to spare", "distance − closest", f"{distance:g} − {closest:g}", f"{margin:.2f} m"),
            ),
        )


def _aperture(setup: Setup, lens: Unit[LensSpec]) -> Iterator[Finding]:
    plan = setup.look.camera
    above_widest = 2.0 * log2(plan.f_number / lens.spec.widest_f_number)
    below_narrowest = 2.0 * log2(lens.spec.narrowest_f_number / plan.f_number)
    margin = min(above_widest, below_narrowest)
    if margin >= -APERTURE_SLACK_STOPS:
        return
    limit = min(max(plan.f_number, lens.spec.widest_f_number), lens.spec.narrowest_f_number)
    yield Finding(
        check=EXPLANATION.name,
        status="gap",
        about=lens.tag,
        sentence=f"{lens.tag} goes from f/{lens.spec.widest_f_number:g} to f/{lens.spec.narrowest_f_number:g}, the "
        f"recipe asks for {plan.aperture}.",
        value=2.0 * log2(plan.f_number),
        limit=2.0 * log2(limit),
        margin=margin,
        unit="stops",
        remedies=(
            Remedy(
                f"Set f/{limit:g} and bring the other {-margin:.1f} stops back by ISO, filter or power.",
                action="edit_recipe",
                costs="depth of field",
            ),
            Remedy("Assign another lens.", action="assign"),
        ),
        workings=(
            Working(
                "aperture value",
                "2 · log2 N",
                f"f/{plan.f_number:.2f} against f/{limit:g}",
                f"{margin:+.2f} stops",
            ),
        ),
    )
