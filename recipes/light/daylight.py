"""How much light does a window give, through the day?

The luminance of a pane as a camera or a spot meter sees it, and its illuminance on a face inside: sky above the
horizon, ground below it, and the sun when its ray passes the glass. All of it at many instants at once. How a reading
is carried from one hour to another by these curves is `recipes.light.carry`.

Everything is in plan coordinates; see `pane` for how the plan lies on the compass.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from recipes.light.carry import Curve
from recipes.light.pane import PARTS, Part, WindowPane, compass_to_plan, plan_to_compass, sample_pane
from recipes.light.sky import Sky
from recipes.light.sun import Site
from recipes.light.weather import Weather, sky_through
from recipes.quantity import Array, finite

__all__ = [
    "Curve",
    "Rays",
    "Receiver",
    "Site",
    "Sky",
    "Weather",
    "WindowLight",
    "WindowPane",
    "flux_into_room_lm",
    "pane_curve",
    "pane_luminance_cd_m2",
    "rays_to_eye",
    "rays_to_face",
    "sky_through",
    "window_curve",
    "window_light",
    "window_lux",
]


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
            passes = pane.passes(receiver.point, to_sun, room_north_deg)
            _, through = _towards_sun(pane, sky, room_north_deg)
            on_face = through * np.maximum(to_sun @ receiver.normal, 0.0)
            lights[row] += WindowLight(
                sky_lux=sky_rays.under(sky),
                ground_lux=ground_rays.under(sky),
                sun_lux=np.where(passes, sky.direct_normal_lux * on_face, 0.0),
            )
    return lights


def flux_into_room_lm(panes: Sequence[WindowPane], skies: Sequence[Sky], *, room_north_deg: float) -> Array:
    """All that comes in by these windows, from sky, ground and sun, (skies, instants) in lm.

    The ground outside is taken as open and unshaded. Equation: ``A · integral of L(direction) tau(angle) cos(angle)``
    over all before the pane, and ``A E tau(angle) cos(angle)`` of the sun.
    """
    flux = [np.zeros(sky.diffuse_horizontal_lux.shape) for sky in skies]
    for pane in panes:
        rays = _rays_through(pane, room_north_deg)
        for row, sky in enumerate(skies):
            cosine, through = _towards_sun(pane, sky, room_north_deg)
            flux[row] += rays.under(sky) + sky.direct_normal_lux * through * cosine * pane.area_m2
    return np.stack(flux)


def _towards_sun(pane: WindowPane, sky: Sky, room_north_deg: float) -> tuple[Array, Array]:
    """The cosine between a pane's normal and the sun, and what the glass lets through of it, one an instant; both
    nothing for a sun below the horizon or behind."""
    to_sun = compass_to_plan(sky.sun_direction, room_north_deg)
    cosine = np.where(to_sun[:, 2] > 0, np.clip(to_sun @ pane.outward(room_north_deg), 0.0, 1.0), 0.0)
    through = np.asarray(pane.glass.transmittance(np.degrees(np.arccos(cosine))))
    return cosine, np.where(cosine > 0, through, 0.0)


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)


def _rays_through(pane: WindowPane, room_north_deg: float) -> Rays:
    """From the whole of a pane to all before it; weights in lm for a cd/m². Each quarter turn has nodes of its own, so
    that the horizon before a wall lies between two of them."""
    squares = (_NODES + 1.0) / 2.0
    cosine, sine = np.sqrt(1.0 - squares)[:, None, None], np.sqrt(squares)[:, None, None]
    turns = np.concatenate([np.pi / 4.0 * (_NODES + 1.0) + quarter * np.pi / 2.0 for quarter in range(4)])
    along, up = pane.sides(room_north_deg)
    around = np.cos(turns)[:, None] * along + np.sin(turns)[:, None] * up
    ways = cosine * pane.outward(room_north_deg) + sine * around
    through = np.asarray(pane.glass.transmittance(np.degrees(np.arccos(cosine[:, 0, 0]))))
    # cos(a) d(omega) is half of d(sin² a) d(turn).
    each = np.outer(through * _WEIGHTS / 4.0, np.tile(_WEIGHTS * np.pi / 4.0, 4)) * pane.area_m2
    return Rays(plan_to_compass(ways.reshape(-1, 3), room_north_deg), each.ravel())


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
