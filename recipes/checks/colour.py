"""How far apart are the colours of the lights in each zone, and which gel would bring them together?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from gear.specs import ContinuousSpec, GelSpec, StrobeSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction, ZonePlacement
from recipes.checks.setup import AssignedLight, Setup
from recipes.checks.verdict import not_known, status_of
from recipes.light.colour import SourceKind, cct_and_duv, mix_xy, source_xy
from recipes.light.gels import GelSheet, closest_gel, ideal_transmittance, shifted_cct_k, stops_lost
from recipes.light.strobe_tables import colour_at

__all__ = ["ALLOWED_SPREAD_MIRED", "EXPLANATION", "SHARE_THAT_COUNTS", "check"]

ALLOWED_SPREAD_MIRED = 30.0
TIGHT_FROM_MIRED = 20.0
"""About what an eighth and a quarter of a full orange gel do: seen on skin side by side. Common practice, no source."""

SHARE_THAT_COUNTS = 0.1
"""A source with less than a tenth of a zone tints it too little to look for. Common practice, no source."""

GOOD_ENOUGH_MIRED = 10.0
"""A light that is no further off wants no gel. Common practice, no source."""
_AMBIENT = "ambient"

EXPLANATION = Explanation(
    name="colour",
    family="colour",
    title="Colours of the lights in a zone",
    question="How far apart are the sources that light a zone, and which gel on which light brings them home?",
    formula=(
        "M = 10⁶ / colour temperature + mired shifts of gel, modifier and scrim",
        "spread = largest M − smallest M among the sources with a tenth of the zone or more",
        f"margin = {ALLOWED_SPREAD_MIRED:g} − spread",
        "gel = M of the source that the others follow − M of the light;  cost = log2( 1 / transmittance )",
    ),
    symbols=(
        ("M", "mired: a million over the colour temperature in K; larger is warmer"),
        ("spread", "in mired"),
        ("Duv", "distance of the mixture from the black body's line; positive is green, negative magenta"),
        ("cost", "light lost, in stops"),
    ),
    assumes=(
        "the others follow the ambient where it counts, since windows are hard to gel, else the strongest source",
        "a light whose colour can be set is set to the source that the others follow",
        "a rim, background or practical light that has a gel in the recipe is meant to differ",
        "without a gel at hand the cost is that of an ideal filter, the least there can be",
        "the mixture is the sum of the lights by their share of the zone, never a mean of kelvin",
        "boards and scrims that stand by themselves count as neutral",
    ),
    source=("CIE 15, colorimetry", "Wyszecki and Stiles, Color Science (mired shifts)"),
)


@dataclass(frozen=True)
class _Source:
    """What lights a zone: its share, and the colours it can have after everything before it."""

    name: str
    share: float
    kind: SourceKind
    warmest_k: float
    coolest_k: float
    duv: float
    estimated: bool

    def nearest_k(self, wanted_k: float) -> float:
        """What it is set to when the others are at ``wanted_k``."""
        return min(max(wanted_k, self.warmest_k), self.coolest_k)


@dataclass(frozen=True)
class _Unknown:
    """What lights a zone in a colour that nobody knows."""

    name: str
    missing: str


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a zone that two sources or more light; value, limit and margin in mired."""
    for zone in prediction.zones:
        if zone.placement is None:
            continue
        sources = list(_sources(setup, prediction, zone))
        if len(sources) < 2:
            continue
        known = [source for source in sources if isinstance(source, _Source)]
        unknown = [source for source in sources if isinstance(source, _Unknown)]
        if unknown:
            yield not_known(
                EXPLANATION,
                zone.zone,
                f"{zone.zone} is lit by {' and '.join(source.name for source in sources)}; how far apart their colours "
                f"are is not known. Missing {unknown[0].missing}.",
                unknown[0].missing,
            )
        else:
            yield _finding(setup, zone, known)


def _sources(setup: Setup, prediction: Prediction, zone: ZonePlacement) -> Iterator[_Source | _Unknown]:
    """Those that are strong enough to count."""
    if zone.ambient_share >= SHARE_THAT_COUNTS:
        yield _ambient(setup, zone)
    shares = dict(zone.light_shares)
    for light in setup.lights:
        share = shares.get(light.plan.name, 0.0)
        if share >= SHARE_THAT_COUNTS and not _meant_to_differ(light):
            yield _source(light, share, prediction.light(light.plan.name).setting_stops)


def _ambient(setup: Setup, zone: ZonePlacement) -> _Source | _Unknown:
    reading = next((one for one in setup.look.ambient if one.zone == zone.zone), None)
    if reading is None or reading.cct_k is None:
        return _Unknown(_AMBIENT, f"the colour temperature (cct_k) of the ambient reading of {zone.zone}")
    return _Source(
        _AMBIENT, zone.ambient_share, "daylight", reading.cct_k, reading.cct_k, 0.0, estimated=False
    )


def _meant_to_differ(light: AssignedLight) -> bool:
    wanted = any(gel.mired_shift for gel in light.plan.gels)
    return wanted and light.plan.role in ("rim", "background", "practical")


