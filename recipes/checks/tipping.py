"""What makes a stand fall: the boom that hangs out over its feet, or a push?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gear.specs import BoomSpec, StandSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.prediction import Prediction
from recipes.checks.rigged import Rig, counterbalance, front_moment_kg_m, rear_m, rigs
from recipes.checks.setup import Setup, Unit
from recipes.checks.verdict import enough, not_known, status_of
from recipes.rig.boom import Boom, boom_masses, counterweight_kg
from recipes.rig.caution import Hazard, caution
from recipes.rig.stand import (
    USUAL_TIPPING_RATIO,
    Feet,
    Mass,
    TippingEdge,
    push_that_tips_n,
    sandbag_kg,
    tipping_arm_m,
    tipping_edges,
)

__all__ = ["EXPLANATION", "check", "masses_on", "unweighed"]

EXPLANATION = Explanation(
    name="tipping",
    family="rig",
    title="Stands do not tip",
    question="Does what holds a stand outweigh what turns it over, over the line between two of its feet?",
    formula=(
        "arm = r · cos( 180° / legs ), which is r / 2 for three legs",
        "each mass: m · ( arm − x ); positive ones hold, negative ones turn over",
        f"margin = holding − {USUAL_TIPPING_RATIO:g} · turning",
        "without a boom: the push that tips it = m · g · arm / h",
    ),
    symbols=(
        ("r", "radius of the circle of feet, in m"),
        ("x", "how far out over that line a mass hangs, in m"),
        ("m", "mass in kg: head, boom, counterweight, stand, bags"),
        ("h", "height of the head, in m"),
        ("g", "9.81 m/s²"),
    ),
    assumes=(
        "level, firm ground; bags hang clear of it, at the column",
        "without a boom everything is centred over the column",
        "with a boom: first level at its longest reach with the load between two legs, then with a leg under the load, "
        "then drawn in to its shortest reach",
        "weights that do not go on the boom's end are bags",
    ),
    source=(
        "statics: half-plane test over each line between two feet",
        f"{USUAL_TIPPING_RATIO:g} times: house policy, quoted only in secondary texts",
    ),
)


@dataclass(frozen=True)
class _Try:
    """One way to set the boom up, and its weakest line."""

    reach_m: float
    leg_under_load: bool
    masses: tuple[Mass, ...]
    edge: TippingEdge

    @property
    def holding(self) -> float:
        return self.edge.restoring_kg_m

    @property
    def wanted(self) -> float:
        return USUAL_TIPPING_RATIO * self.edge.overturning_kg_m

    @property
    def margin(self) -> float:
        return self.holding - self.wanted

    @property
    def stands(self) -> bool:
        return status_of(self.margin) == "ok"


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a stand; kg·m with a boom, the push in N without."""
    for rig in rigs(setup):
        missing = unweighed(rig)
        if missing:
            what = f"the mass of {', '.join(missing)}"
            yield not_known(
                EXPLANATION,
                rig.name,
                f"What tips {rig.stand.tag} under {rig.name} is not known: missing {what}.",
                what,
                caution=caution(Hazard.OVERHEAD),
            )
        elif rig.boom is None:
            yield _push(rig)
        else:
            yield _boom(rig, rig.boom)


def unweighed(rig: Rig) -> tuple[str, ...]:
    """Whose mass is missing, stand and boom included."""
    others = [unit for unit in (rig.boom, rig.stand) if unit is not None and unit.spec.mass_kg is None]
    return (*rig.missing, *(f"{unit.tag} ({unit.type_name})" for unit in others))


def masses_on(rig: Rig, reach_m: float | None = None) -> tuple[Mass, ...]:
    """All masses round the column; a boom points to bearing 0 and is out by ``reach_m``, its longest if None."""
    stand = Mass(rig.stand_kg)
    if rig.boom is None:
        return (stand, Mass(rig.load_kg + rig.weights_kg))
    spec = rig.boom.spec
    reach = spec.max_reach_m if reach_m is None else reach_m
    needed = counterweight_kg(front_moment_kg_m(rig.load_kg, spec, reach), spec.counterweight_arm_m)
    on_end, bags = counterbalance(rig.weights, needed)
    boom = Boom(
        rig.load_kg,
        reach,
        spec.mass_kg or 0.0,
        spec.length_m,
        rear_m(spec, reach),
        sum(weight.spec.mass_kg for weight in on_end),
        spec.counterweight_arm_m,
    )
    return (*boom_masses(boom), stand, Mass(sum(weight.spec.mass_kg for weight in bags)))


