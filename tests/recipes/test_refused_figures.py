"""Whoever hands a figure that cannot be to the calculation is told which one it is.

Names carry their units, so one list of plausible figures serves every public function; a parameter that is new to the
list fails here until somebody says what would be plausible for it.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

import recipes.light
import recipes.rig
from recipes.light.apex import MeterProfile
from recipes.light.output_curve import SettingGrid
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
    "air_share": 0.1,
    "allowed_blur_mm": 0.03,
    "altitude_m": 50.0,
    "ambient": 1.0,
    "ambient_cd_m2": 100.0,
    "ambient_lux": 100.0,
    "ambient_over_flash_stops": -1.0,
    "angle_to_axis_deg": 90.0,
    "aperture_value": 5.0,
    "apparent_elevation_deg": 40.0,
    "apparent_va": 600.0,
    "area_m2": 0.8,
    "area_sr": 0.01,
    "arm_m": 0.3,
    "attended_h": 6.0,
    "available_m": 8.0,
    "available_per_battery": [300],
    "available_wh": 90.0,
    "average_va": 300.0,
    "axis": -1,
    "azimuth_deg": 180.0,
    "back_m": 3.4,
    "back_reflectance": 0.1,
    "bag_bearing_deg": 0.0,
    "bag_distance_m": 0.0,
    "bag_kg": 8.0,
    "batteries": [],
    "beam_angle_deg": 60.0,
    "beam_m": 2.8,
    "bearing_deg": 30.0,
    "behind_camera_m": 0.6,
    "behind_mark_m": 2.0,
    "blur_on_sensor_mm": 0.03,
    "boom": Boom(3.0, 1.4, 2.0, 2.1, 0.7, 7.0, 0.7),
    "boom_kg": 2.0,
    "boom_length_m": 2.1,
    "breaker": "B",
    "c_incident": 250.0,
    "c_lxs": 250.0,
    "camera_distance_m": 3.0,
    "capacitance_f": 1e-3,
    "capacity_ah": 6.8,
    "capacity_wh": 98.0,
    "cct_k": 5000.0,
    "ceiling_m": 3.2,
    "ceiling_reflectance": 0.7,
    "change_uv": 0.3,
    "channel": 5,
    "channels": 16,
    "charged": 0.4,
    "charger_w": 400.0,
    "chargers": [Charger("C-1", ("rail-48",))],
    "charging_w": 100.0,
    "chemistry": "lithium-ion",
    "clear_of_the_ground": True,
    "clearance_m": 0.2,
    "clip_placement_stops": 3.0,
    "coarser": 1.0,
    "coc_mm": 0.03,
    "code": 118.0,
    "cold_factor": 0.8,
    "conductor_class": 5,
    "contents_kg": [4.0],
    "continuous_a": 8.0,
    "country": "GB",
    "criterion": "t0.1",
    "current_a": 10.0,
    "curtain_travel_s": 0.003,
    "cut_over_decay": 1.0,
    "delta_t_s": 69.2,
    "density": 0.3,
    "depth_m": 0.3,
    "derating": 0.1,
    "diameter_m": 1.0,
    "diffuse_w_m2": 100.0,
    "direct_normal_w_m2": 700.0,
    "dirt_factor": 0.9,
    "distance_m": 0.5,
    "divisor": 1500.0,
    "drag_coefficient": 1.2,
    "duty": 0.5,
    "duv": 0.003,
    "eccentricity": 1.0,
    "efficacy_lm_per_w": 35.0,
    "efficiency": 0.8,
    "elevation_deg": 40.0,
    "emission": None,
    "emitter": None,
    "empty_kg": 4.5,
    "ends": datetime(2026, 5, 4, 12, tzinfo=UTC),
    "energy_fraction": 0.5,
    "energy_share": 0.5,
    "energy_ws": 500.0,
    "exponent": 1.0,
    "exposure_lxs": 0.1,
    "extraterrestrial_w_m2": 1361.0,
    "f_number": 5.6,
    "factor": 1.25,
    "feet": stand.Feet(0.55),
    "first": 1,
    "first_leg_deg": 0.0,
    "fit": "rail-48",
    "fits": ("rail-48",),
    "flare_lxs": 0.0015,
    "flash": 2.0,
    "flash_cds_m2": 1.0,
    "flash_energy_ws": 500.0,
    "flash_lxs": 1.0,
    "flash_ws": 100.0,
    "flashes": 200.0,
    "flashes_in_a_second": 2,
    "flicker_hz": 100.0,
    "floor_reflectance": 0.2,
    "flux_lm": 1000.0,
    "focal_mm": 85.0,
    "focus_m": 3.0,
    "foot_radius_m": 0.55,
    "force_n": 20.0,
    "frame_factor": 0.9,
    "frame_height_m": 2.0,
    "frame_m": 2.0,
    "frames": 60,
    "frames_per_second": 8.0,
    "friction": 0.4,
    "from_k": 3200.0,
    "front_m": 2.6,
    "full_charge_s": 1.6,
    "full_energy_ws": 500.0,
    "full_h": 2.5,
    "full_well_e": 50000.0,
    "gap_s": 1.0,
    "gauge": 12.0,
    "good_enough_mired": 10.0,
    "ground_reflectance": 0.2,
    "grid": SettingGrid(-6.0, 0.1),
    "guide_number": 45.0,
    "guide_number_ft": 148.0,
    "guide_number_m": 45.0,
    "gust_factor": 1.4,
    "half_angle_deg": 30.0,
    "hazard": None,
    "head_arm_m": 1.4,
    "head_height_m": 2.2,
    "head_kg": 3.0,
    "head_m": 2.2,
    "head_mount": "bayonet-four",
    "heads": 2,
    "health": 0.9,
    "height_m": 2.0,
    "high": 2.0,
    "highest_m": 3.0,
    "highest_nm": 780.0,
    "horizontal_lux": 10000.0,
    "hours": 4.0,
    "hours_h": 10.0,
    "illuminance": 500.0,
    "incidence_deg": 40.0,
    "inrush_a": 40.0,
    "intensity_cds": 5000.0,
    "interval_s": 2.0,
    "iso": 100.0,
    "job_wh": 80.0,
    "k": 12.5,
    "k_reflected": 12.5,
    "key_over_fill_stops": 2.0,
    "lamp_efficiency": 0.9,
    "lamp_h": 2.0,
    "lamp_share": 0.5,
    "lamp_w": 150.0,
    "latitude_deg": 50.0,
    "layers": 2,
    "least": 0.6,
    "legs": 3,
    "length_m": 25.0,
    "lift_stops": 1.0,
    "limit": place_rules.drop_limits("GB")[0],
    "limit_kg": 23.0,
    "limit_w": 300.0,
    "limiter_ohm": 2.0,
    "limits": [],
    "line_hz": 50.0,
    "line_voltage_v": 400.0,
    "linke_turbidity": 3.0,
    "load_power_factor": 0.7,
    "load_w": 60.0,
    "loading": 0.8,
    "loads": LOADS,
    "longest_s": 0.02,
    "longitude_deg": 8.0,
    "loop_ohm": 0.5,
    "loss_stops": 1.0,
    "low": 1.0,
    "lowest_m": 0.9,
    "lowest_nm": 380.0,
    "lowest_stops": -6.0,
    "luminance_cd_m2": 4000.0,
    "magnification": 0.03,
    "magnification_ratio": 0.03,
    "margin_stops": 0.5,
    "marked_wh": 98.0,
    "mass_kg": 6.0,
    "masses": [stand.Mass(6.0)],
    "masses_kg": [3.0, 1.2],
    "meter": MeterProfile(),
    "millivolt_per_ampere_metre": 18.0,
    "mired_shift": 130.0,
    "modifier_efficiency": 0.5,
    "modifier_height_m": 1.2,
    "modifier_mount": "three-claw",
    "modulation": 0.5,
    "moment_kg_m": 4.9,
    "most": 1.4,
    "name": "pack",
    "nd_stops": 1.0,
    "normal_transmittance": 0.8,
    "number": 5.0,
    "off_axis_deg": 10.0,
    "off_level": 0.1,
    "off_sun_deg": 30.0,
    "offset_m": 0.3,
    "ohm_per_kft": 1.98,
    "ohm_per_km": 7.98,
    "one": "hum",
    "open_s": 0.002,
    "order": 8,
    "other": "blip two",
    "other_a": 2.0,
    "others": [],
    "ours": [],
    "over_stops": 0.5,
    "pace_s": 2.0,
    "pane_azimuth_deg": 170.0,
    "panes": 2,
    "peak_va": 900.0,
    "peak_voltage_v": 325.0,
    "phases": 1,
    "pivot_height_m": 2.0,
    "pixel_pitch_mm": 0.006,
    "placement_stops": 1.0,
    "power_factor": 0.6,
    "power_w": 400.0,
    "precipitable_water_cm": 1.4,
    "pressure_hpa": 1013.0,
    "profile_deg": 38.6,
    "pushes": [],
    "q": 0.65,
    "radius_m": 0.5,
    "raised_deg": 20.0,
    "rate_hz": 5.0,
    "rated": 2000.0,
    "rated_a": 16.0,
    "rated_va": 2200.0,
    "rating_wh": 98.0,
    "ratio": 1.5,
    "rays_a_side": 4,
    "read_noise_e": 3.0,
    "reading": 100.0,
    "readout_s": 0.02,
    "rear_m": 0.7,
    "receiver": ["hum"],
    "receptor": "flat",
    "recycle_s": 1.5,
    "red_share": 0.9,
    "reference_c": 20.0,
    "reflectance": 0.18,
    "reserve": 0.1,
    "residual": 0.2,
    "rig_kg": 8.0,
    "rise_over_decay": 0.2,
    "roll_deg": 0.0,
    "room_north_deg": 30.0,
    "rule": place_rules.continuous_rule("US"),
    "runs": [CableRun(25.0, 2.5)],
    "safety_factor": 1.5,
    "seconds": 0.002,
    "section_mm2": 2.5,
    "sensor_distance_m": 3.0,
    "sensor_height_mm": 24.0,
    "sensor_mm": 36.0,
    "sensor_width_mm": 36.0,
    "setting_stops": -1.0,
    "share": 0.5,
    "share_of_light": 0.5,
    "share_of_white": 0.18,
    "shared_stops": 0.1,
    "shift_mired": 100.0,
    "shortest_s": 0.001,
    "shutter_s": 0.008,
    "sill_m": 0.9,
    "sky_type": 12,
    "slots": 2,
    "source_k": 3200.0,
    "spacing_m": 0.25,
    "spare": True,
    "speed": 100.0,
    "speed_m_per_s": 2.0,
    "speed_value": 5.0,
    "spread_stops": 0.2,
    "starts": datetime(2026, 5, 4, 9, tzinfo=UTC),
    "steady_va": 100.0,
    "step_s": 300.0,
    "step_stops": 0.1,
    "stops": 1.0,
    "stored_ws": 1000.0,
    "strobes_in_turn": 2,
    "sun_azimuth_deg": 180.0,
    "sun_elevation_deg": 40.0,
    "system": "hum",
    "t01_s": 0.002,
    "tag": "B-1",
    "tank_l": 4.0,
    "target_k": 5500.0,
    "temperature_c": 30.0,
    "tilt_deg": 20.0,
    "time_s": 0.008,
    "time_value": 7.0,
    "to_k": 5500.0,
    "tolerance": 0.05,
    "tolerance_stops": 0.3,
    "transmittance": 0.5,
    "travellers": 2,
    "trigger": ["hum"],
    "trigger_delay_s": 0.0005,
    "up_deg": 0.0,
    "usable_each_wh": 70.0,
    "usable_fraction": 0.9,
    "use_l_per_h": 0.8,
    "vignetting": 0.98,
    "voltage_v": 230.0,
    "wall_reflectance": 0.5,
    "wanted": 300,
    "wanted_m": 2.0,
    "wavelength_nm": 560.0,
    "weight_arm_m": 0.7,
    "weight_kg": 7.0,
    "whose": "ours",
    "width_m": 1.2,
    "wind_m_per_s": 4.0,
    "x_from_m": -2.0,
    "x_m": 0.5,
    "x_to_m": 2.0,
    "y_from_m": -2.0,
    "y_m": 0.5,
    "y_to_m": 2.0,
    "zenith_deg": 40.0,
}

# Where a name means something else than elsewhere.
OF_ITS_OWN: dict[str, dict[str, Any]] = {
    "air_travel.count_margins": {"batteries": [CarriedBattery("B-1", 98.0, True)]},
    "charging.plan_charging": {"batteries": [ChargeJob("B-1", "rail-48", 2.0)]},
    "radio.free_channel": {"wanted": ChannelUse("hum", 5, "ours")},
    "battery.rating_wh": {"marked_wh": None},
    "weather.Weather": {"kind": "clear", "sky_type": None},
    "photosensitivity.is_general_flash": {"first": 0.9, "second": 0.4},
    "series.steps_between": {"first": 5.6, "second": 8.0},
}

NUMBER = {"N", "Numbers", "float", "float | None", "int"}

# Counts that only count: nothing is computed from them but a difference or a place in a list.
PLAIN_COUNTS = {
    "battery.flash_margin: wanted",
    "radio.free_channel: channels",
    "radio.free_channel: first",
    "placement.add_stops: axis",
}

# Angles, stops, logarithms, temperatures and places of a plan; everything else is never less than nothing.
MAY_BE_BELOW_NOTHING = set(
    """
    altitude_m ambient_over_flash_stops aperture_value apparent_elevation_deg azimuth_deg
    bag_bearing_deg bearing_deg clip_placement_stops first_leg_deg gauge height_m
    key_over_fill_stops latitude_deg longitude_deg lowest_stops margin_stops moment_kg_m
    off_axis_deg open_s over_stops pane_azimuth_deg placement_stops raised_deg reference_c
    room_north_deg setting_stops shift_mired speed_value stops sun_azimuth_deg sun_elevation_deg
    temperature_c tilt_deg time_value up_deg x_from_m x_to_m y_from_m y_to_m
    """.split()
)

# What cannot even be nothing: a size, a speed of film, a time between frames.
NEVER_NOTHING = set(
    """
    air_density allowed_blur_mm available_m back_m beam_angle_deg beam_m c_incident c_lxs
    camera_distance_m capacitance_f capacity_ah capacity_wh cct_k ceiling_m charger_w coc_mm
    cold_factor cut_over_decay divisor drag_coefficient duty eccentricity efficacy_lm_per_w
    efficiency energy_fraction energy_share f_number factor flash_ws flicker_hz focal_mm focus_m
    foot_radius_m frame_height_m frame_m frames_per_second friction from_k front_m full_charge_s
    full_energy_ws full_h full_well_e gap_s guide_number guide_number_ft guide_number_m gust_factor
    half_angle_deg head_m heads health highest_m highest_nm interval_s iso k k_reflected
    lamp_efficiency legs lift_stops limit_kg limit_w line_hz line_voltage_v linke_turbidity
    load_power_factor load_w loading longest_s loop_ohm lowest_m lowest_nm marked_wh most pace_s
    peak_voltage_v pixel_pitch_mm power_factor profile_deg q radius_m rated rated_a rated_va
    rating_wh ratio read_noise_e rise_over_decay safety_factor seconds section_mm2 sensor_distance_m
    sensor_height_mm sensor_mm sensor_width_mm sky_type slots source_k spacing_m step_stops
    stored_ws strobes_in_turn target_k to_k transmittance travellers usable_each_wh usable_fraction
    use_l_per_h vignetting voltage_v wavelength_nm width_m
    """.split()
)


def public_acts() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Public functions, and records that check what they are made of."""
    for package in (recipes.rig, recipes.light):
        for found in pkgutil.iter_modules(package.__path__):
            module = importlib.import_module(f"{package.__name__}.{found.name}")
            for name in module.__all__:
                act = getattr(module, name)
                if inspect.isfunction(act) or (inspect.isclass(act) and hasattr(act, "__post_init__")):
                    yield f"{found.name}.{name}", act


