"""Is the subject sharp from front to back?"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.optics import Optics, confusion_mm, optics_of
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.verdict import not_known, status_of
from recipes.light.depth_of_field import (
    COC_DIVISOR,
    depth_of_field,
    diffraction_f_number,
    f_number_for_depth,
    hyperfocal_m,
)
from recipes.light.series import marks

__all__ = ["EXPLANATION", "SWAY_M", "check"]

SWAY_M = 0.02
"""People breathe and sway by so much: a margin below it is tight. Common practice, no source."""

EXPLANATION = Explanation(
    name="depth-of-field",
    family="picture",
    title="Depth of field covers the subject",
    question="How far before the mark does the picture begin to be sharp, against half of the subject's depth?",
    formula=(
        f"c = sensor diagonal / {COC_DIVISOR:g}",
        "H = f² / (N · c) + f",
        "near = s · (H − f) / (H + s − 2 f)",
        "margin = (s − near) − depth / 2",
    ),
    symbols=(
        ("c", "circle of confusion, in mm"),
        ("H", "hyperfocal distance, in mm"),
        ("f, s", "focal length and focus distance, in mm; the focus is on the mark"),
        ("N", "exact f-number"),
        ("depth", "the subject's depth, half before and half behind the mark"),
    ),
    assumes=(
        "thin lens, focused on the mark; behind it the picture stays sharp farther than before it",
        f"a circle of confusion of the diagonal over {COC_DIVISOR:g}: convention; a large print wants less",
    ),
    source=("Ray, Applied Photographic Optics", "Greenleaf, Photographic Optics"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding; value, limit and margin in m before the mark."""
    depth_m = setup.look.subject.depth_m
    if depth_m <= 0:
        return
    optics = optics_of(setup)
    missing = optics.missing or ("a camera body: its sensor" if optics.camera is None else "")
    if missing or optics.camera is None:
        yield not_known(EXPLANATION, "subject", f"What is sharp is not known: missing {missing}.", missing)
        return
    yield _finding(setup, optics, confusion_mm(optics.camera), depth_m)


def _finding(setup: Setup, optics: Optics, coc_mm: float, depth_m: float) -> Finding:
    f_number = setup.look.camera.f_number
    sharp = depth_of_field(optics.focal_mm, f_number, coc_mm, optics.distance_m)
    front_m = optics.distance_m - sharp.near_m
    margin = front_m - depth_m / 2.0
    status = status_of(margin, SWAY_M)
    far = "far away" if sharp.far_m == inf else f"{sharp.far_m:.2f} m"
    sentence = f"At {setup.look.camera.aperture} it is sharp from {sharp.near_m:.2f} m to {far}"
    sentence += f"; the subject is {depth_m:.2f} m deep at {optics.distance_m:.2f} m"
    limit_f = diffraction_f_number(coc_mm, optics.magnification)
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about="subject",
        sentence=f"{sentence}, {-margin:.2f} m too deep." if status == "gap" else f"{sentence}.",
        value=front_m,
        limit=depth_m / 2.0,
        margin=margin,
        unit="m",
        remedies=() if status == "ok" else tuple(_remedies(setup, optics, coc_mm, depth_m, limit_f)),
        workings=(
            Working(
                "hyperfocal",
                "f² / (N · c) + f",
                f"{optics.focal_mm:g}² / ({f_number:.3f} · {coc_mm:.4f}) + {optics.focal_mm:g}",
                f"{1000 * hyperfocal_m(optics.focal_mm, f_number, coc_mm):.0f} mm",
            ),
            Working(
                "near",
                "s · (H − f) / (H + s − 2 f)",
                f"s = {1000 * optics.distance_m:g}",
                f"{sharp.near_m:.3f} m",
            ),
            Working("diffraction", "its disc fills c at", f"c = {coc_mm:.4f} mm", f"f/{limit_f:.0f}"),
        ),
    )


def _remedies(
    setup: Setup, optics: Optics, coc_mm: float, depth_m: float, limit_f: float
) -> Iterator[Remedy]:
    # What is as far behind the mark is always sharper.
    front_m = optics.distance_m - depth_m / 2.0 - SWAY_M
    if front_m > 0.0:
        needed = f_number_for_depth(optics.focal_mm, coc_mm, optics.distance_m, front_m, optics.distance_m)
        narrowest = setup.lens.spec.narrowest_f_number if setup.lens else inf
        enough = [mark for mark in marks("aperture", setup.look.camera.series) if mark.value >= needed]
        mark = min(enough, key=lambda one: one.value, default=None)
        if mark is not None and needed <= min(limit_f, narrowest):
            yield Remedy(
                f"Close the aperture to {mark.label}.",
                action="edit_recipe",
                costs="as many stops of flash, and of ISO or time for the ambient",
            )
        else:
            why = "the lens does not close so far" if needed > narrowest else "diffraction blurs before that"
            yield Remedy(f"It would take f/{needed:.0f}: {why}. Turn the subject, or step back and crop.")
    yield Remedy(
        "Step back and crop, or use a shorter lens.",
        action="edit_recipe",
        costs="fewer pixels on the subject",
    )
