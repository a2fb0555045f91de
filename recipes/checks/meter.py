"""Can the meter that comes along tell whether the zones lie inside their targets?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import MeterSpec
from recipes.checks.explanation import Explanation
from recipes.checks.exposure import meter_unit, receptor_of, unseen_by_meter_stops
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup, Unit
from recipes.checks.verdict import not_known, signed, status_of
from recipes.look import Zone

__all__ = ["EXPLANATION", "check"]

LEAST_SHARE_LEFT = 0.5
"""A meter that takes more of the tolerance than this leaves too little to aim at. Common practice, no source."""

EXPLANATION = Explanation(
    name="meter",
    family="exposure",
    title="Meter fine enough for the targets",
    question="Can the meter on the list tell whether each zone lies inside its target?",
    formula=(
        "margin = tolerance − accuracy;   a reading that far from the target or nearer shows that it is met",
    ),
    symbols=(
        ("tolerance", "how far from its target the narrowest zone may lie, in stops"),
        ("accuracy", "how far off the meter may read, by its sheet, in stops"),
    ),
    assumes=(
        "where and how steadily the meter is held is not in its accuracy; how far its receptor is off the cosine, or "
        "its dome off (1 + cos a) / 2, is",
        "each zone is read with the receptor of this meter, turned the way the zone faces",
        "the meter sees neither the lens nor neutral density on it: what they take comes on top of the target that is "
        "to be read",
        "a zone that stays dark is left out: there a reading can always be low enough",
        "the assigned meter is used, else the finest one on the list",
        "a meter that the recipe asks for by itself and that is not packed is a matter of the companions",
        "less than half of the tolerance left for the reading is tight: common practice, no source",
    ),
    source=(
        "JCGM 106:2012, acceptance limits inside the tolerance by a guard band",
        "the meter's spec sheet",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding for the zone with the narrowest tolerance, in stops; none when every zone may be as dark as it is."""
    zones = [zone for zone in setup.look.zones if not zone.stays_dark]
    if not zones:
        return
    meter = meter_unit(setup)
    if meter is not None:
        yield _finding(setup, meter, zones)
    elif "meter" not in setup.look.extras:
        yield not_known(
            EXPLANATION,
            "meter",
            f"Nobody can read on the set whether {_names(zones)} came out as wanted: no meter is on the list.",
            "a meter",
            (Remedy("Add a meter.", action="add_unit"),),
        )


def _finding(setup: Setup, meter: Unit[MeterSpec], zones: list[Zone]) -> Finding:
    accuracy = meter.spec.accuracy_stops
    narrowest = min(zones, key=lambda zone: zone.target.tolerance_stops)
    tolerance = narrowest.target.tolerance_stops
    margin = tolerance - accuracy
    status = status_of(margin, LEAST_SHARE_LEFT * tolerance)
    if status == "gap":
        answer = f"no reading can show that it does, the meter is {-margin:.2g} stops too coarse"
    else:
        only = "only " if status == "tight" else ""
        answer = f"{only}a reading within ±{max(margin, 0.0):.2g} of its target shows that it does"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=meter.tag,
        sentence=f"{meter.tag} ({meter.type_name}) reads to ±{accuracy:.2g} stops, {narrowest.name} is to lie within "
        f"±{tolerance:.2g}: {answer}.",
        value=accuracy,
        limit=tolerance,
        margin=margin,
        unit="stops",
        estimated=meter.spec.source_of("accuracy_stops").basis == "estimated",
        remedies=() if status == "ok" else tuple(_remedies(accuracy, tolerance, zones)),
        workings=(
            Working(
                "left for the reading",
                "tolerance − accuracy",
                f"{tolerance:g} − {accuracy:g}",
                f"{margin:.2f} stops".replace("-", "−"),
            ),
            Working(
                "receptor",
                "by its sheet, or by its constant C",
                f"C {meter.spec.c_incident:g}",
                _receptor(meter),
            ),
            *_to_be_read(setup, narrowest),
        ),
    )


def _to_be_read(setup: Setup, zone: Zone) -> Iterator[Working]:
    """What the meter shows when the zone lies on its target, where that is not the target itself."""
    unseen, target = unseen_by_meter_stops(setup), zone.target.placement_stops
    if unseen:
        yield Working(
            "to be read",
            f"target of {zone.name} + what lens and neutral density take",
            f"{target:g} + {unseen:.2f}".replace("-", "−"),
            f"{signed(target + unseen, 2)} stops",
        )


def _receptor(meter: Unit[MeterSpec]) -> str:
    shape = receptor_of(meter.spec.receptor, meter.spec.c_incident)
    return "dome, (1 + cos a) / 2" if shape == "dome" else "flat, cos a"


def _remedies(accuracy: float, tolerance: float, zones: list[Zone]) -> Iterator[Remedy]:
    wanted = accuracy / LEAST_SHARE_LEFT
    narrow = [zone for zone in zones if zone.target.tolerance_stops < wanted]
    yield Remedy(
        f"Assign a meter that reads to ±{LEAST_SHARE_LEFT * tolerance:g} stops or finer.", action="assign"
    )
    yield Remedy(
        f"Let {_names(narrow)} lie within ±{wanted:g} stops.",
        action="edit_recipe",
        costs="the picture may differ that much from one time to the next",
    )


def _names(zones: list[Zone]) -> str:
    *others, last = (zone.name for zone in zones)
    return f"{', '.join(others)} and {last}" if others else last
