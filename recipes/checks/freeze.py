"""Is each flash short enough to freeze the movement?"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, log2

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.high_speed import asks_high_speed
from recipes.checks.optics import optics_of
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.strobes import FiredStrobe, fired_strobes
from recipes.checks.verdict import not_known, number, status_of, times_of
from recipes.light.blur import blur_mm, longest_time_s
from recipes.light.pulse import T01Estimate

__all__ = ["EXPLANATION", "check"]

SHARE_THAT_COUNTS = 0.03
"""A light that gives less than this of every zone draws no edge: five stops under. Common practice, no source."""

EXPLANATION = Explanation(
    name="freeze",
    family="time",
    title="Flash freezes the movement",
    question="How far does the subject move on the sensor while the flash burns, and does the recipe allow that?",
    formula=(
        "m = f / (s − f)",
        "longest time = allowed blur / (v · m · sin a)",
        "margin = longest time − t0.1;   too long by log2( t0.1 / longest time ) stops",
    ),
    symbols=(
        ("f, s", "focal length and distance of the mark from the lens, both in mm"),
        ("m", "magnification: size on the sensor over size at the mark"),
        ("v", "speed of the fastest part that must be sharp, in mm/s"),
        ("a", "angle between the movement and the lens axis; 90° is across the picture"),
        ("t0.1", "time that the flash burns above a tenth of its peak, at the setting, in s"),
    ),
    assumes=(
        "t0.5 is never compared: where only it is published, t0.1 is taken as three times as long (for a flash that is "
        "cut, as long as the cut leaves it) and counts as estimated, and the check is tight when 3.3 times would be "
        "too long",
        "with high-speed sync the flash burns all the time, and the shutter time counts",
        "a light that gives less than 3 % of every zone is left out",
    ),
    source=("ISO 2827, flash duration", "Ray, Applied Photographic Optics (magnification)"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a strobe light that counts in a zone; value and limit in ms, margin in ms."""
    subject = setup.look.subject
    strobes = [s for s in fired_strobes(setup, prediction) if _counts(s, prediction)]
    if subject.movement_m_per_s <= 0 or not strobes:
        return
    optics = optics_of(setup)
    if optics.missing:
        yield not_known(
            EXPLANATION,
            "camera",
            f"How large the movement comes out is not known: missing {optics.missing}.",
            optics.missing,
        )
        return
    longest_s = longest_time_s(
        subject.allowed_blur_mm, subject.movement_m_per_s, optics.magnification, subject.movement_angle_deg
    )
    for strobe in strobes:
        burns = _burns(setup, strobe)
        if burns is None:
            missing = (
                f"the setting of {strobe.name}"
                if strobe.setting_stops is None
                else f"t0.1 of {strobe.type_name} at {strobe.setting_stops:+.1f} stops"
            )
            yield not_known(
                EXPLANATION,
                strobe.name,
                f"{strobe.who}: cannot tell how long it burns; missing {missing}.",
                missing,
            )
        else:
            yield _finding(setup, strobe, burns, longest_s, optics.magnification)


def _counts(strobe: FiredStrobe, prediction: Prediction) -> bool:
    """False only when every zone is known and none of them gets a share of this light worth a look."""
    known = [zone for zone in prediction.zones if zone.placement is not None]
    if len(known) < len(prediction.zones) or strobe.setting_stops is None:
        return True
    return any(dict(zone.light_shares).get(strobe.name, 0.0) >= SHARE_THAT_COUNTS for zone in known)


def _burns(setup: Setup, strobe: FiredStrobe) -> T01Estimate | None:
    if asks_high_speed(setup):
        time_s = setup.look.camera.time_s
        return T01Estimate(time_s, time_s, time_s, estimated=False)
    return strobe.t01


def _finding(
    setup: Setup, strobe: FiredStrobe, burns: T01Estimate, longest_s: float, magnification: float
) -> Finding:
    subject = setup.look.subject
    smear = blur_mm(subject.movement_m_per_s, burns.likely_s, magnification, subject.movement_angle_deg)
    margin_s = longest_s - burns.likely_s
    status = status_of(margin_s)
    if status == "ok" and burns.longest_s > longest_s:
        status = "tight"
    long_by = "" if longest_s == inf else f"{abs(log2(longest_s / burns.likely_s)):.1f} stops"
    moves = f"while {strobe.who} burns ({times_of(burns.likely_s)}) the movement smears {smear:.3f} mm"
    allowed = f"{subject.allowed_blur_mm:g} mm are allowed"
    sentence = {
        "ok": f"{moves}; {allowed}.",
        "tight": f"{moves}; {allowed}, but t0.1 is guessed from t0.5 and may be too long.",
        "gap": f"{moves}; {allowed}: {long_by} too long.",
    }[status]
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=strobe.name,
        sentence=sentence[0].upper() + sentence[1:],
        value=1000 * burns.likely_s,
        limit=number(1000 * longest_s),
        margin=number(1000 * margin_s),
        unit="ms",
        estimated=burns.estimated or strobe.spec.source_of("durations").basis == "estimated",
        remedies=() if status == "ok" else tuple(_remedies(setup, strobe, longest_s)),
        workings=(
            Working(
                "magnification",
                "f / (s − f)",
                f"{setup.look.camera.focal_length_mm:g} / ({1000 * setup.look.camera.distance_m:g} − "
                f"{setup.look.camera.focal_length_mm:g})",
                f"{magnification:.4f}",
            ),
            Working(
                "longest time",
                "allowed blur / (v · m · sin a)",
                f"{subject.allowed_blur_mm:g} / ({1000 * subject.movement_m_per_s:g} · {magnification:.4f} · "
                f"sin {subject.movement_angle_deg:g}°)",
                times_of(longest_s) if longest_s < inf else "no limit",
            ),
            Working("burns", "t0.1 at the setting, from its table", "", times_of(burns.likely_s)),
        ),
    )


def _remedies(setup: Setup, strobe: FiredStrobe, longest_s: float) -> Iterator[Remedy]:
    if asks_high_speed(setup):
        yield Remedy("Leave high-speed sync: one short flash freezes better.", action="edit_recipe")
        return
    lines = sorted(strobe.spec.durations, key=lambda line: -line.setting_stops)
    short = next((line for line in lines if line.t01_s is not None and line.t01_s <= longest_s), None)
    if short is not None:
        yield Remedy(
            f"At {short.setting_stops:+.1f} stops {strobe.type_name} burns {times_of(short.t01_s or 0.0)}: open the "
            "aperture or raise the ISO by as much.",
            action="edit_recipe",
            arguments=(("light", strobe.name), ("setting_stops", f"{short.setting_stops:g}")),
            costs="depth of field, or noise; the ambient grows with it",
        )
    yield Remedy(
        f"Assign a head that burns {times_of(longest_s)} or less at its setting to {strobe.name}.",
        action="assign",
    )
