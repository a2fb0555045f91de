"""Does everything that a unit cannot work without come along?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from gear.specs import (
    AdapterSpec,
    BatterySpec,
    CameraSpec,
    ChargerSpec,
    ContinuousSpec,
    ModifierSpec,
    ReceiverSpec,
    SpecSheet,
    StrobeSpec,
    TriggerSpec,
    kind_label,
)
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, Setup, Unit
from recipes.rig.mounts import mount_fit
from recipes.rig.radio import common_systems

__all__ = ["EXPLANATION", "check"]

EXPLANATION = Explanation(
    name="companions",
    family="packing",
    title="Companions on the list",
    question="Battery, charger, trigger, receiver, stand, adapter: is what each unit needs on the packing list too?",
    formula=("needed = one for each unit that takes it;  margin = on the list − needed",),
    symbols=(("fit", "what a battery, a mount or a spigot must match, by its name on the sheets"),),
    assumes=(
        "one battery of its fit in each unit, and one spare of each fit: common practice, no source",
        "a unit's sheet may name further kinds that it needs",
    ),
    source=("the units' spec sheets; common practice, no source",),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a missing companion, and one when nothing is missing."""
    found = [
        *_batteries(setup),
        *_triggering(setup),
        *_standing(setup),
        *_mounting(setup),
        *_spigots(setup),
        *_named(setup),
    ]
    yield from found
    if not found:
        yield Finding(
            check=EXPLANATION.name,
            status="ok",
            about="packing list",
            sentence=f"All {len(setup.units)} units have what they need on the list.",
        )


def _missing(status: Status, about: str, sentence: str, remedy: str, have: int = 0, need: int = 1) -> Finding:
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=about,
        sentence=sentence,
        value=float(have),
        limit=float(need),
        margin=float(have - need) if status == "gap" else None,
        unit="pieces",
        remedies=(Remedy(remedy, action="assign"),),
    )


def _sheets(setup: Setup) -> list[SpecSheet]:
    return [unit.spec for unit in setup.units]


def _batteries(setup: Setup) -> Iterator[Finding]:
    takes: Counter[str] = Counter()
    has: Counter[str] = Counter()
    chargers: set[str] = set()
    for sheet in _sheets(setup):
        if (
            isinstance(sheet, (StrobeSpec, ContinuousSpec))
            and sheet.supply == "battery"
            and sheet.battery_fit
        ) or (isinstance(sheet, (CameraSpec, TriggerSpec, ReceiverSpec)) and sheet.battery_fit):
            takes[sheet.battery_fit] += 1
        elif isinstance(sheet, BatterySpec):
            has[sheet.fit] += 1
        elif isinstance(sheet, ChargerSpec):
            chargers.update(sheet.fits)
    for fit, need in sorted(takes.items()):
        if has[fit] < need:
            yield _missing(
                "gap",
                f"batteries {fit}",
                f"{need} units take a {fit} battery and {has[fit]} are on the list.",
                f"Add {need - has[fit]} {fit} batteries.",
                has[fit],
                need,
            )
        elif has[fit] == need:
            yield _missing(
                "tight",
                f"spare {fit}",
                f"{need} units take a {fit} battery and there is no spare.",
                f"Add a spare {fit} battery.",
                has[fit],
                need + 1,
            )
        if has[fit] and fit not in chargers:
            yield _missing(
                "tight",
                f"charger {fit}",
                f"No charger for {fit} batteries is on the list.",
                f"Add a charger for {fit}, unless the store charges them.",
            )


def _triggering(setup: Setup) -> Iterator[Finding]:
    heads = [
        (light, head) for light in setup.lights for head in light.heads if isinstance(head.spec, StrobeSpec)
    ]
    if not heads:
        return
    if setup.trigger is None:
        yield _missing(
            "gap", "trigger", f"{len(heads)} strobes and no trigger on the camera.", "Add a trigger."
        )
        return
    speaks = setup.trigger.spec.radio
    for light, head in heads:
        ears = [*getattr(head.spec, "radio", ()), *(light.receiver.spec.radio if light.receiver else ())]
        if not common_systems(speaks, ears):
            yield _missing(
                "gap",
                head.tag,
                f"{head.tag} of {light.plan.name} does not hear {setup.trigger.tag}: it listens to "
                f"{', '.join(ears) or 'no radio'}, the trigger speaks {', '.join(speaks)}.",
                f"Add a receiver for {speaks[0]} to {light.plan.name}, or a sync lead.",
            )


