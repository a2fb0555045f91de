"""Facts about meters: what one is off by is taken from both ends of a zone's tolerance (JCGM 106:2012, guard bands)."""

from __future__ import annotations

import pytest

from recipes.checks import meter as module
from recipes.checks.exposure import receptor_of
from recipes.checks.meter import check
from tests.recipes.checks.setups import a_look, a_prediction, a_setup, a_unit, packed
from tests.recipes.checks.sound import said


def a_meter(accuracy_stops=0.1, tag="ME-1", **more):
    return a_unit("meter", tag, accuracy_stops=accuracy_stops, **more)


def a_zone_within(tolerance_stops, name="face", **more):
    return {"name": name, "target": {"placement_stops": 0, "tolerance_stops": tolerance_stops}, **more}


def run(*zones, meter=None, extras=(), **more):
    look = a_look(zones=list(zones or [a_zone_within(0.3)]), ambient=[], extras=list(extras))
    return list(check(a_setup(look, meter=meter, **more), a_prediction()))


def only(findings):
    (finding,) = findings
    return finding


# Half of ±0.3 is ±0.15: a meter of exactly that is still fine, one of ±0.3 can just show a reading on the target.
@pytest.mark.parametrize(
    ("accuracy", "status", "margin"),
    [
        (0.0, "ok", 0.3),
        (0.1, "ok", 0.2),
        (0.15, "ok", 0.15),
        (0.16, "tight", 0.14),
        (0.3, "tight", 0.0),
        (0.31, "gap", -0.01),
    ],
)
def test_what_the_meter_is_off_by_is_taken_from_the_tolerance(accuracy, status, margin):
    finding = only(run(meter=a_meter(accuracy)))
    assert (finding.status, finding.value, finding.limit) == (status, accuracy, 0.3)
    assert finding.margin == pytest.approx(margin)
    assert bool(finding.remedies) == (status != "ok")


def test_the_zone_with_the_narrowest_tolerance_decides():
    finding = only(run(a_zone_within(0.5, "wall"), a_zone_within(0.25, "hair"), meter=a_meter()))
    assert (finding.limit, finding.about) == (0.25, "ME-1")
    assert "hair is to lie within ±0.25" in finding.sentence


def test_where_darker_is_never_wrong_the_meter_is_no_question():
    dark = a_zone_within(0.05, "ground", stays_dark=True)
    assert only(run(dark, a_zone_within(0.3), meter=a_meter())).limit == 0.3
    assert run(dark, meter=a_meter()) == []
    assert run(dark) == []


def test_without_a_meter_nobody_can_tell():
    finding = only(run(a_zone_within(0.3), a_zone_within(0.5, "hair"), a_zone_within(0.5, "wall")))
    assert (finding.status, finding.missing) == ("unknown", "a meter")
    assert "whether face, hair and wall came out as wanted" in finding.sentence
    assert finding.remedies[0].action == "add_unit"


def test_a_meter_that_the_recipe_asks_for_by_itself_is_missed_once():
    assert run(extras=["meter"]) == []
    assert only(run(extras=["meter"], meter=a_meter())).status == "ok"


def test_the_finest_meter_on_the_list_is_used_unless_one_is_assigned():
    coarse, fine = a_meter(0.2, "ME-2"), a_meter(0.1, "ME-3")
    assert only(run(packed=packed(coarse, fine))).about == "ME-3"
    assert only(run(packed=packed(coarse, fine), meter=coarse)).about == "ME-2"


@pytest.mark.parametrize("basis", ["estimated", "maker"])
def test_an_estimated_accuracy_is_told_from_a_stated_one(basis):
    finding = only(run(meter=a_meter(sources={"accuracy_stops": {"basis": basis}})))
    assert finding.estimated == (basis == "estimated")


def test_what_is_read_of_a_meter_that_is_too_coarse():
    zones = [a_zone_within(0.3), a_zone_within(0.8, "hair"), a_zone_within(1.0, "wall")]
    setup = a_setup(a_look(zones=zones, ambient=[]), meter=a_meter(0.5))
    assert (
        said(module, setup)
        == """\
gap, ME-1: ME-1 (Plain meter) reads to ±0.5 stops, face is to lie within ±0.3: no reading can show that it does, \
the meter is 0.2 stops too coarse.
0.50 against 0.30, margin -0.20 stops
- Assign a meter that reads to ±0.15 stops or finer. [assign]
- Let face and hair lie within ±1 stops. [edit_recipe] (the picture may differ that much from one time to the next)
= left for the reading; tolerance − accuracy; 0.3 − 0.5; −0.20 stops
= receptor; by its sheet, or by its constant C; C 250; flat, cos a"""
    )


def test_what_is_read_of_a_meter_that_is_just_fine_enough():
    setup = a_setup(a_look(zones=[a_zone_within(0.3)], ambient=[]), meter=a_meter(0.2))
    assert said(module, setup).splitlines()[0] == (
        "tight, ME-1: ME-1 (Plain meter) reads to ±0.2 stops, face is to lie within ±0.3: only a reading within ±0.1 "
        "of its target shows that it does."
    )


def test_a_meter_that_is_fine_enough_leaves_more_than_only_a_little():
    assert only(run(meter=a_meter(0.1))).sentence.endswith(
        "±0.3: a reading within ±0.2 of its target shows that it does."
    )


def test_what_the_meter_does_not_see_comes_on_top_of_the_target_to_be_read():
    # The target of 0 wants two stops more light where neutral density takes two.
    look = a_look(zones=[a_zone_within(0.3)], ambient=[], camera={"nd_stops": 2.0})
    (finding,) = check(a_setup(look, meter=a_meter()), a_prediction())
    assert [(one.numbers, one.result) for one in finding.workings[2:]] == [("0 + 2.00", "+2.00 stops")]
    assert len(only(run(meter=a_meter())).workings) == 2


@pytest.mark.parametrize(
    ("c_incident", "receptor"), [(250, "flat"), (319, "flat"), (320, "dome"), (340, "dome")]
)
def test_a_sheet_that_names_no_receptor_has_a_dome_from_the_lowest_constant_of_one_on(c_incident, receptor):
    # ISO 2720:1974: C of a hemispherical receptor lies from 320 to 540.
    assert receptor_of(None, c_incident) == receptor
    assert receptor_of("flat", c_incident) == "flat"
