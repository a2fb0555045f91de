"""How much light does a window give, through the day?

The luminance of a pane as a camera or a spot meter sees it, and its illuminance on a face inside: sky above the
horizon, ground below it, and the sun when its ray passes the glass. All of it at many instants at once. A reading
taken at one hour is carried to another by the ratio of the model, which cancels what the model does not know: the
level of that day, the dirt on the glass, the house across the street as long as it shades alike.

Everything is in plan coordinates; see `pane` for how the plan lies on the compass.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from recipes.light.pane import PARTS, Part, WindowPane, compass_to_plan, plan_to_compass, sample_pane
from recipes.light.sky import Sky
from recipes.light.sun import Site, unix_seconds
from recipes.light.weather import Weather, sky_through
from recipes.quantity import Array, at_least_zero, finite

__all__ = [
    "Curve",
    "Interval",
    "Rays",
    "Receiver",
    "Site",
    "Sky",
    "Weather",
    "WindowLight",
    "WindowPane",
    "carried_share",
    "carry_reading",
    "carry_spread_stops",
    "intervals_inside",
    "pane_curve",
    "pane_luminance_cd_m2",
    "rays_to_eye",
    "rays_to_face",
    "sky_through",
    "spread_of_carried",
    "window_curve",
    "window_light",
    "window_lux",
]

Curve = Callable[[Sequence[datetime]], Array]
"""What a model says at each instant."""


@dataclass(frozen=True)
class Receiver:
    """A flat face: its place (x, y, z) in the plan in metres, and the way it faces (any length)."""

    point_m: tuple[float, float, float]
    facing: tuple[float, float, float]

    def __post_init__(self) -> None:
        finite("point_m", np.array(self.point_m))
        if not np.linalg.norm(finite("facing", np.array(self.facing))) > 0:
            raise ValueError("facing is (0, 0, 0); give the direction the face looks to, such as (0, 1, 0).")

    @property
    def point(self) -> Array:
        return np.array(self.point_m, dtype=np.float64)

    @property
    def normal(self) -> Array:
        facing = np.array(self.facing, dtype=np.float64)
        return np.asarray(facing / np.linalg.norm(facing), dtype=np.float64)


@dataclass(frozen=True)
class WindowLight:
    """Illuminance from a window in lux, one entry an instant: from the sky, from the ground, from the sun itself."""

    sky_lux: Array
    ground_lux: Array
    sun_lux: Array

    @property
    def diffuse_lux(self) -> Array:
        return self.sky_lux + self.ground_lux

    @property
    def total_lux(self) -> Array:
        return self.sky_lux + self.ground_lux + self.sun_lux

    def __add__(self, other: WindowLight) -> WindowLight:
        """Two windows together."""
        return WindowLight(
            self.sky_lux + other.sky_lux, self.ground_lux + other.ground_lux, self.sun_lux + other.sun_lux
        )


@dataclass(frozen=True)
class Interval:
    """From one instant to another, both included."""

    start: datetime
    end: datetime


@dataclass(frozen=True)
class Rays:
    """What a place sees through panes: compass directions (n, 3), and what a luminance of 1 in each gives, (n,)."""

    directions: Array
    weights: Array

    def under(self, sky: Sky) -> Array:
        """Their sum under a sky, one an instant."""
        return np.asarray(sky.luminance_cd_m2(self.directions) @ self.weights, dtype=np.float64)


def rays_to_face(pane: WindowPane, receiver: Receiver, room_north_deg: float, part: Part) -> Rays:
    """From a face inside through the part of the pane that shows sky, or ground; weights in lux for a cd/m²."""
    samples = sample_pane(pane, receiver.point, room_north_deg, part, receiver.normal)
    through = np.asarray(pane.glass.transmittance(samples.incidence_deg))
    cosine = np.maximum(samples.directions @ receiver.normal, 0.0)
    return Rays(
        plan_to_compass(samples.directions, room_north_deg), through * cosine * samples.solid_angle_sr
    )


def rays_to_eye(pane: WindowPane, seen_from: tuple[float, float, float], room_north_deg: float) -> Rays:
    """From a point inside through the whole pane; the weights give the mean of what is seen."""
    samples = [sample_pane(pane, np.array(seen_from), room_north_deg, part) for part in PARTS]
    size = sum(float(one.solid_angle_sr.sum()) for one in samples)
    directions = np.concatenate([one.directions for one in samples])
    weights = np.concatenate(
        [np.asarray(pane.glass.transmittance(one.incidence_deg)) * one.solid_angle_sr for one in samples]
    )
    return Rays(plan_to_compass(directions, room_north_deg), weights / size if size > 0 else weights)


def window_light(pane: WindowPane, receiver: Receiver, sky: Sky, *, room_north_deg: float) -> WindowLight:
    """Illuminance of a face inside from one window, at each instant of the sky, in lux.

    Direct light only: what walls and floor add belongs to the room. The ground outside is taken as open and
    unshaded. The sun counts where its centre's ray passes the glass.
    Equation: ``E = integral of L(direction) tau(angle) cos(angle to the face) over the pane's solid angle``.
    """
    (light,) = _windows_under((pane,), receiver, (sky,), room_north_deg)
    return light


def window_lux(
    panes: Sequence[WindowPane], receiver: Receiver, skies: Sequence[Sky], *, room_north_deg: float
) -> Array:
    """Total illuminance of a face inside from all these windows, (skies, instants) in lux."""
    lights = _windows_under(panes, receiver, skies, room_north_deg)
    return np.stack([light.total_lux for light in lights])


def _windows_under(
    panes: Sequence[WindowPane], receiver: Receiver, skies: Sequence[Sky], room_north_deg: float
) -> list[WindowLight]:
    """One for each sky; the panes are sampled once for all of them."""
    dark = [np.zeros(sky.diffuse_horizontal_lux.shape) for sky in skies]
    lights = [WindowLight(none, none, none) for none in dark]
    for pane in panes:
        sky_rays, ground_rays = (rays_to_face(pane, receiver, room_north_deg, part) for part in PARTS)
        for row, sky in enumerate(skies):
            to_sun = compass_to_plan(sky.sun_direction, room_north_deg)
            passes = pane.passes(receiver.point, to_sun, room_north_deg) & (to_sun[:, 2] > 0)
            cosine = np.clip(to_sun @ pane.outward(room_north_deg), 0.0, 1.0)
            through = np.asarray(pane.glass.transmittance(np.degrees(np.arccos(cosine))))
            on_face = through * np.maximum(to_sun @ receiver.normal, 0.0)
            lights[row] += WindowLight(
                sky_lux=sky_rays.under(sky),
                ground_lux=ground_rays.under(sky),
                sun_lux=np.where(passes, sky.direct_normal_lux * on_face, 0.0),
            )
    return lights


def pane_luminance_cd_m2(
    pane: WindowPane, seen_from: tuple[float, float, float], sky: Sky, *, room_north_deg: float
) -> Array:
    """Mean luminance of the whole pane seen from a point inside, one an instant, in cd/m2; the sun's disc left out.

    What lies above the horizon of that point shows sky, the rest ground. 0 when the point does not see the pane.
    """
    return rays_to_eye(pane, seen_from, room_north_deg).under(sky)


def window_curve(
    panes: Sequence[WindowPane], receiver: Receiver, site: Site, weather: Weather, *, room_north_deg: float
) -> Curve:
    """The model of a reading inside: total illuminance in lux from all these windows, at any instants."""

    def lux(instants: Sequence[datetime]) -> Array:
        sky = sky_through(site, instants, weather)
        return np.asarray(window_lux(panes, receiver, (sky,), room_north_deg=room_north_deg)[0])

    return lux


def pane_curve(
    pane: WindowPane,
    seen_from: tuple[float, float, float],
    site: Site,
    weather: Weather,
    *,
    room_north_deg: float,
) -> Curve:
    """The model of a spot reading of a window from a place inside: its mean luminance in cd/m2, at any instants."""

    def luminance(instants: Sequence[datetime]) -> Array:
        sky = sky_through(site, instants, weather)
        return pane_luminance_cd_m2(pane, seen_from, sky, room_north_deg=room_north_deg)

    return luminance


def carry_reading(reading: float, at: datetime, to: Sequence[datetime], curve: Curve) -> Array:
    """What a reading taken at one instant becomes at others: one for each of ``to``, in the reading's own unit.

    Parameters: ``reading`` in any unit proportional to light (lux or cd/m2, never EV); ``curve`` is the model,
    from `window_curve` or `pane_curve`.
    Raises ValueError when the model has no light at the time of the reading: then there is nothing to scale.
    Equation: ``reading * curve(to) / curve(at)``.
    """
    value = float(at_least_zero("reading", reading))
    modelled = np.asarray(curve([at, *to]), dtype=np.float64)
    return np.asarray(value * carried_share(at, modelled[0], modelled[1:]), dtype=np.float64)


def carried_share(at: datetime, modelled_at: Array, modelled: Array) -> Array:
    """What one unit of a reading becomes, (..., n), where models say ``modelled_at`` (...) for the instant it was taken
    and ``modelled`` (..., n) for others. Raises ValueError when a model has no light at the time of the reading."""
    if not np.all(modelled_at > 0):
        raise ValueError(
            f"the model has no daylight at {at.isoformat()}, when the reading was taken; take one by day, or check "
            f"the place, the time zone and the window."
        )
    return np.asarray(modelled / modelled_at[..., None], dtype=np.float64)


def carry_spread_stops(at: datetime, to: Sequence[datetime], curves: Sequence[Curve]) -> Array:
    """How much of a carried reading hangs on the choice of the model: half the range in stops, one for each of ``to``.

    Parameters: ``curves`` are models that might all be true, such as the same window with a cleaner and a hazier
    sky. Infinite where one of them has light and another has none.
    Raises ValueError when a model has no daylight at the time of the reading.
    """
    return spread_of_carried(np.array([carry_reading(1.0, at, to, curve) for curve in curves]))


def spread_of_carried(carried: Array) -> Array:
    """Half the range in stops, (n,), of what models (models, n) that might all be true make of one reading."""
    dark = carried <= 0
    with np.errstate(divide="ignore"):
        stops = np.log2(np.where(dark.all(axis=0), 1.0, carried))
    return np.asarray((stops.max(axis=0) - stops.min(axis=0)) / 2, dtype=np.float64)


def intervals_inside(
    instants: Sequence[datetime], values: Array, low: float, high: float
) -> tuple[Interval, ...]:
    """When a curve stays within ``[low, high]``, with straight lines between its points.

    Raises ValueError when instants do not ascend, lengths differ or ``low`` is above ``high``.
    """
    seconds = unix_seconds(instants)
    numbers = finite("values", values)
    if numbers.shape != seconds.shape or np.any(np.diff(seconds) <= 0):
        raise ValueError("give one value for each instant, with the instants in ascending order.")
    if low > high:
        raise ValueError(f"the bracket runs from {low:g} to {high:g}; give the lower end first.")
    spans: list[tuple[float, float]] = []
    for i in range(len(seconds)):
        last = i == len(seconds) - 1
        step = 0.0 if last else seconds[i + 1] - seconds[i]
        rise = 0.0 if last else numbers[i + 1] - numbers[i]
        entry, leave = _part_inside(float(numbers[i]), float(rise), low, high)
        if entry <= leave:
            spans.append((float(seconds[i] + entry * step), float(seconds[i] + leave * step)))
    merged: list[tuple[float, float]] = []
    for begin, end in spans:
        if merged and begin <= merged[-1][1] + 1e-6:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((begin, end))
    zone = instants[0].tzinfo if instants else None
    return tuple(
        Interval(datetime.fromtimestamp(round(begin, 3), zone), datetime.fromtimestamp(round(end, 3), zone))
        for begin, end in merged
    )


def _part_inside(start: float, rise: float, low: float, high: float) -> tuple[float, float]:
    """The part of a step, 0 to 1, on which a straight line lies in the bracket; (1, 0) for none."""
    if rise == 0:
        return (0.0, 1.0) if low <= start <= high else (1.0, 0.0)
    first, second = sorted(((low - start) / rise, (high - start) / rise))
    return max(0.0, first), min(1.0, second)
