"""Are the batteries full again before the next shoot?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import ChargerSpec, ContinuousSpec
from recipes.checks.batteries import battery_wh
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, Setup
from recipes.checks.verdict import not_known, status_of
from recipes.light.recycle import flash_energy_ws
from recipes.rig.battery import mixed_duty_wh
from recipes.rig.caution import Hazard, caution
from recipes.rig.charging import ChargeJob, ChargePlan, Charger, plan_charging

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.1
"""Common practice, no source."""

EXPLANATION = Explanation(
    name="charging",
    family="power",
    title="Batteries full for the next shoot",
    question="Can the chargers that are along fill all batteries in the hours until the next shoot?",
    formula=(
        "used = energy of the session / energy of the batteries, at most 1",
        "hours of a battery = hours from empty to full · used",
        "margin = hours until the next shoot − hours until the last slot is done",
    ),
    symbols=(
        ("energy of the session", "frames · E / η for flashes, W · hours for burning lights, in Wh"),
        ("hours from empty to full", "by the battery's sheet"),
        ("slot", "one place of a charger; all of them charge at once at full speed"),
    ),
    assumes=(
        "the batteries of a light are used alike; one whose light's setting is not known comes back empty",
        "somebody is there to change them all the time",
        "they are full when the shoot begins; other recipes of the day are not counted",
        "chargers are those on the list of the shoot",
    ),
    source=("energy balance", "the maker's charging times; common practice, no source"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding for all batteries, when the time of the next shoot is known; h."""
    hours = setup.hours_until_next_shoot
    lights = [light for light in setup.lights if light.batteries]
    if hours is None or not lights:
        return
    slow = sorted(
        {
            f"{battery.unit.type_name}"
            for light in lights
            for battery in light.batteries
            if battery.unit.spec.charge_hours is None
        }
    )
    chargers = _chargers(setup)
    missing = f"the charging time of {', '.join(slow)}" if slow else "" if chargers else "a charger"
    if missing:
        yield not_known(
            EXPLANATION,
            "batteries",
            f"Whether the batteries are full again in {hours:.1f} h is not known: missing {missing}.",
            missing,
            caution=caution(Hazard.LITHIUM),
        )
        return
    jobs = [job for light in lights for job in _jobs(setup, light, prediction)]
    yield _finding(hours, jobs, plan_charging(jobs, chargers, hours))


def _chargers(setup: Setup) -> list[Charger]:
    """Those with a job, and those on the packing list."""
    return [
        Charger(unit.tag, unit.spec.fits, unit.spec.slots)
        for unit in setup.units
        if isinstance(unit.spec, ChargerSpec)
    ]


def _jobs(setup: Setup, light: AssignedLight, prediction: Prediction) -> Iterator[ChargeJob]:
    used = _used(setup, light, prediction)
    for battery in light.batteries:
        spec = battery.unit.spec
        assert spec.charge_hours is not None  # what has none is asked for before
        yield ChargeJob(battery.unit.tag, spec.fit, float(spec.charge_hours), 1.0 - used)


def _used(setup: Setup, light: AssignedLight, prediction: Prediction) -> float:
    """The part of their energy that the light's batteries lose in the session."""
    session = setup.look.session
    takes_wh = 0.0
    for head in light.heads:
        if isinstance(head.spec, ContinuousSpec):
            takes_wh += head.spec.power_w * session.frames * session.pace_s / 3600.0
        else:
            setting = prediction.light(light.plan.name).setting_stops
            if setting is None:
                return 1.0
            energy_ws = flash_energy_ws(head.spec.energy_ws, setting)
            takes_wh += mixed_duty_wh(float(session.frames), energy_ws, head.spec.charge_efficiency)
    return min(1.0, takes_wh / sum(battery_wh(battery) for battery in light.batteries))


def _finding(hours: float, jobs: list[ChargeJob], plan: ChargePlan) -> Finding:
    needed = max((slot.ends_h for slot in plan.slots), default=0.0)
    if plan.short:
        worst = max(plan.short, key=lambda short: short.missing_h)
        return Finding(
            check=EXPLANATION.name,
            status="gap" if plan.proven else "tight",
            about="batteries",
            sentence=f"{len(plan.short)} of {len(jobs)} batteries are not full in {hours:.1f} h: {worst.battery} lacks "
            f"{worst.missing_h:.1f} h ({worst.why}).",
            value=hours + worst.missing_h if plan.proven else None,
            limit=hours if plan.proven else None,
            margin=-worst.missing_h if plan.proven else None,
            unit="h" if plan.proven else "",
            remedies=(
                Remedy("Take another charger, or more slots, along.", action="assign"),
                Remedy("Give the next shoot other batteries.", action="assign"),
            ),
            workings=_workings(jobs),
            caution=caution(Hazard.LITHIUM),
        )
    margin = hours - needed
    return Finding(
        check=EXPLANATION.name,
        status=status_of(margin, TIGHT_SHARE * hours),
        about="batteries",
        sentence=f"All {len(jobs)} batteries are full again after {needed:.1f} h; the next shoot is in {hours:.1f} h.",
        value=needed,
        limit=hours,
        margin=margin,
        unit="h",
        workings=(
            *_workings(jobs),
            *(
                Working(
                    f"{slot.charger}, slot {slot.slot}",
                    "",
                    slot.battery,
                    f"from {slot.starts_h:.1f} to {slot.ends_h:.1f} h",
                )
                for slot in plan.slots
            ),
        ),
        caution=caution(Hazard.LITHIUM),
    )


def _workings(jobs: list[ChargeJob]) -> tuple[Working, ...]:
    return tuple(
        Working(
            job.tag,
            "hours from empty · used",
            f"{job.full_h:g} · {1 - job.charged:.3f}",
            f"{job.needed_h:.2f} h",
        )
        for job in jobs
    )
