"""What the picture will be with the assigned units: how each light will be set, where each zone will lie.

Everything is linear in light, so each zone is a sum. Write ``q = 2**P`` for the light that puts a zone at placement
``P``; then ``q_zone = q_ambient + sum over lights of (q at full power) * (output at the setting / output at full)``.
`recipes.checks.lighting` supplies the terms, this module solves for the settings and adds up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log2

import numpy as np
from scipy.optimize import nnls

from recipes.checks.lighting import Lighting, LitZone, SetLight, light_up
from recipes.checks.setup import Setup
from recipes.light.spread import combined_stops, sum_spread_stops
from recipes.look import Target

__all__ = ["LightSetting", "Prediction", "ZonePlacement", "predict", "predict_under"]

_DARK = 1e-9


@dataclass(frozen=True)
class LightSetting:
    """How a light will be set.

    ``wanted_stops`` is the setting that the recipe asks for with these units, counted from full power and not yet
    held to what the head can do: +0.8 is 0.8 stop more than it has. ``setting_stops`` is the nearest setting it
    really has. Both are None when no head is assigned or a figure is missing, and ``missing`` then says which.
    ``decided_by`` says in words what asked for it. ``full_placement`` is the placement that the light alone at full
    power gives that zone. ``spread_stops`` is one standard deviation of the light at that setting, with what the lens
    takes where the wish hangs on it.
    """

    light: str
    source: str
    wanted_stops: float | None
    setting_stops: float | None
    lowest_stops: float
    step_stops: float
    fixed: bool
    decided_by: str
    zone: str
    full_placement: float | None
    spread_stops: float
    estimated: bool
    missing: str
    unit_tags: tuple[str, ...] = ()


@dataclass(frozen=True)
class ZonePlacement:
    """Where a zone will lie. Shares are parts of its light, 0 to 1; ``light_shares`` by the name of the light.

    ``placement`` is None when something is missing, and ``missing`` says what; ``ambient_placement`` is what the
    ambient alone gives, None in a blacked-out room.
    """

    zone: str
    reading: str
    target: float
    tolerance: float
    stays_dark: bool
    placement: float | None
    spread_stops: float
    ambient_placement: float | None
    ambient_share: float
    flash_share: float
    continuous_share: float
    light_shares: tuple[tuple[str, float], ...]
    estimated: bool
    missing: str


@dataclass(frozen=True)
class Prediction:
    """The settings and the placements of one setup."""

    zones: tuple[ZonePlacement, ...]
    lights: tuple[LightSetting, ...]

    def zone(self, name: str) -> ZonePlacement:
        """The zone of that name; raises KeyError."""
        return self._zones_by_name[name]

    def light(self, name: str) -> LightSetting:
        """The light of that name; raises KeyError."""
        return self._lights_by_name[name]

    @cached_property
    def _zones_by_name(self) -> dict[str, ZonePlacement]:
        return {zone.zone: zone for zone in self.zones}

    @cached_property
    def _lights_by_name(self) -> dict[str, LightSetting]:
        return {light.light: light for light in self.lights}


def predict(setup: Setup) -> Prediction:
    """Settings and placements of a setup."""
    return predict_under(light_up(setup))


def predict_under(lighting: Lighting) -> Prediction:
    """Settings and placements under what `light_up` has computed already: all that decides them stands in it."""
    settings = _settings(lighting)
    given = [_given(light, setting) for light, setting in zip(lighting.lights, settings, strict=True)]
    return Prediction(
        zones=tuple(_placement(zone, lighting, settings, given) for zone in lighting.zones),
        lights=settings,
    )


@dataclass(frozen=True)
class _Wish:
    """How many times its full-power light a source should give, and why.

    ``hangs_on_lens`` where it is to give a placement of its own: a lift above the ambient is a ratio that the lens
    leaves as it is, and a fixed setting asks for none.
    """

    factor: float
    zone: str
    reason: str
    hangs_on_lens: bool


def _settings(lighting: Lighting) -> tuple[LightSetting, ...]:
    wishes: dict[str, _Wish] = {}
    for light in lighting.lights:
        wish = _stated_wish(light, lighting)
        if wish is not None:
            wishes[light.name] = wish
    wishes.update(_wishes_from_targets(lighting, wishes))
    return tuple(
        _setting(light, wishes.get(light.name), lighting.lens_spread_stops) for light in lighting.lights
    )


def _stated_wish(light: SetLight, lighting: Lighting) -> _Wish | None:
    """What the recipe says itself: a fixed setting, or a lift of a zone."""
    if light.output is None:
        return None
    if light.plan.setting_stops is not None:
        fixed = light.plan.setting_stops
        factor = 2.0 ** light.output.output_stops(fixed)
        return _Wish(factor, light.main_zone, f"the recipe fixes it at {fixed:+.1f} stops", False)
    for lift in light.plan.lifts:
        at_full = lighting.full(light.name, lift.zone)
        zone = lighting.zone(lift.zone)
        if at_full <= _DARK:
            continue
        if lift.alone_stops is not None:
            return _Wish(
                2.0**lift.alone_stops / at_full,
                lift.zone,
                f"{lift.zone} at {lift.alone_stops:+.1f} by itself",
                True,
            )
        if lift.lift_stops is not None and zone.ambient is not None and zone.ambient > _DARK:
            wanted = zone.ambient * (2.0**lift.lift_stops - 1.0)
            return _Wish(
                wanted / at_full, lift.zone, f"lifts {lift.zone} by {lift.lift_stops:.1f} stops", False
            )
    return None


def _wishes_from_targets(lighting: Lighting, stated: dict[str, _Wish]) -> dict[str, _Wish]:
    """For lights without a wish of their own: what brings the zone each one is meant for to its target."""
    open_lights = [
        light
        for light in lighting.lights
        if light.name not in stated and light.main_zone and lighting.full(light.name, light.main_zone) > _DARK
    ]
    if not open_lights:
        return {}
    zones = list(dict.fromkeys(light.main_zone for light in open_lights))
    needs = []
    for name in zones:
        zone = lighting.zone(name)
        others = sum(lighting.full(other, name) * wish.factor for other, wish in stated.items())
        needs.append(2.0**zone.target.placement_stops - (zone.ambient or 0.0) - others)
    matrix = np.array([[lighting.full(light.name, zone) for light in open_lights] for zone in zones])
    # Each row is scaled to its own need, so that a bright zone does not drown a dark one.
    scale = np.array([2.0 ** lighting.zone(zone).target.placement_stops for zone in zones])
    factors, _ = nnls(matrix / scale[:, None], np.array(needs) / scale)
    return {
        light.name: _Wish(float(factor), light.main_zone, f"brings {light.main_zone} to its target", True)
        for light, factor in zip(open_lights, factors, strict=True)
    }


def _setting(light: SetLight, wish: _Wish | None, lens_spread_stops: float) -> LightSetting:
    wanted = setting = full_placement = None
    missing = light.missing
    reason = wish.reason if wish else ""
    of_lens = lens_spread_stops if wish is not None and wish.hangs_on_lens else 0.0
    if not missing and wish is None:
        missing = "what this light is for: give it a lift, or an aim that has a target"
    output = light.output
    if output is not None and not missing and wish is not None:
        if light.plan.setting_stops is not None:
            wanted = light.plan.setting_stops
        else:
            wanted = output.setting_for(log2(wish.factor)) if wish.factor > _DARK else output.lowest
        setting = output.nearest_setting(wanted)
        at_full = light.full_of(wish.zone)
        full_placement = log2(at_full) if at_full > _DARK else None
    return LightSetting(
        light=light.name,
        source=light.plan.source,
        wanted_stops=wanted,
        setting_stops=setting,
        lowest_stops=output.lowest if output else 0.0,
        step_stops=output.step if output else 1.0,
        fixed=light.plan.setting_stops is not None,
        decided_by=reason,
        zone=wish.zone if wish else light.main_zone,
        full_placement=full_placement,
        spread_stops=float(combined_stops(light.spread_stops, of_lens)),
        estimated=light.estimated,
        missing=missing,
        unit_tags=light.unit_tags,
    )


def _given(light: SetLight, setting: LightSetting) -> float | None:
    """What part of its full power a light gives as it is set; None where that is not known."""
    if setting.setting_stops is None or light.output is None:
        return None
    return float(2.0 ** light.output.output_stops(setting.setting_stops))


def _placement(
    zone: LitZone, lighting: Lighting, settings: Sequence[LightSetting], given: Sequence[float | None]
) -> ZonePlacement:
    target: Target = zone.target
    parts: list[tuple[str, float, float]] = []
    ways = [0.0] * len(lighting.way_spreads_stops)
    flash = continuous = 0.0
    estimated = False
    missing = [zone.missing] if zone.missing else []
    for light, setting, part in zip(lighting.lights, settings, given, strict=True):
        at_full = lighting.full(light.name, zone.name)
        if part is None:
            if (light.missing or at_full > _DARK) and not zone.glows:
                missing.append(f"{light.name}: {setting.missing}")
            continue
        amount = at_full * part
        if amount <= _DARK:
            continue
        parts.append((light.name, amount, light.head_spread_stops))
        by_way = light.by_way.get(zone.name, ())
        from_all = sum(by_way)
        for number, way in enumerate(by_way):
            ways[number] += amount * way / from_all
        if light.plan.source == "strobe":
            flash += amount
        else:
            continuous += amount
        estimated = estimated or light.estimated
    ambient = zone.ambient or 0.0
    total = ambient + flash + continuous
    spread = float(
        sum_spread_stops(
            [ambient, *(amount for _, amount, _ in parts)],
            [zone.ambient_spread_stops, *(own for _, _, own in parts)],
        )
    )
    # A board's reflectance is off for all lights at once, and so is the room's.
    if total > _DARK:
        spreads = zip(ways, lighting.way_spreads_stops, strict=True)
        of_ways = (way / total * own for way, own in spreads)
        spread = float(combined_stops(spread, lighting.lens_spread_stops, *of_ways))
    known = not missing and total > _DARK
    return ZonePlacement(
        zone=zone.name,
        reading=zone.reading,
        target=target.placement_stops,
        tolerance=target.tolerance_stops,
        stays_dark=zone.stays_dark,
        placement=log2(total) if known else None,
        spread_stops=spread,
        ambient_placement=log2(ambient) if ambient > _DARK else None,
        ambient_share=ambient / total if total > _DARK else 0.0,
        flash_share=flash / total if total > _DARK else 0.0,
        continuous_share=continuous / total if total > _DARK else 0.0,
        light_shares=tuple((name, amount / total) for name, amount, _ in parts),
        estimated=estimated,
        missing="; ".join(missing) or ("" if known else "any light at all"),
    )
