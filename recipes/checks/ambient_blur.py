"""Does the light that burns all the time smear a moving subject beside its flash image?"""

from __future__ import annotations

from collections.abc import Iterator
from math import log2

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.high_speed import asks_high_speed
from recipes.checks.optics import optics_of
from recipes.checks.prediction import Prediction, ZonePlacement
from recipes.checks.setup import Setup
from recipes.checks.verdict import engraved_time, not_known, status_of
from recipes.light.blur import blur_mm

__all__ = ["EXPLANATION", "SMEAR_UNDER_STOPS", "check"]

SMEAR_UNDER_STOPS = 3.0
"""A smear this far under the picture does not show on a lit subject. Common practice, no source."""

_LEAST_SHARE = 2.0**-12

EXPLANATION = Explanation(
    name="ambient-blur",
    family="time",
    title="Ambient smear of the movement",
    question="How far does the subject move while the shutter is open, and is the ambient low enough that it does "
    "not show?",
    formula=(
        "smear = v · t · m · sin a",
        "under = log2( 1 / (share of ambient and burning lights in the zone) )",
        f"margin = under − {SMEAR_UNDER_STOPS:g};   no question while the smear stays within the allowed blur",
    ),
    symbols=(
        ("v", "speed of the fastest part that must be sharp, in mm/s"),
        ("t", "true shutter time, in s"),
        ("m", "magnification f / (s − f)"),
        ("a", "angle between the movement and the lens axis"),
        ("under", "how far the steady light lies under the whole picture of the zone, in stops"),
    ),
    assumes=(
        "the zones metered at the subject move with it; those metered from the camera stand still",
        f"a smear {SMEAR_UNDER_STOPS:g} stops under the picture does not show; on a bright ground it shows earlier",
        "with high-speed sync the flash counts as burning all the time",
    ),
    source=(
        "Ray, Applied Photographic Optics (magnification)",
        "how far under it must lie: common practice, no source",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding, of the zone on the subject where the smear shows most; mm of smear, or stops under the picture."""
    subject = setup.look.subject
    zones = [zone for zone in prediction.zones if zone.reading == "incident" and not zone.stays_dark]
    optics = optics_of(setup)
    if subject.movement_m_per_s <= 0 or not zones or optics.missing:
        return
    shutter_s, at = setup.look.camera.time_s, engraved_time(setup.look.camera)
    smear = blur_mm(subject.movement_m_per_s, shutter_s, optics.magnification, subject.movement_angle_deg)
    working = Working(
        "smear",
        "v · t · m · sin a",
        f"{1000 * subject.movement_m_per_s:g} · {shutter_s:.5f} · {optics.magnification:.4f} · "
        f"sin {subject.movement_angle_deg:g}°",
        f"{smear:.3f} mm",
    )
    if smear <= subject.allowed_blur_mm:
        yield Finding(
            check=EXPLANATION.name,
            status="ok",
            about="subject",
            sentence=f"At {at} the movement smears {smear:.3f} mm, within the "
            f"{subject.allowed_blur_mm:g} mm allowed.",
            value=smear,
            limit=subject.allowed_blur_mm,
            margin=subject.allowed_blur_mm - smear,
            unit="mm",
            workings=(working,),
        )
        return
    known = [zone for zone in zones if zone.placement is not None]
    if not known:
        yield not_known(
            EXPLANATION,
            zones[0].zone,
            f"At {at} the movement smears {smear:.3f} mm; whether it shows depends on the ambient. "
            f"Missing {zones[0].missing}.",
            zones[0].missing,
        )
        return
    worst = max(known, key=lambda zone: _steady_share(setup, zone))
    yield _shows(setup, worst, smear, working)


def _steady_share(setup: Setup, zone: ZonePlacement) -> float:
    flash = zone.flash_share if asks_high_speed(setup) else 0.0
    return max(zone.ambient_share + zone.continuous_share + flash, _LEAST_SHARE)


def _shows(setup: Setup, zone: ZonePlacement, smear: float, working: Working) -> Finding:
    share = _steady_share(setup, zone)
    under = log2(1.0 / share)
    margin = under - SMEAR_UNDER_STOPS
    status = status_of(margin, zone.spread_stops)
    sentence = (
        f"At {engraved_time(setup.look.camera)} the ambient smears {zone.zone} by {smear:.2f} mm and lies "
        f"{under:.1f} stops under the picture"
    )
    if share <= _LEAST_SHARE:
        sentence = f"Next to no light but the flash falls on {zone.zone}: no smear shows"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=zone.zone,
        sentence=f"{sentence}, {-margin:.1f} too few: it shows." if status == "gap" else f"{sentence}.",
        value=under,
        limit=SMEAR_UNDER_STOPS,
        margin=margin,
        unit="stops",
        spread=zone.spread_stops,
        estimated=zone.estimated,
        remedies=()
        if status == "ok"
        else (
            Remedy(
                "Shorten the shutter as far as sync allows: half the time halves the smear and puts it a stop lower.",
                action="edit_recipe",
                costs="what the ambient lights goes darker",
            ),
            Remedy(
                "Raise the flash and close the aperture by as much, or take ambient away.",
                action="edit_recipe",
                costs="recycling time and battery",
            ),
        ),
        workings=(
            working,
            Working("under", "log2( 1 / share )", f"log2( 1 / {share:.2g} )", f"{under:.2f} stops"),
        ),
    )
