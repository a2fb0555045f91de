"""Is every zone inside its target?"""

from __future__ import annotations

from collections.abc import Iterator
from math import log2

from recipes.checks.explanation import Explanation
from recipes.checks.exposure import lens_loss_stops, slit_loss_stops, unseen_by_meter_stops
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction, ZonePlacement
from recipes.checks.setup import Setup
from recipes.checks.verdict import ROUNDING_STOPS, signed, status_of
from recipes.light.dome import OVER_FLAT_SPREAD_STOPS, OVER_FLAT_STOPS

__all__ = ["EXPLANATION", "check"]

EXPLANATION = Explanation(
    name="placement",
    family="exposure",
    title="Zones inside their targets",
    question="With the assigned units at the settings they really have, where will each zone lie?",
    formula=(
        "P = log2( S · (E · t + H) / (C · N²) )   for a zone metered at the subject",
        "P = log2( S · (L · t + J) / (K · N²) )   for a zone metered from the camera",
        "margin = tolerance − | P − target |;   for a zone that stays dark: target + tolerance − P",
        "a hand meter shows P + what the lens takes + neutral density",
    ),
    symbols=(
        ("P", "placement: stops above or below the metered tone"),
        ("S", "ISO speed"),
        ("N, t", "f-number; shutter time in seconds, both exact, not as engraved"),
        ("E, L", "ambient: illuminance in lux; luminance in cd/m²"),
        ("H, J", "flash: exposure in lux-seconds; in cd·s/m²"),
        ("C, K", "the meter's constants"),
    ),
    assumes=(
        "the ambient is what the recipe's readings say, read with the receptor of the meter; lux are of a flat one, "
        f"and a dome is taken to read {OVER_FLAT_STOPS:g} stops more of them, give or take {OVER_FLAT_SPREAD_STOPS:g}",
        "the light on an incident zone is weighed as the meter of the shoot weighs it: a flat receptor by the cosine "
        "of its angle a, a dome by (1 + cos a) / 2",
        "P is of the picture, so N counts what the lens takes: log2(0.9 / transmittance), since meters and speeds are "
        "made for 0.9, and close up 2 · log2(1 + m) where it moves out as a whole; where nobody says how it focuses, "
        "that is in the spread; S counts neutral density",
        "under high-speed sync P counts what a row of the frame gets while the slit passes; a meter in flash mode may "
        "take in the whole burst, and shows more then",
        "a hand meter sees neither lens nor filter: set to the camera's speed, time and f-number it shows that much "
        "more than P, and the workings say how much",
        "spread: reading, spec sheet, lens and room, added as independent, each weighted by its share of the light",
    ),
    source=("ISO 2720:1974, exposure meters", "ISO 12232, film speed of digital cameras"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a zone; value and limit in stops."""
    for zone in prediction.zones:
        if zone.placement is None:
            yield _unknown(zone)
        else:
            yield _known(setup, zone, zone.placement, _too_weak_for(zone, prediction))


def _unknown(zone: ZonePlacement) -> Finding:
    return Finding(
        check=EXPLANATION.name,
        status="unknown",
        about=zone.zone,
        sentence=f"Nobody can say where {zone.zone} will lie: missing {zone.missing}.",
        limit=zone.target,
        unit="stops",
        missing=zone.missing,
    )


def _too_weak_for(zone: ZonePlacement, prediction: Prediction) -> str:
    """The light that would put this zone on its target and has not the power for it; empty when there is none."""
    for light in prediction.lights:
        if light.zone == zone.zone and light.wanted_stops is not None and light.wanted_stops > ROUNDING_STOPS:
            return light.light
    return ""


def _known(setup: Setup, zone: ZonePlacement, placement: float, too_weak: str) -> Finding:
    off = placement - zone.target
    margin = zone.tolerance - (off if zone.stays_dark else abs(off))
    status = status_of(margin, zone.spread_stops)
    follows = too_weak if status == "gap" and off < 0 else ""
    where = f"{zone.zone} at {signed(placement)}, wanted {signed(zone.target)} ±{zone.tolerance:.1f}"
    if follows:
        sentence = f"{where}: {-margin:.1f} stops too dark, since {follows} is too weak."
    elif status == "gap":
        sentence = f"{where}: {-margin:.1f} stops too {'bright' if off > 0 else 'dark'}."
    elif status == "tight":
        sentence = f"{where}: inside, but by less than the figures are sure of (±{zone.spread_stops:.1f})."
    else:
        sentence = f"{where}."
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=zone.zone,
        sentence=sentence,
        value=placement,
        limit=zone.target,
        margin=margin,
        unit="stops",
        spread=zone.spread_stops,
        estimated=zone.estimated,
        remedies=() if status == "ok" or follows else tuple(_remedies(zone, off)),
        workings=tuple(_workings(setup, zone, placement)),
        follows=follows,
    )


def _remedies(zone: ZonePlacement, off: float) -> Iterator[Remedy]:
    if abs(off) < ROUNDING_STOPS:
        yield Remedy(
            f"It lies where it is wanted and is not known well enough: read {zone.zone} on the set before the first "
            "picture, or enter what a meter reads in place of what a sheet says.",
            costs="a minute with the meter",
        )
    elif zone.ambient_share > 0.5:
        yield Remedy(
            f"Mostly ambient: a shutter time {abs(off):.1f} stops {'shorter' if off > 0 else 'longer'} moves it, "
            "and leaves the flash alone while the shutter stays within sync.",
            action="edit_recipe",
            costs="every other zone's ambient part moves with it",
        )
    elif zone.light_shares:
        name, _ = max(zone.light_shares, key=lambda share: share[1])
        yield Remedy(
            f"Mostly {name}: set it {abs(off):.1f} stops {'lower' if off > 0 else 'higher'}.",
            action="edit_recipe",
            costs=f"every zone that {name} reaches moves with it",
        )


def _workings(setup: Setup, zone: ZonePlacement, placement: float) -> Iterator[Working]:
    camera = setup.look.camera
    yield Working(
        "camera",
        "N, t, S exact",
        f"{camera.aperture} → {camera.f_number:.3f}; {camera.shutter} → 1/{1 / camera.time_s:.1f} s",
        f"ISO {camera.iso_exact:.0f}" + (f", ND {camera.nd_stops:g} stops" if camera.nd_stops else ""),
    )
    lens, _ = lens_loss_stops(setup)
    if lens:
        yield Working(
            "lens",
            "log2( 0.9 / transmittance ) + 2 · log2( 1 + m )",
            "",
            f"{'takes' if lens > 0 else 'gives'} {abs(lens):.2f} stops",
        )
    if zone.ambient_placement is not None:
        yield Working("ambient", "P of the ambient alone", "", f"{signed(zone.ambient_placement, 2)} stops")
    for name, share in zone.light_shares:
        alone = placement + log2(share)
        yield Working(
            name, "P of this light alone", f"{share:.0%} of the light here", f"{signed(alone, 2)} stops"
        )
    yield Working(
        "together",
        "log2 of the sum of 2^P",
        "",
        f"{signed(placement, 2)} stops, spread ±{zone.spread_stops:.2f}",
    )
    unseen = unseen_by_meter_stops(setup)
    if unseen:
        yield Working(
            "hand meter",
            "P + what the lens takes + neutral density, which the meter does not see",
            f"{placement:.2f} + {lens:.2f} + {camera.nd_stops:g}".replace("-", "−"),
            f"shows {signed(placement + unseen, 2)} stops",
        )
    slit = slit_loss_stops(setup)
    if slit and zone.flash_share:
        burst = 1.0 + zone.flash_share * (2.0**slit - 1.0)
        yield Working(
            "hand meter that takes in the whole burst",
            "P + log2( 1 + flash share · ( 2^loss of the slit − 1 ) ) + what it does not see",
            f"{placement:.2f} + {log2(burst):.2f} + {unseen:.2f}; loss {slit:.2f}".replace("-", "−"),
            f"shows {signed(placement + log2(burst) + unseen, 2)} stops",
        )
