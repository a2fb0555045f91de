"""Ways out of a gap that can be taken with a click: a free unit that makes the same light, another camera setting."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence

from gear.booking.queries import free_units
from gear.booking.rules import use_of
from gear.inventory.models import Unit
from recipes.checks import placement, power_range
from recipes.checks.findings import Finding, Remedy
from recipes.checks.registry import Report
from recipes.checks.setup import Setup
from recipes.checks.setup import Unit as UnitSeen
from recipes.rig.mounts import mount_fit
from recipes.solve.balance import CameraChange, camera_changes
from recipes.solve.consequences import new_gaps, with_camera
from recipes.solve.substitute import Substitute, substitutes, with_heads
from studio.shoots.models import Job, ShootRecipe

__all__ = ["with_alternatives"]

AT_MOST, LOOKED_AT = 3, 6
"""So many heads are offered; so many are asked what else would be wrong with them, the nearest first."""


def with_alternatives(shoot_recipe: ShootRecipe, setup: Setup, report: Report) -> Report:
    """The same report; gaps of exposure get what the store and the camera can offer as first remedies."""
    gaps = [f for f in report.findings if f.status == "gap" and f.check in _CHECKS and not f.follows]
    if not gaps:
        return report
    camera = _harmless_first(
        (_camera_remedy(setup, change), new_gaps(report, with_camera(setup, change.camera)))
        for change in camera_changes(setup)
    )
    return dataclasses.replace(
        report,
        findings=tuple(
            _offered(finding, shoot_recipe, setup, report, camera) if finding in gaps else finding
            for finding in report.findings
        ),
    )


_CHECKS = {power_range.EXPLANATION.name, placement.EXPLANATION.name}


def _offered(
    finding: Finding, shoot_recipe: ShootRecipe, setup: Setup, report: Report, camera: tuple[Remedy, ...]
) -> Finding:
    swaps: tuple[Remedy, ...] = ()
    if finding.check == power_range.EXPLANATION.name:
        swaps = _swaps(finding.about, shoot_recipe, setup, report)
    return dataclasses.replace(finding, remedies=(*swaps, *camera, *finding.remedies))


def _swaps(light: str, shoot_recipe: ShootRecipe, setup: Setup, report: Report) -> tuple[Remedy, ...]:
    """Another head. Where several stand behind one modifier a click changes one alone, so nothing is offered there."""
    if len(next(one for one in setup.lights if one.plan.name == light).heads) > 1:
        return ()
    found = substitutes(setup, light, _candidates(shoot_recipe, setup, light))[:LOOKED_AT]
    return _harmless_first(
        (_swap_remedy(light, one), new_gaps(report, with_heads(setup, light, (one.unit,)))) for one in found
    )[:AT_MOST]


def _harmless_first(offers: Iterable[tuple[Remedy, Sequence[Finding]]]) -> tuple[Remedy, ...]:
    """Those that open no other gap first; of the others it is said what they open."""
    ordered = sorted(offers, key=lambda offer: len(offer[1]))
    return tuple(
        dataclasses.replace(remedy, costs="; ".join(filter(None, [remedy.costs, _then(opened)])))
        if opened
        else remedy
        for remedy, opened in ordered
    )


def _then(opened: Sequence[Finding]) -> str:
    """What would be wrong then, the first of it in full."""
    more = len(opened) - 1
    rest = f"; and {more} more" if more else ""
    return f"but then: {opened[0].sentence.rstrip('.')}{rest}"


def _candidates(shoot_recipe: ShootRecipe, setup: Setup, light: str) -> Iterable[UnitSeen]:
    """Free heads of the light's kind that go on its modifier: of each type the one that is ready again soonest, since
    there may be thousands, alike in all that is asked of them."""
    planned = next(one for one in setup.lights if one.plan.name == light)
    booking = shoot_recipe.shoot.booking
    kind = "strobe" if planned.plan.source == "strobe" else "continuous"
    busy = {head.tag for other in setup.lights for head in other.heads}
    adapters = [planned.adapter.spec] if planned.adapter else []
    free = free_units(use_of(booking), kinds=(kind,), ignoring=(booking.pk,)).exclude(tag__in=busy)
    for unit in free.order_by("gear_type_id", "turnaround_min", "tag").distinct("gear_type_id"):
        seen = _seen(unit)
        modifier = planned.modifier
        if modifier is None or mount_fit(seen.spec.mount, modifier.spec.mount, adapters).fits:
            yield seen


def _seen(unit: Unit) -> UnitSeen:
    return UnitSeen(
        tag=unit.tag,
        type_slug=unit.gear_type.slug,
        type_name=str(unit.gear_type),
        spec=unit.gear_type.sheet,
        health=unit.health,
        channel=unit.radio_channel,
    )


def _swap_remedy(light: str, one: Substitute) -> Remedy:
    costs = []
    if one.mass_kg:
        costs.append(f"{one.mass_kg:+.1f} kg on the stand".replace("-", "−"))
    if one.unit.spec.supply == "mains":
        costs.append("it runs on mains")
    elif one.unit.spec.battery_fit:
        costs.append(f"it takes a {one.unit.spec.battery_fit} battery")
    if one.estimated:
        costs.append("its output is only estimated")
    return Remedy(
        f"Use {one.unit.tag} ({one.unit.type_name}) for {light}: it is free, and would stand at "
        f"{power_range.setting_words(min(one.wanted_stops, 0.0))} with {one.margin_stops:.1f} stops to spare.",
        action="swap_unit",
        arguments=(("light", light), ("job", Job.HEAD.value), ("number", "1"), ("unit", one.unit.tag)),
        costs="; ".join(costs),
    )


def _camera_remedy(setup: Setup, change: CameraChange) -> Remedy:
    before = setup.look.camera
    said = [
        f"{'ISO' if name == 'iso' else name} {was} → {now}"
        for (name, now), was in zip(
            change.changed, (before.aperture, before.shutter, before.iso), strict=True
        )
        if was != now
    ]
    costs = "less depth of field" if change.gain_stops > 0 else "more depth of field"
    if change.by == "speed":
        costs = "more noise" if change.gain_stops > 0 else "less noise"
    if not change.gain_stops:
        costs = "the flash stays as it is"
    ambient = change.gain_stops - change.shorter_stops
    return Remedy(
        f"Set the camera otherwise: {', '.join(said)}. Every zone then lies inside its target.",
        action="change_camera",
        arguments=change.changed,
        costs=f"{costs}; ambient {ambient:+.1f} stops, flash {change.gain_stops:+.1f}".replace("-", "−"),
    )
