"""Do the brightest zones stay below what the sensor can hold?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log2, pi

from gear.specs import FigureSource
from recipes.checks.explanation import Explanation
from recipes.checks.exposure import meter_of
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction, ZonePlacement
from recipes.checks.setup import Setup
from recipes.checks.sheet_spread import spread_of
from recipes.checks.verdict import not_known, status_of
from recipes.light.apex import MeterProfile
from recipes.light.headroom import clip_placement_spot_stops
from recipes.light.spread import combined_stops

__all__ = ["EXPLANATION", "check"]

_BLACKEST = 0.01

STANDARD_SPREAD_STOPS = 0.5
"""How far a body may clip from where ISO 12232 puts it, since makers state speeds by other rules of it, too: common
practice, no source."""

EXPLANATION = Explanation(
    name="headroom",
    family="exposure",
    title="Highlights inside the sensor's headroom",
    question="How many stops does the brightest zone have left before it clips?",
    formula=(
        "headroom = the body's own figure, else log2( 78 / (0.65 · K) ) by ISO 12232",
        "a zone metered from the camera clips at P = headroom",
        "a zone metered at the subject clips at P = headroom + log2( π · K / (C · ρ) )",
        "margin = clips at − P",
    ),
    symbols=(
        ("P", "predicted placement of the zone, in stops from the metered tone"),
        ("headroom", "stops from the metered tone to clipping"),
        ("C, K", "the meter's constants for incident and reflected light"),
        ("ρ", "reflectance of the zone's surface, 0 to 1"),
    ),
    assumes=(
        "a zone whose target lies at or above clipping is meant to clip and is left out",
        "what a dome reads from aside counts as if it fell on the zone's surface: what is turned away from it clips "
        "later than is told, what is turned to it sooner",
        "small highlights on skin, glass and metal lie above the zone they are in",
        "without a figure of the body the headroom is the standard's and counts as estimated",
        f"spread: the zone's, and that of the body's figure; the standard's may be {STANDARD_SPREAD_STOPS:g} stops off",
    ),
    source=("ISO 12232, saturation at 78 lx·s / S", "ISO 2720, meter constants"),
)


@dataclass(frozen=True)
class _Highlight:
    zone: ZonePlacement
    placement: float
    clips_at: float

    @property
    def margin(self) -> float:
        return self.clips_at - self.placement


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding, of the zone nearest to clipping; value, limit and margin in stops."""
    meter = meter_of(setup)
    headroom = _headroom_stops(setup, meter)
    highlights = []
    unknown = []
    for zone in prediction.zones:
        clips_at = headroom + _above_metered_tone(setup, zone, meter)
        if zone.target >= clips_at:
            continue
        if zone.placement is None:
            unknown.append(zone)
        else:
            highlights.append(_Highlight(zone, zone.placement, clips_at))
    if highlights:
        yield _finding(setup, min(highlights, key=lambda one: one.margin), headroom)
    elif unknown:
        yield not_known(
            EXPLANATION,
            unknown[0].zone,
            f"Whether anything clips is not known: missing {unknown[0].missing}.",
            unknown[0].missing,
        )


def _stated_headroom(setup: Setup) -> float | None:
    return setup.camera.spec.headroom_stops if setup.camera else None


def _headroom_stops(setup: Setup, meter: MeterProfile) -> float:
    stated = _stated_headroom(setup)
    return stated if stated is not None else clip_placement_spot_stops(meter.k_reflected)


def _above_metered_tone(setup: Setup, zone: ZonePlacement, meter: MeterProfile) -> float:
    """How far the clipping placement of an incident zone lies above that of a spot reading, in stops."""
    if zone.reading != "incident":
        return 0.0
    reflectance = max(setup.look.zone(zone.zone).reflectance, _BLACKEST)
    return log2(pi * meter.k_reflected / (meter.c_incident * reflectance))


def _finding(setup: Setup, highlight: _Highlight, headroom: float) -> Finding:
    zone, margin = highlight.zone, highlight.margin
    spread = float(combined_stops(zone.spread_stops, _headroom_spread(setup)))
    status = status_of(margin, spread)
    sentence = (
        f"{zone.zone} lies nearest to clipping: at {highlight.placement:+.1f}, and the sensor clips it at "
        f"{highlight.clips_at:+.1f}"
    )
    stated, source = _stated_headroom(setup), _source(setup)
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=zone.zone,
        sentence=f"{sentence}: {-margin:.1f} stops lost." if status == "gap" else f"{sentence}.",
        value=highlight.placement,
        limit=highlight.clips_at,
        margin=margin,
        unit="stops",
        spread=spread,
        estimated=zone.estimated or source is None or source.basis == "estimated",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Expose {max(-margin, spread):.1f} stops less, or take that much light off {zone.zone}.",
                action="edit_recipe",
                costs="every other zone goes darker with the exposure",
            ),
        ),
        workings=(
            Working(
                "headroom",
                "the body's sheet" if stated is not None else "log2( 78 / (0.65 · K) )",
                "" if stated is not None else f"K = {meter_of(setup).k_reflected:g}",
                f"{headroom:.2f} stops",
            ),
            Working(
                "clips at",
                "headroom + log2( π · K / (C · ρ) )" if zone.reading == "incident" else "headroom",
                f"ρ = {setup.look.zone(zone.zone).reflectance:g}" if zone.reading == "incident" else "",
                f"{highlight.clips_at:+.2f} stops",
            ),
        ),
    )


def _source(setup: Setup) -> FigureSource | None:
    """Where the body's headroom comes from; None where no sheet states it."""
    if setup.camera is None or setup.camera.spec.headroom_stops is None:
        return None
    return setup.camera.spec.source_of("headroom_stops")


def _headroom_spread(setup: Setup) -> float:
    """One standard deviation of where the sensor clips, in stops."""
    source = _source(setup)
    return STANDARD_SPREAD_STOPS if source is None else spread_of(source)
