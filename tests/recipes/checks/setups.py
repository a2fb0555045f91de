"""Builders of pure setups: each makes one thing with plain figures, and lets a test name what matters to it.

The figures are our own, of gear that does not exist. Predictions can be made up too, so that a test of one check does
not depend on how the light was computed.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from gear.specs import parse_spec
from recipes.checks.prediction import LightSetting, Prediction, ZonePlacement
from recipes.checks.setup import AssignedLight, BatteryState, PackedUnit, Room, Setup, Unit
from recipes.look import Light, Look, parse_look

__all__ = [
    "STROBE",
    "a_battery",
    "a_board",
    "a_boom",
    "a_camera",
    "a_case",
    "a_lens",
    "a_light",
    "a_look",
    "a_mains_strobe",
    "a_modifier",
    "a_panel",
    "a_plan",
    "a_prediction",
    "a_room",
    "a_setting",
    "a_setup",
    "a_stand",
    "a_strobe",
    "a_trigger",
    "a_unit",
    "a_weight",
    "a_zone",
    "packed",
]

STROBE: dict[str, Any] = {
    "kind": "strobe",
    "energy_ws": 500,
    "lowest_setting_stops": -6,
    "output": [
        {"setting_stops": 0, "f_number_iso100": 45.0},
        {"setting_stops": -6, "f_number_iso100": 5.625},
    ],
    "durations": [
        {"setting_stops": 0, "t01_s": 1 / 400},
        {"setting_stops": -2, "t01_s": 1 / 1600},
        {"setting_stops": -6, "t01_s": 1 / 12800},
    ],
    "recycle": [
        {"setting_stops": 0, "ready_s": 1.2, "full_s": 1.6},
        {"setting_stops": -2, "ready_s": 0.3, "full_s": 0.4},
        {"setting_stops": -6, "ready_s": 0.1, "full_s": 0.1},
    ],
    "colour": [{"setting_stops": 0, "cct_k": 5500}, {"setting_stops": -6, "cct_k": 5500}],
    "thermal": [{"flashes": 60, "minutes": 5}],
    "supply": "battery",
    "battery_fit": "rail-48",
    "mount": "bayonet-four",
    "radio": ["northlight"],
    "mass_kg": 3.0,
    "high_speed_sync": True,
    "high_speed_sync_loss_stops": 0.5,
}


def a_unit(kind: str, tag: str = "", **spec: Any) -> Unit[Any]:
    """A unit of a kind with the figures of its sheet; everything of the same kind and figures is one gear type."""
    state = {
        name: spec.pop(name)
        for name in (
            "fit_for_use",
            "why_not",
            "promised",
            "clash",
            "inspection_due",
            "health",
            "case_tag",
            "channel",
        )
        if name in spec
    }
    type_slug = spec.pop("type_slug", kind)
    tag = tag or f"{kind[:2].upper()}-1"
    return Unit(tag, type_slug, f"Plain {kind}", parse_spec({"kind": kind, **spec}), **state)


def a_strobe(tag: str = "ST-1", **changes: Any) -> Unit[Any]:
    """A battery strobe of 500 Ws and 3 kg that burns 1/400 s at full power."""
    return a_unit("strobe", tag, **{k: v for k, v in {**STROBE, **changes}.items() if k != "kind"})


def a_mains_strobe(tag: str = "MS-1", **changes: Any) -> Unit[Any]:
    """The same on the mains: 1000 VA at the peak, 20 VA when it stands ready."""
    sheet = {"supply": "mains", "battery_fit": None, "mains": {"peak_va": 1000, "idle_va": 20}, **changes}
    return a_strobe(tag, **sheet)


def a_panel(tag: str = "PA-1", **changes: Any) -> Unit[Any]:
    """A burning panel of 100 W on the mains that does not flicker."""
    sheet = {
        "flux_lm": 10000,
        "power_w": 100,
        "mains": {"peak_va": 110},
        "mount": "panel",
        "mass_kg": 4.0,
        "cct_min_k": 3000,
        "cct_max_k": 6000,
    }
    return a_unit("continuous", tag, **{**sheet, **changes})


def a_camera(tag: str = "CA-1", **changes: Any) -> Unit[Any]:
    """A body of 36 x 24 mm with a curtain travel of 3 ms and a marked sync time of 1/200."""
    sheet = {
        "sensor_width_mm": 36.0,
        "sensor_height_mm": 24.0,
        "pixels_wide": 6000,
        "sync_speed_s": 0.005,
        "curtain_travel_s": 0.003,
        "lens_mount": "ring-48",
        "mass_kg": 0.7,
    }
    return a_unit("camera", tag, **{**sheet, **changes})


def a_lens(tag: str = "LE-1", **changes: Any) -> Unit[Any]:
    """An 85 mm that focuses from 0.8 m on."""
    sheet = {
        "focal_min_mm": 85,
        "focal_max_mm": 85,
        "widest_f_number": 1.8,
        "closest_focus_m": 0.8,
        "mount": "ring-48",
        "mass_kg": 0.5,
    }
    return a_unit("lens", tag, **{**sheet, **changes})


def a_trigger(tag: str = "TR-1", **changes: Any) -> Unit[Any]:
    """A trigger without delay, on the radio of the strobes."""
    return a_unit(
        "trigger",
        tag,
        **{"radio": ["northlight"], "channels": 4, "high_speed_sync": True, "mass_kg": 0.1, **changes},
    )


def a_stand(tag: str = "SD-1", **changes: Any) -> Unit[Any]:
    """A stand of 4 kg on three legs of 0.5 m, 1 to 3 m high, that carries 10 kg."""
    sheet = {
        "min_height_m": 1.0,
        "max_height_m": 3.0,
        "foot_radius_m": 0.5,
        "max_load_kg": 10.0,
        "mass_kg": 4.0,
    }
    return a_unit("stand", tag, **{**sheet, **changes})


def a_boom(tag: str = "BO-1", **changes: Any) -> Unit[Any]:
    """A boom of 2 kg and 2.1 m that reaches 0.7 to 1.4 m, its counterweight 0.7 m behind the pivot."""
    sheet = {
        "min_reach_m": 0.7,
        "max_reach_m": 1.4,
        "length_m": 2.1,
        "max_load_kg": 6.0,
        "counterweight_arm_m": 0.7,
        "mass_kg": 2.0,
    }
    return a_unit("boom", tag, **{**sheet, **changes})


def a_weight(mass_kg: float, tag: str = "WE-1") -> Unit[Any]:
    """A bag or a counterweight."""
    return a_unit("weight", tag, mass_kg=mass_kg)


def a_modifier(tag: str = "MO-1", **changes: Any) -> Unit[Any]:
    """A softbox of 0.6 x 0.9 m and 1 kg."""
    sheet = {
        "shape": "rectangle",
        "width_m": 0.6,
        "height_m": 0.9,
        "efficiency": 0.5,
        "mount": "bayonet-four",
        "mass_kg": 1.0,
    }
    return a_unit("modifier", tag, **{**sheet, **changes})


def a_board(tag: str = "BD-1", **changes: Any) -> Unit[Any]:
    """A white board of 1 x 2 m and 3 kg."""
    sheet = {"width_m": 1.0, "height_m": 2.0, "reflectance": 0.85, "mass_kg": 3.0}
    return a_unit("board", tag, **{**sheet, **changes})


def a_battery(tag: str = "BA-1", temperature_c: float | None = 20.0, **changes: Any) -> BatteryState:
    """A lithium-ion battery of 100 Wh that lets 90 % out and charges in 2 hours."""
    sheet = {
        "fit": "rail-48",
        "capacity_wh": 100,
        "usable_fraction": 0.9,
        "charge_hours": 2.0,
        "mass_kg": 1.0,
        "health": 1.0,
    }
    return BatteryState(a_unit("battery", tag, **{**sheet, **changes}), temperature_c)


def a_case(tag: str = "CS-1", **changes: Any) -> Unit[Any]:
    """A case of 6 kg that takes 30 kg."""
    return a_unit("case", tag, **{"mass_kg": 6.0, "max_load_kg": 30.0, **changes})


def a_plan(name: str = "Key", **changes: Any) -> dict[str, Any]:
    """A light of a recipe, 2 m high and 1.5 m from the mark."""
    return {"name": name, "role": "key", "bearing_deg": 40, "distance_m": 1.5, "height_m": 2.0, **changes}


def a_look(*plans: dict[str, Any], **changes: Any) -> Look:
    """A face lit at f/5.6, 1/125, ISO 100, from 3 m with 85 mm."""
    camera = {"aperture": "f/5.6", "shutter": "1/125", "iso": "100", **changes.pop("camera", {})}
    document: dict[str, Any] = {
        "title": "A face",
        "camera": camera,
        "zones": [{"name": "face", "target": {"placement_stops": 0.0, "tolerance_stops": 0.3}}],
        "ambient": [{"zone": "face", "lux": 0.0}],
        "lights": list(plans) or [a_plan()],
        **changes,
    }
    return parse_look(document)


def a_light(plan: Light, *heads: Unit[Any], **more: Any) -> AssignedLight:
    """A light of the recipe with its units."""
    return AssignedLight(plan, heads, **more)


def a_setup(
    look: Look | None = None,
    *,
    heads: tuple[Unit[Any], ...] | None = None,
    units: dict[str, Any] | None = None,
    **more: Any,
) -> Setup:
    """A setup whose first light has these heads (a strobe) and units; body, lens and trigger are there."""
    look = look or a_look()
    heads = (a_strobe(),) if heads is None else heads
    lights = tuple(
        a_light(plan, *(heads if index == 0 else ()), **(units or {} if index == 0 else {}))
        for index, plan in enumerate(look.lights)
    )
    base: dict[str, Any] = {"camera": a_camera(), "lens": a_lens(), "trigger": a_trigger(), "lights": lights}
    return Setup(look, **{**base, **more})


def a_room(**changes: Any) -> Room:
    """A room of 6 x 8 m and 3 m height in the middle of France."""
    return replace(Room("Hall", 6.0, 8.0, 3.0, (3.0, 3.0), 0.5, 0.2, 0.7, country="FR"), **changes)


def a_setting(light: str = "Key", setting_stops: float | None = 0.0, **changes: Any) -> LightSetting:
    """How a light will be set."""
    return replace(
        LightSetting(
            light=light,
            source="strobe",
            wanted_stops=setting_stops,
            setting_stops=setting_stops,
            lowest_stops=-6.0,
            step_stops=0.1,
            fixed=False,
            decided_by="a test",
            zone="face",
            full_placement=0.0,
            spread_stops=0.1,
            estimated=False,
            missing="" if setting_stops is not None else "a head",
        ),
        **changes,
    )


def a_zone(zone: str = "face", placement: float | None = 0.0, **changes: Any) -> ZonePlacement:
    """Where a zone will lie: all of it flash from the key, unless told otherwise."""
    return replace(
        ZonePlacement(
            zone=zone,
            reading="incident",
            target=0.0,
            tolerance=0.3,
            stays_dark=False,
            placement=placement,
            spread_stops=0.1,
            ambient_placement=None,
            ambient_share=0.0,
            flash_share=1.0,
            continuous_share=0.0,
            light_shares=(("Key", 1.0),),
            estimated=False,
            missing="" if placement is not None else "a meter reading",
        ),
        **changes,
    )


def a_prediction(*settings: LightSetting, zones: tuple[ZonePlacement, ...] | None = None) -> Prediction:
    """A made-up prediction: the key at full power, the face on its target."""
    return Prediction((a_zone(),) if zones is None else zones, settings or (a_setting(),))


def packed(*units: Unit[Any]) -> tuple[PackedUnit, ...]:
    """Units on the packing list without another job."""
    return tuple(PackedUnit(unit, "packed") for unit in units)
