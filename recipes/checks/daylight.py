"""Does the daylight hold while the shoot lasts?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from recipes.checks.common import Common, read_at
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.panes import panes_of
from recipes.checks.prediction import Prediction, ZonePlacement
from recipes.checks.setup import Room, Setup
from recipes.checks.stage import zone_points
from recipes.checks.verdict import status_of
from recipes.checks.window_ambient import SKY
from recipes.light.bracket import Interval, intervals_inside
from recipes.light.carry import carried_share, spread_of_carried
from recipes.light.daylight import Receiver, flux_into_room_lm, rays_to_eye, window_lux
from recipes.light.geometry import facing, position
from recipes.light.pane import WindowPane
from recipes.light.sky import Sky
from recipes.light.sun import SunPath
from recipes.light.weather import Weather, sky_under
from recipes.look import Zone
from recipes.quantity import Array

__all__ = ["EXPLANATION", "check"]

MOST_STOPS = 20.0
"""What lies further below, or is less certain than this, is told as this: it is night."""

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
        (
            "model",
            "what the windows give the zone, straight and by way of the room: from the sun's place, a clear sky, and "
            "the glass by angle",
        ),
        ("t", "every ten minutes from the start to the end of the shoot"),
    ),
    assumes=(
        "the reading is as if taken on the day of the shoot, under the same weather",
        "what walls, floor and boards add follows all that comes in by the windows, the sun too, spread over the room "
        "as under a covered sky",
        "the lamps stay as they were set at the time of the reading",
        "the spread is half the range of the zone between a clean, a hazy and a covered sky; how far off the reading "
        "and the lamps are is not in it",
    ),
    source=(
        "sun: NREL/TP-560-34302 (pvlib)",
        "clear sky: Ineichen and Perez 2002; luminous efficacy: Perez et al. 1990",
        "sky luminance: ISO 15469 / CIE S 011",
    ),
)


def check(setup: Setup, prediction: Prediction, common: Common | None = None) -> Iterator[Finding]:
    """One finding a zone whose reading names its time; value and limit in stops at the worst moment."""
    common = common or Common(setup)
    came_in: _CameIn | None = None
    for reading in setup.look.ambient:
        if reading.at is None:
            continue
        zone, placed = setup.look.zone(reading.zone), prediction.zone(reading.zone)
        facts = _facts(common, placed)
        if isinstance(facts, str):
            yield Finding(
                check=EXPLANATION.name,
                status="unknown",
                about=zone.name,
                sentence=f"Whether {zone.name} holds through the shoot cannot be told: missing {facts}.",
                missing=facts,
            )
            continue
        if came_in is None:
            skies = [sky_under(facts.sun, sky, altitude_m=facts.room.altitude_m) for sky in SKIES]
            came_in = _came_in(facts.room, skies)
        yield _through_the_shoot(common, facts, read_at(reading.at, facts.starts), zone, placed, came_in)


@dataclass(frozen=True)
class _Facts:
    """What it takes to carry a reading."""

    room: Room
    sun: SunPath
    starts: datetime
    placement: float


def _facts(common: Common, placed: ZonePlacement) -> _Facts | str:
    """All of it, or what is missing in words."""
    setup = common.setup
    if placed.placement is None:
        return placed.missing
    if setup.starts is None or setup.ends is None:
        return "the hours of the shoot"
    if setup.room is None or common.sun is None:
        return "latitude and longitude of the place"
    if not setup.room.windows:
        return "the windows of the room"
    return _Facts(setup.room, common.sun, setup.starts, placed.placement)


@dataclass(frozen=True, eq=False)
class _CameIn:
    """All that comes in by the windows: ``lm`` under each of the skies (skies, instants), ``covered_lm`` under the
    covered one by which the room is known."""

    skies: Sequence[Sky]
    lm: Array
    covered_lm: float


def _came_in(room: Room, skies: Sequence[Sky]) -> _CameIn:
    found, covered = (
        flux_into_room_lm(panes_of(room), under, room_north_deg=room.north_deg) for under in (skies, (SKY,))
    )
    return _CameIn(skies, found, float(covered[0, 0]))


def _through_the_shoot(
    common: Common, facts: _Facts, at: datetime, zone: Zone, placed: ZonePlacement, came_in: _CameIn
) -> Finding:
    through = len(common.instants)
    modelled = _modelled(common, facts.room, zone, came_in)
    when = through + common.readings.index(at)
    try:
        carried = carried_share(at, modelled[:, when], modelled[:, :through])
    except ValueError:
        return _dark(zone, at, is_day=bool((came_in.lm[:, when] > 0).all()))
    ambient = 2.0**facts.placement * placed.ambient_share
    lamps = 2.0**facts.placement - ambient
    with np.errstate(divide="ignore"):
        stops = np.maximum(np.log2(ambient * carried[0] + lamps), -MOST_STOPS)
    off = stops - placed.target
    margins = placed.tolerance - (off if placed.stays_dark else np.abs(off))
    return _finding(
        zone,
        placed,
        facts.starts,
        common.instants,
        stops,
        margins,
        np.minimum(spread_of_carried(ambient * carried + lamps), MOST_STOPS),
        f"{at:%H:%M}",
    )


def _dark(zone: Zone, at: datetime, is_day: bool) -> Finding:
    """Where the model has no light at the time of the reading: then there is nothing to carry."""
    if is_day:
        sentence = (
            f"By the windows and walls that are entered no daylight comes to {zone.name} at {at:%H:%M}, when it was "
            "read; check its place, which way it faces, and the room."
        )
        missing = f"a window or a wall that lights {zone.name}"
    else:
        sentence = (
            f"There is no daylight at {at:%H:%M}, when {zone.name} was read; check the hour, the windows "
            "and the place."
        )
        missing = f"a reading of {zone.name} by day"
    return Finding(
        check=EXPLANATION.name, status="unknown", about=zone.name, sentence=sentence, missing=missing
    )


def _modelled(common: Common, room: Room, zone: Zone, came_in: _CameIn) -> Array:
    """What the windows give the zone under each sky, (skies, instants): cd/m² of a zone that glows, else lux."""
    setup, panes = common.setup, panes_of(room)
    point = position(zone.bearing_deg, zone.distance_m, zone.height_m)
    if zone.glows:
        camera = (0.0, setup.look.camera.distance_m, setup.look.camera.height_m)
        rays = rays_to_eye(_nearest(panes, point), camera, room.north_deg)
        return np.stack([rays.under(sky) for sky in came_in.skies])
    way = facing(zone.facing_deg, zone.facing_up_deg)
    receiver = Receiver((point[0], point[1], point[2]), (way[0], way[1], way[2]))
    straight = window_lux(panes, receiver, came_in.skies, room_north_deg=room.north_deg)
    windows = common.ambient(zone).windows
    if windows is None:
        return straight
    # What walls, floor and boards send the zone of each lumen that comes in.
    off_lux = float(windows.off_lux(*zone_points((zone,)))[0])
    return straight + off_lux / came_in.covered_lm * came_in.lm


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
    status = status_of(margin, spread)
    when = instants[worst].astimezone(starts.tzinfo)
    low = -MOST_STOPS if placed.stays_dark else placed.target - placed.tolerance
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
