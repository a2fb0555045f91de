"""Does the daylight hold while the shoot lasts?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time

import numpy as np

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.panes import panes_of, site_of
from recipes.checks.prediction import Prediction, ZonePlacement
from recipes.checks.setup import Room, Setup
from recipes.light.daylight import (
    Curve,
    Interval,
    Receiver,
    carry_reading,
    carry_spread_stops,
    intervals_inside,
    pane_curve,
    window_curve,
)
from recipes.light.geometry import facing, position
from recipes.light.pane import WindowPane
from recipes.light.sun import Site, instants_through
from recipes.light.weather import Weather
from recipes.look import Zone
from recipes.quantity import Array

__all__ = ["EXPLANATION", "STEP_S", "check"]

STEP_S = 600.0

SKIES = (Weather("clear", 3.0), Weather("clear", 5.0), Weather("overcast"))
"""Skies that might all be true: clean, hazy, covered. The first carries the reading, all of them give the spread."""

EXPLANATION = Explanation(
    name="daylight",
    family="exposure",
    title="Daylight holds through the shoot",
    question="A reading was taken at one hour: where does the zone lie through the whole shoot?",
    formula=(
        "ambient(t) = ambient(reading) · model(t) / model(time of the reading)",
        "P(t) = log2( 2^P of the ambient at t + 2^P of the lamps )",
        "margin = the smallest of tolerance − | P(t) − target | over the shoot",
    ),
    symbols=(
        ("model", "light of the windows from the sun's place, a clear sky, and the glass by angle"),
        ("t", "every ten minutes from the start to the end of the shoot"),
    ),
    assumes=(
        "the reading is as if taken on the day of the shoot, under the same weather",
        "the lamps stay as they were set at the time of the reading",
        "the spread is half the range between a clean, a hazy and a covered sky",
    ),
    source=(
        "sun: NREL/TP-560-34302 (pvlib)",
        "clear sky: Ineichen and Perez 2002; luminous efficacy: Perez et al. 1990",
        "sky luminance: ISO 15469 / CIE S 011",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a zone whose reading names its time; value and limit in stops at the worst moment."""
    for reading in setup.look.ambient:
        if reading.at is None:
            continue
        zone, placed = setup.look.zone(reading.zone), prediction.zone(reading.zone)
        facts = _facts(setup, placed)
        if isinstance(facts, str):
            yield Finding(
                check=EXPLANATION.name,
                status="unknown",
                about=zone.name,
                sentence=f"Whether {zone.name} holds through the shoot cannot be told: missing {facts}.",
                missing=facts,
            )
        else:
            at = datetime.combine(facts.starts.date(), time.fromisoformat(reading.at), facts.starts.tzinfo)
            yield _through_the_shoot(setup, facts, at, zone, placed)


@dataclass(frozen=True)
class _Facts:
    """What it takes to carry a reading."""

    room: Room
    site: Site
    starts: datetime
    ends: datetime
    placement: float


def _facts(setup: Setup, placed: ZonePlacement) -> _Facts | str:
    """All of it, or what is missing in words."""
    if placed.placement is None:
        return placed.missing
    if setup.starts is None or setup.ends is None:
        return "the hours of the shoot"
    site = site_of(setup.room) if setup.room else None
    if setup.room is None or site is None:
        return "latitude and longitude of the place"
    if not setup.room.windows:
        return "the windows of the room"
    return _Facts(setup.room, site, setup.starts, setup.ends, placed.placement)


