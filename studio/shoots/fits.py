"""Does this gear fit the job beside what is chosen already, and how near is it to what the look wishes?

Pure. It orders a list for a person to choose from; whether the look can be made is what the checks answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import log2, pi

from gear.specs import (
    AdapterSpec,
    BatterySpec,
    BoardSpec,
    BoomSpec,
    CameraSpec,
    ContinuousSpec,
    GelSpec,
    LensSpec,
    ModifierSpec,
    NdSpec,
    ReceiverSpec,
    ScrimSpec,
    SpecSheet,
    StandSpec,
    StrobeSpec,
    TriggerSpec,
)
from recipes.look import Light, Look, Panel
from studio.shoots.jobs import Slot

__all__ = ["distance_from_wish", "misfits"]

Assigned = Mapping[Slot, SpecSheet]


def misfits(slot: Slot, sheet: SpecSheet, look: Look, assigned: Assigned) -> tuple[str, ...]:
    """Why this sheet would not fit there, each as a short clause; empty when nothing speaks against it."""
    return tuple(_misfits(slot, sheet, look, assigned))


def distance_from_wish(slot: Slot, sheet: SpecSheet, look: Look) -> float:
    """How far from what the look wishes, in doublings (log2) or shares of it; 0 is exactly that or no wish at all."""
    light, panel = _light(look, slot.light), _panel(look, slot.light)
    match sheet:
        case LensSpec():
            wished = look.camera.focal_length_mm
            nearest = min(max(wished, sheet.focal_min_mm), sheet.focal_max_mm)
            return abs(log2(nearest / wished)) + max(
                0.0, 2 * log2(sheet.widest_f_number / look.camera.f_number)
            )
        case NdSpec():
            return abs(sheet.stops - look.camera.nd_stops)
        case ModifierSpec() if light and light.modifier:
            plan = light.modifier
            angular = plan.shape == "rectangle"
            area = plan.width_m * (plan.height_m or plan.width_m) * (1.0 if angular else pi / 4.0)
            # An octagon goes for a disc: nobody tells their light apart.
            other = (sheet.shape == "rectangle") != angular
            return abs(log2(sheet.area_m2 / area)) / 2 + (0.5 if other else 0.0)
        case BoardSpec() | ScrimSpec() if panel:
            area = panel.width_m * panel.height_of_panel_m
            off = abs(log2(sheet.width_m * sheet.height_m / area)) / 2
            if isinstance(sheet, ScrimSpec) and panel.transmittance:
                off += abs(log2(sheet.transmittance / panel.transmittance))
            return off
        case StandSpec() if panel:
            return max(0.0, sheet.max_height_m / max(_panel_top_m(panel), 0.5) - 1)
        case BoardSpec() if light and light.bounce:
            area = light.bounce.width_m * light.bounce.height_of_board_m
            return abs(log2(sheet.width_m * sheet.height_m / area)) / 2
        case ScrimSpec() if light and light.scrim_transmittance:
            return abs(log2(sheet.transmittance / light.scrim_transmittance))
        case GelSpec() if light and len(light.gels) >= slot.number:
            return abs(sheet.mired_shift - light.gels[slot.number - 1].mired_shift) / 20
        case StandSpec() if light:
            return max(0.0, sheet.max_height_m / max(_stand_height_m(slot, light), 0.5) - 1)
        case _:
            return 0.0


def _misfits(slot: Slot, sheet: SpecSheet, look: Look, assigned: Assigned) -> Iterator[str]:
    light = _light(look, slot.light)
    head = assigned.get(Slot(slot.light, "head", slot.number)) or assigned.get(Slot(slot.light, "head"))
    match sheet:
        case CameraSpec():
            yield from _mount(assigned.get(Slot("", "lens")), sheet)
        case LensSpec():
            yield from _mount(sheet, assigned.get(Slot("", "camera")))
            if not sheet.focal_min_mm <= look.camera.focal_length_mm <= sheet.focal_max_mm:
                yield f"does not reach {look.camera.focal_length_mm:g} mm"
            if look.camera.f_number < sheet.widest_f_number * 0.97:
                yield f"opens to f/{sheet.widest_f_number:g} only"
        case TriggerSpec():
            deaf = sorted(
                other.light
                for other, worn in assigned.items()
                if other.job == "head"
                and isinstance(worn, StrobeSpec)
                and not set(worn.radio) & set(sheet.radio)
            )
            if deaf:
                yield f"{', '.join(dict.fromkeys(deaf))} needs a receiver"
        case StrobeSpec() | ContinuousSpec():
            if light and sheet.kind != light.source:
                yield f"the look asks for a {light.source} light"
            trigger = assigned.get(Slot("", "trigger"))
            if (
                isinstance(sheet, StrobeSpec)
                and isinstance(trigger, TriggerSpec)
                and not set(sheet.radio) & set(trigger.radio)
            ):
                yield "needs a receiver for this trigger"
            modifier = assigned.get(Slot(slot.light, "modifier"))
            if isinstance(modifier, ModifierSpec) and modifier.mount != sheet.mount:
                yield f"needs an adapter {sheet.mount} to {modifier.mount}"
        case ModifierSpec():
            if isinstance(head, StrobeSpec | ContinuousSpec) and head.mount != sheet.mount:
                yield f"needs an adapter {head.mount} to {sheet.mount}"
            if light and light.heads > sheet.heads:
                yield f"takes {sheet.heads} head{'s' if sheet.heads > 1 else ''}, the look has {light.heads}"
        case AdapterSpec():
            modifier = assigned.get(Slot(slot.light, "modifier"))
            if isinstance(head, StrobeSpec | ContinuousSpec) and head.mount != sheet.head_side:
                yield f"does not go on {head.mount}"
            if isinstance(modifier, ModifierSpec) and modifier.mount != sheet.modifier_side:
                yield f"does not take {modifier.mount}"
        case BatterySpec():
            if isinstance(head, StrobeSpec | ContinuousSpec) and head.battery_fit != sheet.fit:
                yield f"does not fit {head.battery_fit}" if head.battery_fit else "the head runs on mains"
        case ReceiverSpec():
            trigger = assigned.get(Slot("", "trigger"))
            if isinstance(trigger, TriggerSpec) and not set(trigger.radio) & set(sheet.radio):
                yield f"does not speak {' or '.join(trigger.radio)}"
        case BoardSpec():
            panel = _panel(look, slot.light)
            if panel is not None:
                wished: str = "black" if panel.kind == "flag" else panel.surface
            else:
                wished = light.bounce.surface if light and light.bounce else sheet.surface
            if wished not in (sheet.surface, sheet.back_surface):
                yield f"is {sheet.surface}, the look asks for {wished}"
        case StandSpec() if panel := _panel(look, slot.light):
            yield from _panel_stand(sheet, panel, assigned.get(Slot(slot.light, "panel")))
        case StandSpec():
            yield from _stand(slot, sheet, light, assigned)
        case BoomSpec():
            if (load := _load_kg(slot.light, assigned)) > sheet.max_load_kg:
                yield f"carries {sheet.max_load_kg:g} kg, the head weighs {load:.1f} kg"
        case _:
            return


def _mount(lens: SpecSheet | None, camera: SpecSheet | None) -> Iterator[str]:
    if isinstance(lens, LensSpec) and isinstance(camera, CameraSpec) and lens.mount != camera.lens_mount:
        yield f"lens mount {lens.mount} on a camera with {camera.lens_mount}"


def _stand(slot: Slot, sheet: StandSpec, light: Light | None, assigned: Assigned) -> Iterator[str]:
    if light is None:
        return
    height = _stand_height_m(slot, light)
    if sheet.max_height_m < height and not light.on_boom:
        yield f"reaches {sheet.max_height_m:g} m, the look asks for {height:.1f} m"
    load = _load_kg(slot.light, assigned) if slot.job == "stand" else 0.0
    if load > sheet.max_load_kg:
        yield f"carries {sheet.max_load_kg:g} kg, the head weighs {load:.1f} kg"


def _panel_stand(sheet: StandSpec, panel: Panel, held: SpecSheet | None) -> Iterator[str]:
    if sheet.max_height_m < panel.height_m:
        yield f"reaches {sheet.max_height_m:g} m, the middle of {panel.name} is at {panel.height_m:.1f} m"
    if held is not None and (held.mass_kg or 0.0) > sheet.max_load_kg:
        yield f"carries {sheet.max_load_kg:g} kg, {panel.name} weighs {held.mass_kg:.1f} kg"


def _panel_top_m(panel: Panel) -> float:
    return panel.height_m + panel.height_of_panel_m / 2


def _stand_height_m(slot: Slot, light: Light) -> float:
    if slot.job == "board-stand" and light.bounce:
        return light.bounce.height_m + light.bounce.height_of_board_m / 2
    return light.height_m


def _load_kg(light: str, assigned: Assigned) -> float:
    return sum(
        sheet.mass_kg or 0.0
        for slot, sheet in assigned.items()
        if slot.light == light and slot.job in ("head", "modifier", "adapter", "battery", "boom")
    )


def _panel(look: Look, name: str) -> Panel | None:
    return next((panel for panel in look.panels if panel.name == name), None)


def _light(look: Look, name: str) -> Light | None:
    return next((light for light in look.lights if light.name == name), None)
