"""Can each head keep the pace up without overheating?"""

from __future__ import annotations

from collections.abc import Iterator

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.strobes import FiredStrobe, fired_strobes
from recipes.checks.verdict import not_known, status_of
from recipes.light.recycle import HeatMargin, heat_margin, shortest_sustained_pace_s
from recipes.rig.caution import Hazard, caution

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.1
"""Less than a tenth of the allowed flashes to spare is tight: a warm room takes as much. Common practice, no source."""

EXPLANATION = Explanation(
    name="heat",
    family="time",
    title="Heads stay cool at the pace",
    question="How many full-power flashes does the session ask of each head in the minutes of its heat limit?",
    formula=(
        "flashes in the minutes = smaller of frames and 60 · minutes / pace, rounded up ⌈ ⌉",
        "asked = flashes in the minutes · 2^setting",
        "margin = allowed − asked",
    ),
    symbols=(
        ("allowed, minutes", "the heat limit of the head's sheet: full-power flashes in so many minutes"),
        ("pace", "seconds between frames"),
        ("setting", "stops from full power; a flash at half power counts half"),
    ),
    assumes=(
        "heat follows energy: common practice, no source",
        "the head starts cool, its vents are free, its modelling lamp is off or small",
        "of several limits the tightest counts; bursts are counted at the session's pace",
    ),
    source=("the maker's sheet; common practice, no source",),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a strobe light; value, limit and margin in full-power flashes."""
    session = setup.look.session
    for strobe in fired_strobes(setup, prediction):
        if strobe.setting_stops is None:
            missing = f"the setting of {strobe.name}"
            yield not_known(EXPLANATION, strobe.name, f"{strobe.who}: missing {missing}.", missing)
            continue
        heat = heat_margin(strobe.spec.thermal, session.pace_s, session.frames, 2.0**strobe.setting_stops)
        if heat is None:
            missing = f"the heat limit of {strobe.type_name}: flashes at full power in how many minutes"
            yield not_known(EXPLANATION, strobe.name, f"{strobe.who}: missing {missing}.", missing)
        else:
            yield _finding(setup, strobe, strobe.setting_stops, heat)


def _finding(setup: Setup, strobe: FiredStrobe, setting_stops: float, heat: HeatMargin) -> Finding:
    session = setup.look.session
    status = status_of(heat.margin_flashes, TIGHT_SHARE * heat.allowed_flashes)
    sustained_s = shortest_sustained_pace_s(strobe.spec.thermal, 2.0**setting_stops)
    asked = (
        f"{strobe.who} is asked for {heat.asked_flashes:.0f} full-power flashes in {heat.minutes:g} min "
        f"and bears {heat.allowed_flashes}"
    )
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=strobe.name,
        sentence=f"{asked}: it will slow down or stop." if status == "gap" else f"{asked}.",
        value=heat.asked_flashes,
        limit=float(heat.allowed_flashes),
        margin=heat.margin_flashes,
        unit="flashes",
        estimated=strobe.spec.source_of("thermal").basis == "estimated",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Shoot one frame every {sustained_s:.1f} s, or pause in between.",
                action="edit_recipe",
                costs=f"{session.frames * sustained_s / 60:.0f} min for {session.frames} frames",
            ),
            Remedy(
                f"Set {strobe.name} a stop lower and open the aperture or raise the ISO by one.",
                action="edit_recipe",
                costs="depth of field, or noise; the ambient grows with it",
            ),
        ),
        workings=(
            Working(
                "asked",
                "min( frames, ⌈60 · minutes / pace⌉ ) · 2^setting",
                f"min( {session.frames}, ⌈60 · {heat.minutes:g} / {session.pace_s:g}⌉ ) · 2^{setting_stops:.1f}",
                f"{heat.asked_flashes:.1f} flashes",
            ),
            Working("paced for ever", "tightest limit", "", f"one frame every {sustained_s:.1f} s"),
        ),
        caution=caution(Hazard.HEAT) if status != "ok" else "",
    )