def figures_of(acts: Iterator[tuple[str, Callable[..., Any]]]) -> Iterator[Any]:
    for name, act in acts:
        parameters = inspect.signature(act).parameters.values()
        own = OF_ITS_OWN.get(name, {})
        things = [one for one in parameters if one.annotation not in NUMBER or one.kind is one.VAR_POSITIONAL]
        if any(one.name not in {**PLAUSIBLE, **own} for one in things):
            continue
        for parameter in parameters:
            label = f"{name}: {parameter.name}"
            if parameter.annotation in NUMBER and label not in PLAIN_COUNTS:
                given = {one.name: {**PLAUSIBLE, **own}[one.name] for one in parameters}
                yield pytest.param(act, given, parameter.name, id=label)


FIGURES = list(figures_of(public_acts()))
BELOW_NOTHING = [figure for figure in FIGURES if figure.values[2] not in MAY_BE_BELOW_NOTHING]
NOTHING = [figure for figure in FIGURES if figure.values[2] in NEVER_NOTHING]


@pytest.mark.parametrize(("act", "given", "figure"), FIGURES)
def test_what_is_plausible_is_taken(act, given, figure):
    act(**given)


@pytest.mark.parametrize(("act", "given", "figure"), FIGURES)
def test_what_is_not_a_number_is_refused_by_its_name(act, given, figure):
    with pytest.raises(ValueError, match=rf"^{figure}( of [\w -]+)? is nan"):
        act(**{**given, figure: float("nan")})


@pytest.mark.parametrize(("act", "given", "figure"), BELOW_NOTHING)
def test_less_than_nothing_is_refused_by_its_name(act, given, figure):
    with pytest.raises(ValueError, match=rf"^{figure}( of [\w -]+)? is -1; .*give"):
        act(**{**given, figure: -1})


@pytest.mark.parametrize(("act", "given", "figure"), NOTHING)
def test_nothing_is_refused_by_its_name_where_it_cannot_be(act, given, figure):
    with pytest.raises(ValueError, match=rf"^{figure}( of [\w -]+)? is 0; .*give"):
        act(**{**given, figure: 0})
