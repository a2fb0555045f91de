"""What does each head on the mains draw, and where is it plugged in?"""

from __future__ import annotations

from dataclasses import dataclass

from gear.specs import ContinuousSpec, GeneratorSpec, MainsDraw, StrobeSpec
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, Setup, Unit
from recipes.rig.circuits import Load

__all__ = ["Plugged", "generator_of", "plugged_heads"]


@dataclass(frozen=True)
class Plugged:
    """A head on the mains: what it draws, and the circuit or generator it is given ("" for none)."""

    light: AssignedLight
    load: Load
    circuit: str


def plugged_heads(setup: Setup, prediction: Prediction, unstated_power_factor: float = 1.0) -> list[Plugged]:
    """Every head on the mains, in the order of the lights.

    A strobe draws its energy at the setting once a pace, through its efficiency and power factor; one whose setting is
    not known counts at full power. Its modelling lamp burns as long as the shoot lasts. ``unstated_power_factor`` is
    taken where a sheet states none.
    """
    hours = (setup.ends - setup.starts).total_seconds() / 3600.0 if setup.starts and setup.ends else 0.0
    found = []
    for light in setup.lights:
        setting = prediction.light(light.plan.name).setting_stops
        for head in light.heads:
            load = _load(head, setting, setup.look.session.pace_s, hours, unstated_power_factor)
            if load is not None:
                found.append(Plugged(light, load, light.circuit))
    return found


def _load(
    head: Unit[StrobeSpec] | Unit[ContinuousSpec],
    setting: float | None,
    pace_s: float,
    hours: float,
    unstated_power_factor: float,
) -> Load | None:
    mains = head.spec.mains
    if head.spec.supply != "mains" or mains is None:
        return None
    factor = mains.power_factor if _states_power_factor(mains) else unstated_power_factor
    if isinstance(head.spec, ContinuousSpec):
        return Load(head.tag, mains.peak_va, mains.peak_va, hours, mains.inrush_a, factor, mains.peak_va)
    share = 2.0 ** (setting if setting is not None else 0.0)
    watts = head.spec.energy_ws * share / head.spec.charge_efficiency / pace_s
    steady = min(mains.peak_va, mains.idle_va + head.spec.modelling_lamp_w / factor)
    average = min(mains.peak_va, steady + watts / factor)
    return Load(head.tag, average, mains.peak_va, hours, mains.inrush_a, factor, steady)


def _states_power_factor(mains: MainsDraw) -> bool:
    """Whether the sheet says it, and nobody has to assume."""
    return "power_factor" in mains.model_fields_set


def generator_of(setup: Setup, circuit: str) -> Unit[GeneratorSpec] | None:
    """The generator that feeds a head: the one it names, or the first one where the room has no circuits."""
    generators = [unit for unit in setup.units if isinstance(unit.spec, GeneratorSpec)]
    named = next((unit for unit in generators if unit.tag == circuit), None)
    if named is None and generators and not (setup.room and setup.room.circuits):
        named = generators[0]
    return named  # type: ignore[return-value]