def _standing(setup: Setup) -> Iterator[Finding]:
    for light in setup.lights:
        if light.heads and light.stand is None:
            yield _missing(
                "gap", light.plan.name, f"{light.plan.name} has a head and no stand.", "Assign a stand."
            )
        if light.plan.on_boom and light.boom is None:
            yield _missing(
                "gap",
                light.plan.name,
                f"{light.plan.name} hangs from a boom and has none.",
                "Assign a boom.",
            )
        if light.board is not None and light.board_stand is None:
            yield _missing(
                "tight",
                light.board.tag,
                f"{light.board.tag} has no stand: somebody holds it, or it leans on a wall.",
                "Assign a stand for the board.",
            )
    for panel in setup.panels:
        if panel.unit is None:
            yield _missing(
                "gap",
                panel.plan.name,
                f"The recipe has a {panel.plan.kind} {panel.plan.name}, and none is assigned.",
                f"Assign a {panel.plan.kind}.",
            )
        elif panel.stand is None:
            yield _missing(
                "tight",
                panel.plan.name,
                f"{panel.unit.tag} ({panel.plan.name}) has no stand: somebody holds it, or it hangs.",
                f"Assign a stand for {panel.plan.name}.",
            )


def _mounting(setup: Setup) -> Iterator[Finding]:
    for light in setup.lights:
        yield from _mounting_of(light)


def _spigots(setup: Setup) -> Iterator[Finding]:
    """A head, or its boom, must fit the top of the stand: by the names of the spigots, or with a spigot adapter."""
    adapters = [
        {unit.spec.head_side, unit.spec.modifier_side}
        for unit in setup.units
        if isinstance(unit.spec, AdapterSpec)
    ]
    for light in setup.lights:
        if light.stand is None:
            continue
        joints: list[tuple[Unit[Any], Unit[Any]]] = [
            (head, light.boom or light.stand) for head in light.heads
        ]
        joints += [(light.boom, light.stand)] if light.boom is not None else []
        for upper, lower in joints:
            sizes = {upper.spec.spigot, lower.spec.spigot}
            if len(sizes) > 1 and sizes not in adapters:
                yield _missing(
                    "gap",
                    upper.tag,
                    f"{upper.tag} of {light.plan.name} goes on a spigot of {upper.spec.spigot}; {lower.tag} has "
                    f"{lower.spec.spigot}.",
                    f"Add a spigot adapter from {lower.spec.spigot} to {upper.spec.spigot}, or another stand.",
                )


def _mounting_of(light: AssignedLight) -> Iterator[Finding]:
    if light.modifier is None:
        return
    modifier: ModifierSpec = light.modifier.spec
    adapters: list[AdapterSpec] = [light.adapter.spec] if light.adapter else []
    for head in light.heads:
        fit = mount_fit(head.spec.mount, modifier.mount, adapters)
        if not fit.fits:
            yield _missing(
                "gap",
                light.plan.name,
                f"{light.modifier.tag} ({modifier.mount}) does not go on {head.tag} ({head.spec.mount}), "
                "and no adapter between the two is assigned.",
                f"Assign an adapter from {head.spec.mount} to {modifier.mount}, or another modifier.",
            )
    if len(light.heads) > modifier.heads:
        yield _missing(
            "gap",
            light.plan.name,
            f"{light.modifier.tag} takes {modifier.heads} heads, {len(light.heads)} are assigned.",
            "Assign fewer heads or another modifier.",
            modifier.heads,
            len(light.heads),
        )


def _named(setup: Setup) -> Iterator[Finding]:
    present = {getattr(sheet, "kind", "") for sheet in _sheets(setup)}
    for unit in setup.units:
        for kind in unit.spec.companions:
            if kind not in present:
                yield _missing(
                    "gap",
                    unit.tag,
                    f"{unit.tag} ({unit.type_name}) needs a {kind_label(kind).lower() if kind in _KNOWN else kind}.",
                    f"Add one to the shoot of {unit.tag}.",
                )
    for kind in setup.look.extras:
        if kind not in present:
            word = kind_label(kind).lower() if kind in _KNOWN else kind
            yield _missing(
                "tight", word, f"The recipe asks for a {word}; none is on the list.", f"Add a {word}."
            )


_KNOWN = frozenset(
    "strobe continuous modifier board scrim battery charger trigger receiver camera lens meter stand boom weight gel "
    "nd cable distribution generator adapter case".split()
)
