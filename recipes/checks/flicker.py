"""Does a light that flickers show from frame to frame, or as bands?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import ContinuousSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, Setup
from recipes.checks.verdict import engraved_time, not_known, status_of
from recipes.light.flicker import (
    bands_across_frame,
    mains_flicker_hz,
    nearest_flicker_free_time_s,
    pulse_width_extremes,
    range_among_steady_stops,
    sine_residual,
)
from recipes.light.series import nearest_shutter

__all__ = ["ALLOWED_RANGE_STOPS", "EXPLANATION", "check", "line_frequencies_hz"]

ALLOWED_RANGE_STOPS = 0.2
TIGHT_FROM_STOPS = 0.1
"""A tenth of a stop is what a meter shows, two show beside each other. Common practice, no source."""

MOST_STOPS = 10.0
"""Ranges beyond this are shown as this: the frame may be wholly dark."""

_ON_60_HZ = frozenset(
    "US CA MX BZ GT HN SV NI CR PA BR CO PE SA PH KR LR "  # read: a table of line frequencies by region
    "TW VE EC SR GY CU DO HT PR TT BS BM".split()  # from memory
)
_ON_BOTH = frozenset(("", "JP"))

EXPLANATION = Explanation(
    name="flicker",
    family="time",
    title="Flicker of burning lights",
    question="By how much does a pulsing light differ from frame to frame at the true shutter time?",
    formula=(
        "pulsing like a sine: least, most = 1 ∓ modulation · | sin(π f t) / (π f t) |",
        "switched on and off: least, most = least and most on-time within t, each over its mean",
        "in the zone: range = log2( (1 + s · (most − 1)) / (1 + s · (least − 1)) )",
        f"margin = {ALLOWED_RANGE_STOPS:g} − range",
    ),
    symbols=(
        ("f", "frequency of the light in Hz: twice that of the mains, or its switching frequency"),
        ("t", "true shutter time in s: an engraved 1/60 may be 1/64"),
        ("least, most", "darkest and brightest frame by the light alone, over its mean"),
        ("s", "share of this light in the zone that it lights most"),
        ("range", "darkest to brightest frame, in stops"),
    ),
    assumes=(
        "the frequency and the depth of the flicker are those of the light's sheet",
        "where the country's mains is not known, 50 and 60 Hz are both tried and the worse one counts",
        "house lamps that the ambient readings may contain are not known here: look for bands in a test frame",
    ),
    source=(
        "derivations from the mean over the shutter time",
        "mains frequency by country: a public page on line frequencies for North and Central America and seven others, "
        "the rest from memory",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a continuous light that flickers; value, limit and margin in stops."""
    for light in setup.lights:
        seen: set[str] = set()
        for head in light.heads:
            if (
                isinstance(head.spec, ContinuousSpec)
                and head.spec.flicker != "none"
                and head.type_slug not in seen
            ):
                seen.add(head.type_slug)
                yield _finding(setup, light, head.spec, head.type_name, prediction)


def line_frequencies_hz(country: str) -> tuple[float, ...]:
    """The mains frequencies that a country may have: both where nobody knows the country."""
    code = country.strip().upper()
    if code in _ON_BOTH:
        return (50.0, 60.0)
    return (60.0,) if code in _ON_60_HZ else (50.0,)


def _frequencies_hz(setup: Setup, spec: ContinuousSpec) -> tuple[float, ...]:
    if spec.flicker_hz is not None:
        return (spec.flicker_hz,)
    country = setup.room.country if setup.room else ""
    return tuple(mains_flicker_hz(line_hz) for line_hz in line_frequencies_hz(country))


def _extremes(spec: ContinuousSpec, frequency_hz: float, shutter_s: float) -> tuple[float, float]:
    """Darkest and brightest frame by this light alone, over its mean."""
    if spec.flicker == "pwm":
        return pulse_width_extremes(frequency_hz, shutter_s, spec.pwm_duty)
    swing = sine_residual(frequency_hz, shutter_s, spec.flicker_modulation)
    return 1.0 - swing, 1.0 + swing


def _finding(
    setup: Setup, light: AssignedLight, spec: ContinuousSpec, type_name: str, prediction: Prediction
) -> Finding:
    name = light.plan.name
    if spec.flicker == "mains" and spec.flicker_modulation == 0:
        missing = f"flicker_modulation of {type_name}: how deep it pulses, 0 to 1"
        return not_known(
            EXPLANATION, name, f"{name}: {type_name} pulses with the mains; missing {missing}.", missing
        )
    shutter_s, at = setup.look.camera.time_s, engraved_time(setup.look.camera)
    shares = [(dict(zone.light_shares).get(name, 0.0), zone.zone) for zone in prediction.zones]
    share, zone = max(shares)
    if share <= 0:
        share, zone = 1.0, "alone"
    by_frequency = {
        frequency: _extremes(spec, frequency, shutter_s) for frequency in _frequencies_hz(setup, spec)
    }
    in_zone, frequency_hz = max(
        (range_among_steady_stops(*frames, share), frequency) for frequency, frames in by_frequency.items()
    )
    alone = range_among_steady_stops(*by_frequency[frequency_hz], 1.0)
    seen = min(MOST_STOPS, in_zone)
    margin = ALLOWED_RANGE_STOPS - seen
    status = status_of(margin, ALLOWED_RANGE_STOPS - TIGHT_FROM_STOPS)
    free_s = nearest_flicker_free_time_s(frequency_hz, shutter_s)
    free = nearest_shutter(free_s, setup.look.camera.series)
    where = f"on {zone}" if zone != "alone" else "by itself"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=name,
        sentence=f"{name} ({type_name}) pulses at {frequency_hz:g} Hz; at {at} frames differ by up to "
        f"{seen:.2f} stops {where}.",
        value=seen,
        limit=ALLOWED_RANGE_STOPS,
        margin=margin,
        unit="stops",
        estimated=any(
            spec.source_of(field).basis == "estimated"
            for field in ("flicker_hz", "flicker_modulation", "pwm_duty")
        ),
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Set the shutter to {free.label}: nearly a whole number of its pulses.",
                action="edit_recipe",
                costs="the ambient moves with the time",
            ),
            Remedy(f"Assign a light without flicker to {name}.", action="assign"),
        ),
        workings=tuple(_workings(setup, spec, frequency_hz, alone, share)),
    )


def _workings(
    setup: Setup, spec: ContinuousSpec, frequency_hz: float, alone: float, share: float
) -> Iterator[Working]:
    shutter_s = setup.look.camera.time_s
    yield Working(
        "pulses in a frame", "f · t", f"{frequency_hz:g} · {shutter_s:.5f}", f"{frequency_hz * shutter_s:.2f}"
    )
    depth = (
        f"modulation {spec.flicker_modulation:g}"
        if spec.flicker == "mains"
        else f"on for {spec.pwm_duty:.0%} of a pulse"
    )
    yield Working("alone", "darkest to brightest", depth, f"{alone:.2f} stops")
    yield Working("share", "its part of the zone", "", f"{share:.0%}")
    readout_s = setup.camera.spec.readout_s if setup.camera else None
    if readout_s is not None:
        yield Working(
            "bands with an electronic shutter",
            "f · readout",
            f"{frequency_hz:g} · {readout_s:g}",
            f"{bands_across_frame(frequency_hz, readout_s):.1f}",
        )