def _source(light: AssignedLight, share: float, setting_stops: float | None) -> _Source | _Unknown:
    name = light.plan.name
    head = light.heads[0] if light.heads else None
    shift = _shift_mired(light)
    missing = f"the colour temperature of {head.type_name if head else f'the head of {name}'}"
    if head is not None and isinstance(head.spec, ContinuousSpec):
        estimated = head.spec.source_of("cct_min_k").basis == "estimated"
        low, high = head.spec.cct_min_k, head.spec.cct_max_k
        return _shifted(_Source(name, share, "lamp", low, high, head.spec.duv, estimated), shift)
    if head is not None and isinstance(head.spec, StrobeSpec) and setting_stops is not None:
        # A single line stands for the whole scale: most sheets state one, and heads drift by a few hundred kelvin.
        table = head.spec.colour
        colour = (
            colour_at(table, table[0].setting_stops if len(table) == 1 else setting_stops) if table else None
        )
        if colour is not None:
            estimated = len(table) == 1 or head.spec.source_of("colour").basis == "estimated"
            bare = _Source(name, share, "flash", colour.cct_k, colour.cct_k, colour.duv, estimated)
            return _shifted(bare, shift)
        missing += f" at {setting_stops:+.1f} stops"
    return _Unknown(name, missing)


def _shift_mired(light: AssignedLight) -> float:
    gels = (
        [gel.spec.mired_shift for gel in light.gels]
        if light.gels
        else [gel.mired_shift for gel in light.plan.gels]
    )
    modifier = light.modifier.spec.mired_shift if light.modifier else 0.0
    return sum(gels) + modifier + (light.scrim.spec.mired_shift if light.scrim else 0.0)


def _shifted(source: _Source, shift_mired: float) -> _Source | _Unknown:
    try:
        warmest, coolest = (
            shifted_cct_k(source.warmest_k, shift_mired),
            shifted_cct_k(source.coolest_k, shift_mired),
        )
    except ValueError as error:
        return _Unknown(source.name, f"a gel that can be: {error}")
    return replace(source, warmest_k=warmest, coolest_k=coolest)


def _finding(setup: Setup, zone: ZonePlacement, sources: list[_Source]) -> Finding:
    strongest = max(sources, key=lambda source: source.share)
    leader = next((source for source in sources if source.name == _AMBIENT), strongest)
    home_k = leader.nearest_k(_MIDDAY_K)
    colours = {source.name: source.nearest_k(home_k) for source in sources}
    mired = {name: 1e6 / cct_k for name, cct_k in colours.items()}
    spread = max(mired.values()) - min(mired.values())
    margin = ALLOWED_SPREAD_MIRED - spread
    status = status_of(margin, ALLOWED_SPREAD_MIRED - TIGHT_FROM_MIRED)
    parts = ", ".join(f"{name} {cct_k:.0f} K" for name, cct_k in colours.items())
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=zone.zone,
        sentence=f"The lights on {zone.zone} lie {spread:.0f} mired apart: {parts}.",
        value=spread,
        limit=ALLOWED_SPREAD_MIRED,
        margin=margin,
        unit="mired",
        estimated=any(source.estimated for source in sources),
        remedies=() if status == "ok" else tuple(_remedies(setup, leader, home_k, colours)),
        workings=tuple(_workings(sources, colours)),
    )


_MIDDAY_K = 5500.0
"""Where a light whose colour can be set is left when it leads. Common practice, no source."""
_LAYERS = 2
"""So many gels in front of a light: more are no longer seen through. Common practice, no source."""


def _remedies(setup: Setup, leader: _Source, home_k: float, colours: dict[str, float]) -> Iterator[Remedy]:
    in_use = {gel.tag for light in setup.lights for gel in light.gels}
    sheets = [
        GelSheet(unit.tag, unit.spec.mired_shift, unit.spec.transmittance)
        for unit in setup.units
        if isinstance(unit.spec, GelSpec) and unit.tag not in in_use
    ]
    for name, cct_k in colours.items():
        shift = 1e6 / home_k - 1e6 / cct_k
        if abs(shift) <= GOOD_ENOUGH_MIRED:
            continue
        match = closest_gel(cct_k, home_k, sheets, layers=_LAYERS, good_enough_mired=GOOD_ENOUGH_MIRED)
        if abs(match.off_mired) < abs(shift) / 2.0:
            which = " + ".join(gel.label for gel in match.gels)
            yield Remedy(
                f"Put {which} on {name}: {match.result_k:.0f} K, {abs(match.off_mired):.0f} mired off {leader.name}.",
                action="assign",
                arguments=(("light", name), ("gels", ",".join(gel.label for gel in match.gels))),
                costs=f"{match.loss_stops:.1f} stops of {name}",
            )
        else:
            least = stops_lost(ideal_transmittance(cct_k, home_k))
            yield Remedy(
                f"Add a gel of {shift:+.0f} mired to {name} ({'warmer' if shift > 0 else 'cooler'}).",
                action="add_unit",
                costs=f"{least:.1f} stops of {name}, or more",
            )


def _workings(sources: list[_Source], colours: dict[str, float]) -> Iterator[Working]:
    for source in sources:
        cct_k = colours[source.name]
        yield Working(
            source.name,
            "10⁶ / K",
            f"10⁶ / {cct_k:.0f}, {source.share:.0%} of the zone",
            f"{1e6 / cct_k:.0f} mired",
        )
    xy = np.stack([source_xy(colours[source.name], source.kind, source.duv) for source in sources])
    mixed = cct_and_duv(mix_xy(xy, np.array([source.share for source in sources])))
    cct, duv = float(mixed.cct_k), float(mixed.duv)
    yield Working("together", "sum of the lights by share", "", f"{cct:.0f} K, Duv {duv:+.4f}")