def _push(rig: Rig) -> Finding:
    spec = rig.stand.spec
    arm_m = tipping_arm_m(spec.foot_radius_m, spec.legs)
    mass_kg = rig.stand_kg + rig.load_kg + rig.weights_kg
    height_m = max(rig.height_m, spec.min_height_m)
    push_n = push_that_tips_n(mass_kg, arm_m, height_m)
    return Finding(
        check=EXPLANATION.name,
        status="ok",
        about=rig.name,
        sentence=f"Nothing of {rig.name} hangs out over the feet of {rig.stand.tag}; a push of {push_n:.0f} N at "
        f"{height_m:.1f} m tips it.",
        value=push_n,
        unit="N",
        workings=(
            _arm_working(spec, arm_m),
            Working(
                "push",
                "m · g · arm / h",
                f"{mass_kg:.1f} · 9.81 · {arm_m:.3f} / {height_m:.2f}",
                f"{push_n:.1f} N",
            ),
        ),
        caution=caution(Hazard.OVERHEAD),
    )


def _try(rig: Rig, reach_m: float, leg_under_load: bool) -> _Try:
    masses = masses_on(rig, reach_m)
    edges = tipping_edges(_feet(rig, leg_under_load), masses)
    weakest = min(edges, key=lambda edge: edge.restoring_kg_m - USUAL_TIPPING_RATIO * edge.overturning_kg_m)
    return _Try(reach_m, leg_under_load, masses, weakest)


def _feet(rig: Rig, leg_under_load: bool) -> Feet:
    spec = rig.stand.spec
    return Feet(spec.foot_radius_m, spec.legs, 0.0 if leg_under_load else 180.0 / spec.legs)


def _boom(rig: Rig, boom: Unit[BoomSpec]) -> Finding:
    longest, shortest = boom.spec.max_reach_m, boom.spec.min_reach_m
    tries = [_try(rig, longest, False), _try(rig, longest, True), _try(rig, shortest, True)]
    chosen = next((one for one in tries if one.stands), tries[-1])
    status: Status = "ok" if chosen is tries[0] else "tight" if chosen.stands else "gap"
    legs = "with a leg under the load" if chosen.leg_under_load else "however its legs stand"
    sentence = (
        f"{rig.stand.tag} with {boom.tag} {chosen.reach_m:g} m out, {legs}: holding {chosen.holding:.2f} kg·m"
    )
    sentence += f", wanted {chosen.wanted:.2f} kg·m"
    if status == "tight" and chosen is tries[2]:
        sentence += f"; at its longest reach of {longest:g} m it lacks {-tries[1].margin:.2f} kg·m"
    elif status == "gap":
        tips = chosen.edge.tips
        sentence += (
            ": it tips by itself" if tips else ": it holds itself, with less to spare than is the rule"
        )
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=rig.name,
        sentence=f"{sentence}.",
        value=chosen.holding,
        limit=chosen.wanted,
        margin=chosen.margin,
        unit="kg·m",
        remedies=() if status == "ok" else tuple(_remedies(rig, boom, tries, chosen)),
        workings=(
            _arm_working(rig.stand.spec, chosen.edge.arm_m),
            *(
                Working(
                    f"{mass.mass_kg:.1f} kg",
                    "m · ( arm − x )",
                    f"{mass.mass_kg:.1f} · ( {chosen.edge.arm_m:.3f} − {mass.towards_m(chosen.edge.bearing_deg):.3f} )",
                    f"{mass.mass_kg * (chosen.edge.arm_m - mass.towards_m(chosen.edge.bearing_deg)):+.2f} kg·m",
                )
                for mass in chosen.masses
                if mass.mass_kg > 0
            ),
            Working(
                "margin",
                f"holding − {USUAL_TIPPING_RATIO:g} · turning",
                f"{chosen.holding:.2f} − {USUAL_TIPPING_RATIO:g} · {chosen.edge.overturning_kg_m:.2f}",
                f"{chosen.margin:+.2f} kg·m",
            ),
        ),
        caution=caution(Hazard.OVERHEAD),
    )


def _remedies(rig: Rig, boom: Unit[BoomSpec], tries: list[_Try], chosen: _Try) -> Iterator[Remedy]:
    if chosen is tries[1]:
        yield Remedy("Put a leg of the stand under the load.")
    bag_kg = sandbag_kg(_feet(rig, True), tries[1].masses)
    if bag_kg > 0:
        yield Remedy(
            f"Hang {enough(bag_kg, 1)} kg more of bags at the column, clear of the ground: enough at the longest "
            "reach with a leg under the load.",
            action="assign",
            arguments=(("light", rig.of), ("job", "weight")),
        )
    if chosen is not tries[1]:
        yield Remedy(f"Draw {boom.tag} in.", costs="the stand may come into the picture")
    yield Remedy("Assign a stand with a wider foot.", action="assign")


def _arm_working(spec: StandSpec, arm_m: float) -> Working:
    return Working(
        "arm",
        "r · cos( 180° / legs )",
        f"{spec.foot_radius_m:g} · cos {180 / spec.legs:g}°",
        f"{arm_m:.3f} m",
    )
