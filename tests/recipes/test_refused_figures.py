"""Whoever hands a figure that cannot be to the calculation is told which one it is.

Names carry their units, so one list of plausible figures serves every public function; a parameter that is new to the
list fails here until somebody says what would be plausible for it.
"""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

import recipes.rig
from recipes.rig import circuits, place_rules, stand
from recipes.rig.air_travel import CarriedBattery
from recipes.rig.boom import Boom
from recipes.rig.cable import CableRun
from recipes.rig.charging import ChargeJob, Charger
from recipes.rig.radio import ChannelUse

LOADS = [circuits.Load("pack", 300.0, 900.0)]

PLAUSIBLE: dict[str, Any] = {
    "above_head_m": 0.4,
    "adapters": (),
    "air_density": 1.225,
    "apparent_va": 600.0,
    "area_m2": 0.8,
    "arm_m": 0.3,
    "attended_h": 6.0,
    "available_per_battery": [300],
    "available_wh": 90.0,
    "average_va": 300.0,
    "bag_bearing_deg": 0.0,
    "bag_distance_m": 0.0,
    "bag_kg": 8.0,
    "batteries": [],
    "beam_m": 2.8,
    "bearing_deg": 30.0,
    "boom": Boom(3.0, 1.4, 2.0, 2.1, 0.7),
    "boom_kg": 2.0,
    "boom_length_m": 2.1,
    "breaker": "B",
    "capacitance_f": 1e-3,
    "capacity_ah": 6.8,
    "capacity_wh": 98.0,
    "ceiling_m": 3.2,
    "channel": 5,
    "channels": 16,
    "charged": 0.4,
    "chargers": [Charger("C-1", ("rail-48",))],
    "chemistry": "lithium-ion",
    "clear_of_the_ground": True,
    "clearance_m": 0.2,
    "cold_factor": 0.8,
    "conductor_class": 5,
    "contents_kg": [4.0],
    "continuous_a": 8.0,
    "country": "GB",
    "current_a": 10.0,
    "depth_m": 0.3,
    "derating": 0.1,
    "distance_m": 0.5,
    "drag_coefficient": 1.2,
    "efficiency": 0.8,
    "empty_kg": 4.5,
    "ends": datetime(2026, 5, 4, 12, tzinfo=UTC),
    "energy_ws": 500.0,
    "factor": 1.25,
    "feet": stand.Feet(0.55),
    "first": 1,
    "first_leg_deg": 0.0,
    "fit": "rail-48",
    "fits": ("rail-48",),
    "flash_energy_ws": 500.0,
    "flashes": 200.0,
    "foot_radius_m": 0.55,
    "force_n": 20.0,
    "friction": 0.4,
    "full_h": 2.5,
    "gauge": 12.0,
    "gust_factor": 1.4,
    "hazard": None,
    "head_arm_m": 1.4,
    "head_height_m": 2.2,
    "head_kg": 3.0,
    "head_mount": "bayonet-four",
    "heads": 2,
    "health": 0.9,
    "height_m": 2.0,
    "highest_m": 3.0,
    "hours": 4.0,
    "hours_h": 10.0,
    "inrush_a": 40.0,
    "interval_s": 2.0,
    "job_wh": 80.0,
    "lamp_efficiency": 0.9,
    "lamp_h": 2.0,
    "lamp_share": 0.5,
    "lamp_w": 150.0,
    "legs": 3,
    "length_m": 25.0,
    "limit": place_rules.drop_limits("GB")[0],
    "limit_kg": 23.0,
    "limit_w": 300.0,
    "limiter_ohm": 2.0,
    "line_voltage_v": 400.0,
    "load_power_factor": 0.7,
    "load_w": 60.0,
    "loading": 0.8,
    "loads": LOADS,
    "loop_ohm": 0.5,
    "lowest_m": 0.9,
    "marked_wh": 98.0,
    "mass_kg": 6.0,
    "masses": [stand.Mass(6.0)],
    "masses_kg": [3.0, 1.2],
    "millivolt_per_ampere_metre": 18.0,
    "modifier_height_m": 1.2,
    "modifier_mount": "three-claw",
    "moment_kg_m": 4.9,
    "name": "pack",
    "number": 5.0,
    "ohm_per_kft": 1.98,
    "ohm_per_km": 7.98,
    "one": "hum",
    "other": "blip two",
    "other_a": 2.0,
    "others": [],
    "ours": [],
    "peak_va": 900.0,
    "peak_voltage_v": 325.0,
    "phases": 1,
    "pivot_height_m": 2.0,
    "power_factor": 0.6,
    "power_w": 400.0,
    "pushes": [],
    "raised_deg": 20.0,
    "rate_hz": 5.0,
    "rated": 2000.0,
    "rated_a": 16.0,
    "rated_va": 2200.0,
    "rating_wh": 98.0,
    "ratio": 1.5,
    "rear_m": 0.7,
    "receiver": ["hum"],
    "recycle_s": 1.5,
    "reference_c": 20.0,
    "reserve": 0.1,
    "rig_kg": 8.0,
    "rule": place_rules.continuous_rule("US"),
    "runs": [CableRun(25.0, 2.5)],
    "safety_factor": 1.5,
    "section_mm2": 2.5,
    "slots": 2,
    "spare": True,
    "starts": datetime(2026, 5, 4, 9, tzinfo=UTC),
    "system": "hum",
    "tag": "B-1",
    "tank_l": 4.0,
    "temperature_c": 30.0,
    "tilt_deg": 20.0,
    "tolerance": 0.05,
    "travellers": 2,
    "trigger": ["hum"],
    "usable_each_wh": 70.0,
    "usable_fraction": 0.9,
    "use_l_per_h": 0.8,
    "voltage_v": 230.0,
    "wanted": 300,
    "wanted_m": 2.0,
    "weight_arm_m": 0.7,
    "weight_kg": 7.0,
    "whose": "ours",
    "wind_m_per_s": 4.0,
}

