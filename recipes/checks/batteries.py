"""Do the batteries last for the session?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import ContinuousSpec, StrobeSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, BatteryState, Setup
from recipes.checks.verdict import status_of
from recipes.light.recycle import flash_energy_ws
from recipes.rig.battery import flash_margin, flashes_per_battery, run_time_h, temperature_factor, usable_wh
from recipes.rig.caution import Hazard, caution

__all__ = ["EXPLANATION", "RESERVE", "battery_wh", "check"]

RESERVE = 0.1
"""Share of a battery that is kept back: the last tenth is where heads slow down. Common practice, no source."""
TIGHT_SHARE = 0.1
"""Less than a tenth more than the session takes is tight. Common practice, no source."""


EXPLANATION = Explanation(
    name="batteries",
    family="power",
    title="Batteries last the session",
    question="How many flashes does each battery give at the setting, and is that enough for the frames of the recipe?",
    formula=(
        "usable energy = rating · share let out · health · cold · (1 − reserve)",
        "flashes = floor( usable Wh · 3600 · η / E ),   E = full energy · 2^setting",
        "margin = flashes of all batteries of the light − frames · heads",
        "a burning light: hours = usable Wh / W at full power,   margin = hours − frames · pace",
    ),
    symbols=(
        ("η", "efficiency of the head's charging circuit, from its sheet"),
        ("health", "share of the rated capacity that it still holds, as last measured"),
        ("cold", "share left at the temperature of the place"),
        ("reserve", f"{RESERVE:.0%} kept back"),
    ),
    assumes=(
        "each head takes the frames of the whole recipe; the modelling lamp is counted as off",
        "20 °C where the place has no temperature; full health where nobody measured it",
    ),
    source=("energy balance", "capacity against temperature: Battery University BU-502"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a light on batteries; value and limit in flashes, or in hours for a light that burns."""
    for light in setup.lights:
        heads = [head for head in light.heads if head.spec.supply == "battery"]
        if not heads:
            continue
        if not light.batteries:
            yield Finding(
                check=EXPLANATION.name,
                status="unknown",
                about=light.plan.name,
                sentence=f"{light.plan.name} runs on batteries and none is assigned to it.",
                missing="its batteries",
                remedies=(Remedy(f"Assign a battery to {light.plan.name}.", action="assign"),),
            )
        elif isinstance(heads[0].spec, StrobeSpec):
            yield from _flashes(setup, light, heads[0].spec, len(heads), prediction)
        else:
            yield from _hours(setup, light, heads[0].spec, len(heads))


def battery_wh(battery: BatteryState, reserve: float = 0.0) -> float:
    """What a battery gives at this shoot, in Wh: its rating less what electronics, age, cold and reserve take."""
    spec = battery.unit.spec
    return float(usable_wh(spec.capacity_wh, spec.usable_fraction, _health(battery), _cold(battery), reserve))


def _flashes(
    setup: Setup, light: AssignedLight, spec: StrobeSpec, heads: int, prediction: Prediction
) -> Iterator[Finding]:
    setting = prediction.light(light.plan.name).setting_stops
    if setting is None:
        yield Finding(
            check=EXPLANATION.name,
            status="unknown",
            about=light.plan.name,
            sentence=f"How long the batteries of {light.plan.name} last depends on its setting, which is not known.",
            missing=f"the setting of {light.plan.name}",
        )
        return
    energy_ws = flash_energy_ws(spec.energy_ws, setting)
    each = [
        int(
            flashes_per_battery(
                battery.unit.spec.capacity_wh,
                energy_ws,
                spec.charge_efficiency,
                battery.unit.spec.usable_fraction,
                _health(battery),
                _cold(battery),
                RESERVE,
            )
        )
        for battery in light.batteries
    ]
    margin = flash_margin(each, setup.look.session.frames * heads)
    status = status_of(margin.margin, TIGHT_SHARE * margin.wanted)
    tags = " + ".join(battery.unit.tag for battery in light.batteries)
    short = "" if margin.lasts else f": {-margin.margin} short"
    yield Finding(
        check=EXPLANATION.name,
        status=status,
        about=light.plan.name,
        sentence=f"{tags} give {light.plan.name} {margin.available} flashes, the recipe takes {margin.wanted}{short}.",
        value=float(margin.available),
        limit=float(margin.wanted),
        margin=float(margin.margin),
        unit="flashes",
        estimated=any(battery.unit.health is None for battery in light.batteries),
        remedies=()
        if status == "ok"
        else (Remedy(f"Assign one more battery to {light.plan.name}.", action="assign"),),
        workings=tuple(
            Working(
                battery.unit.tag,
                "Wh · let out · health · cold · (1 − reserve) · 3600 · η / E",
                f"{battery.unit.spec.capacity_wh:g} · {battery.unit.spec.usable_fraction:g} · {_health(battery):g} · "
                f"{_cold(battery):.2f} · {1 - RESERVE:g} · 3600 · {spec.charge_efficiency:g} / {energy_ws:.4g}",
                f"{count} flashes",
            )
            for battery, count in zip(light.batteries, each, strict=True)
        ),
        caution=caution(Hazard.LITHIUM) if _lithium(light) else "",
    )


def _hours(setup: Setup, light: AssignedLight, spec: ContinuousSpec, heads: int) -> Iterator[Finding]:
    energy = sum(battery_wh(battery, RESERVE) for battery in light.batteries)
    hours = run_time_h(energy, spec.power_w * heads)
    wanted = setup.look.session.frames * setup.look.session.pace_s / 3600.0
    margin = hours - wanted
    status = status_of(margin, TIGHT_SHARE * wanted)
    yield Finding(
        check=EXPLANATION.name,
        status=status,
        about=light.plan.name,
        sentence=f"{light.plan.name} burns {hours:.1f} h at full power; the recipe takes {wanted:.1f} h.",
        value=hours,
        limit=wanted,
        margin=margin,
        unit="h",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Assign one more battery to {light.plan.name}, or run it from the mains.", action="assign"
            ),
        ),
        workings=(
            Working("hours", "usable Wh / W", f"{energy:.0f} / {spec.power_w * heads:.0f}", f"{hours:.2f} h"),
        ),
        caution=caution(Hazard.LITHIUM) if _lithium(light) else "",
    )


def _health(battery: BatteryState) -> float:
    return 1.0 if battery.unit.health is None else min(battery.unit.health, 1.0)


def _cold(battery: BatteryState) -> float:
    if battery.temperature_c is None:
        return 1.0
    return float(temperature_factor(battery.temperature_c, battery.unit.spec.chemistry))


def _lithium(light: AssignedLight) -> bool:
    return any(battery.unit.spec.chemistry.startswith("lithium") for battery in light.batteries)