def _through_the_shoot(
    setup: Setup, facts: _Facts, at: datetime, zone: Zone, placed: ZonePlacement
) -> Finding:
    starts, ends = facts.starts, facts.ends
    instants = instants_through(starts, ends, STEP_S)
    if instants[-1] < ends:
        instants = (*instants, ends)
    curves = [_curve(setup, facts.room, facts.site, zone, sky) for sky in SKIES]
    try:
        carried = carry_reading(1.0, at, instants, curves[0])
        spread = carry_spread_stops(at, instants, curves)
    except ValueError:
        return Finding(
            check=EXPLANATION.name,
            status="unknown",
            about=zone.name,
            sentence=f"There is no daylight at {at:%H:%M}, when {zone.name} was read; check the hour, the windows "
            "and the place.",
            missing=f"a reading of {zone.name} by day",
        )
    ambient = 2.0**facts.placement * placed.ambient_share
    lamps = 2.0**facts.placement - ambient
    with np.errstate(divide="ignore"):
        stops = np.maximum(np.log2(ambient * carried + lamps), -20.0)
    off = stops - placed.target
    margins = placed.tolerance - (off if placed.stays_dark else np.abs(off))
    return _finding(
        zone,
        placed,
        starts,
        instants,
        stops,
        margins,
        np.minimum(spread, 20.0) * placed.ambient_share,
        f"{at:%H:%M}",
    )


def _curve(setup: Setup, room: Room, site: Site, zone: Zone, sky: Weather) -> Curve:
    panes = panes_of(room)
    point = position(zone.bearing_deg, zone.distance_m, zone.height_m)
    if zone.glows:
        camera = (0.0, setup.look.camera.distance_m, setup.look.camera.height_m)
        return pane_curve(_nearest(panes, point), camera, site, sky, room_north_deg=room.north_deg)
    way = facing(zone.facing_deg, zone.facing_up_deg)
    receiver = Receiver((point[0], point[1], point[2]), (way[0], way[1], way[2]))
    return window_curve(panes, receiver, site, sky, room_north_deg=room.north_deg)


def _nearest(panes: Sequence[WindowPane], point: Array) -> WindowPane:
    return min(panes, key=lambda pane: float(np.linalg.norm(pane.centre - point)))


def _finding(
    zone: Zone,
    placed: ZonePlacement,
    starts: datetime,
    instants: tuple[datetime, ...],
    stops: Array,
    margins: Array,
    spreads: Array,
    read_at: str,
) -> Finding:
    worst = int(np.argmin(margins))
    margin, spread = float(margins[worst]), float(spreads[worst])
    status: Status = "gap" if margin < -1e-9 else "tight" if margin < spread else "ok"
    when = instants[worst].astimezone(starts.tzinfo)
    low = -20.0 if placed.stays_dark else placed.target - placed.tolerance
    inside = intervals_inside(instants, stops, low, placed.target + placed.tolerance)
    if status == "gap":
        off = float(stops[worst]) - placed.target
        sentence = (
            f"{zone.name} is {-margin:.1f} stops too {'bright' if off > 0 else 'dark'} at {when:%H:%M}; "
            f"it is inside its target {_hours(inside, starts)}."
        )
    else:
        sentence = (
            f"{zone.name} stays inside its target through the shoot; nearest to its edge at {when:%H:%M}."
        )
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=zone.name,
        sentence=sentence,
        value=float(stops[worst]),
        limit=placed.target,
        margin=margin,
        unit="stops",
        spread=spread,
        remedies=()
        if status != "gap"
        else (
            Remedy(
                f"Make this look {_hours(inside, starts)}." if inside else "Make this look at another hour.",
                costs="the order of the recipes",
            ),
            Remedy(
                "Follow the light with the shutter time, within sync.",
                costs="the flash stays as it is; everything else that is ambient moves too",
            ),
        ),
        workings=tuple(
            Working(
                f"{instants[i].astimezone(starts.tzinfo):%H:%M}",
                "P(t)",
                f"read at {read_at}",
                f"{stops[i]:+.1f} stops, ±{spreads[i]:.1f}",
            )
            for i in sorted({0, worst, len(instants) // 2, len(instants) - 1})
        ),
    )


def _hours(inside: Sequence[Interval], starts: datetime) -> str:
    if not inside:
        return "at no time of the shoot"
    return " and ".join(
        f"from {span.start.astimezone(starts.tzinfo):%H:%M} to {span.end.astimezone(starts.tzinfo):%H:%M}"
        for span in inside
    )