# Where a name means something else than elsewhere.
OF_ITS_OWN: dict[str, dict[str, Any]] = {
    "air_travel.count_margins": {"batteries": [CarriedBattery("B-1", 98.0, True)]},
    "charging.plan_charging": {"batteries": [ChargeJob("B-1", "rail-48", 2.0)]},
    "radio.free_channel": {"wanted": ChannelUse("hum", 5, "ours")},
    "battery.rating_wh": {"marked_wh": None},
}

NUMBER = {"N", "Numbers", "float", "float | None", "int"}

# Counts that only count: nothing is computed from them but a difference or a place in a list.
PLAIN_COUNTS = {"battery.flash_margin: wanted", "radio.free_channel: channels", "radio.free_channel: first"}

# A quantity of these units is never less than nothing.
NEVER_NEGATIVE = (
    "_kg",
    "_w",
    "_wh",
    "_ws",
    "_va",
    "_a",
    "_v",
    "_h",
    "_ah",
    "_mm2",
    "_m2",
    "_ohm",
    "_hz",
    "_n",
    "_l",
    "_f",
)


def public_acts() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Public functions, and records that check what they are made of."""
    for package in (recipes.rig,):
        for found in pkgutil.iter_modules(package.__path__):
            module = importlib.import_module(f"{package.__name__}.{found.name}")
            for name in module.__all__:
                act = getattr(module, name)
                if inspect.isfunction(act) or (
                    dataclasses.is_dataclass(act) and hasattr(act, "__post_init__")
                ):
                    yield f"{found.name}.{name}", act


def figures_of(acts: Iterator[tuple[str, Callable[..., Any]]]) -> Iterator[Any]:
    for name, act in acts:
        parameters = inspect.signature(act).parameters.values()
        own = OF_ITS_OWN.get(name, {})
        for parameter in parameters:
            label = f"{name}: {parameter.name}"
            if parameter.annotation in NUMBER and label not in PLAIN_COUNTS:
                given = {one.name: own.get(one.name, PLAUSIBLE[one.name]) for one in parameters}
                yield pytest.param(act, given, parameter.name, id=label)


FIGURES = list(figures_of(public_acts()))
BELOW_NOTHING = [figure for figure in FIGURES if figure.values[2].endswith(NEVER_NEGATIVE)]


@pytest.mark.parametrize(("act", "given", "figure"), FIGURES)
def test_what_is_plausible_is_taken(act, given, figure):
    act(**given)


@pytest.mark.parametrize(("act", "given", "figure"), FIGURES)
def test_what_is_not_a_number_is_refused_by_its_name(act, given, figure):
    with pytest.raises(ValueError, match=rf"^{figure}( of [\w-]+)? is nan"):
        act(**{**given, figure: float("nan")})


@pytest.mark.parametrize(("act", "given", "figure"), BELOW_NOTHING)
def test_less_than_nothing_is_refused_by_its_name(act, given, figure):
    with pytest.raises(ValueError, match=rf"^{figure}( of [\w-]+)? is -1; give"):
        act(**{**given, figure: -1})
