"""What is true of every registered check: it explains itself, never raises, and its numbers agree with its word."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from importlib import import_module
from itertools import groupby
from pkgutil import iter_modules
from typing import get_args

import pytest
from hypothesis import HealthCheck, given, settings

from recipes import checks
from recipes.checks.explanation import Family
from recipes.checks.findings import SEVERITY, Finding, worst
from recipes.checks.registry import CHECKS, explanation, explanations, run_checks
from recipes.checks.setup import AssignedPanel, Circuit, Setup
from recipes.look import Look
from tests.recipes.checks.setups import (
    a_battery,
    a_board,
    a_boom,
    a_camera,
    a_case,
    a_look,
    a_mains_strobe,
    a_modifier,
    a_panel,
    a_plan,
    a_room,
    a_setup,
    a_stand,
    a_strobe,
    a_trigger,
    a_unit,
    a_weight,
    packed,
)
from tests.recipes.looks import looks

HARD = a_look(
    a_plan(
        on_boom=True,
        bounce={"bearing_deg": 200, "distance_m": 1.5, "width_m": 1, "height_of_board_m": 2},
    ),
    subject={"movement_m_per_s": 4.0, "frame_height_m": 1.0},
    session={"frames": 600, "pace_s": 0.5, "burst_frames": 5, "burst_rate_hz": 8.0},
    ambient=[{"zone": "face", "lux": 100.0, "cct_k": 3200}],
    camera={"shutter": "1/250"},
    panels=[
        {
            "name": "Silk",
            "kind": "scrim",
            "bearing_deg": 40,
            "distance_m": 0.8,
            "width_m": 1.2,
            "transmittance": 0.4,
        }
        | {"height_of_panel_m": 1.2},
    ],
)
SILK = AssignedPanel(
    HARD.panels[0],
    a_unit("scrim", "SC-1", width_m=1.2, height_m=1.2, transmittance=0.4, mass_kg=2.0),
    a_stand("SD-3"),
)
CABLE = a_unit("cable", length_m=50, section_mm2=1.5, rated_a=2)
UNITS = {
    "stand": a_stand(max_load_kg=6.0),
    "boom": a_boom(),
    "board": a_board(),
    "board_stand": a_stand("SD-2"),
    "weights": (a_weight(3.0),),
    "modifier": a_modifier(max_modelling_lamp_w=100, case_tag="CS-1"),
    "batteries": (a_battery("BA-1", capacity_wh=170),),
    "cables": (CABLE,),
}
AROUND = {
    "panels": (SILK,),
    "chargers": (a_unit("charger", fits=["rail-48"]),),
    "packed": packed(a_case(), a_unit("generator", rated_va=1000)),
    "channels_in_the_building": (("northlight", 3, "Hats"),),
    "hours_until_next_shoot": 1.0,
    "travels_by_air": True,
    "trigger": a_trigger(channel=3),
    "meter": a_unit("meter", accuracy_stops=0.4),
    "starts": datetime(2026, 5, 4, 9, tzinfo=UTC),
    "ends": datetime(2026, 5, 4, 13, tzinfo=UTC),
}
INDOORS = a_room(circuits=(Circuit("A", 230.0, 16.0, "B", 2),), height_m=2.5, depth_m=5.0)

SETUPS: dict[str, Setup] = {
    "nothing assigned": a_setup(heads=(), camera=None, lens=None, trigger=None),
    "plain": a_setup(),
    "hard, indoors": a_setup(
        HARD, heads=(a_mains_strobe(modelling_lamp_w=250),), units=UNITS, room=INDOORS, **AROUND
    ),
    "hard, outdoors": a_setup(
        HARD,
        heads=(a_strobe(modelling_lamp_w=250),),
        units={**UNITS, "boom": None},
        room=a_room(outdoors=True, wind_m_per_s=9.0),
        **AROUND,
    ),
    "burning": a_setup(
        a_look(a_plan(source="continuous"), camera={"shutter": "1/1000"}),
        heads=(a_panel(flicker="mains", flicker_modulation=1.0),),
        units={"circuit": "A", "cables": (CABLE,)},
        room=INDOORS,
    ),
    "mixed colours": a_setup(a_look(ambient=[{"zone": "face", "lux": 1500.0, "cct_k": 3200}])),
    "mains outdoors": a_setup(
        HARD, heads=(a_mains_strobe(),), room=a_room(outdoors=True), packed=AROUND["packed"]
    ),
    "no masses": a_setup(
        HARD,
        heads=(a_strobe(mass_kg=None, thermal=[], durations=[], recycle=[], colour=[]),),
        units={**UNITS, "boom": a_boom(mass_kg=None)},
        room=a_room(outdoors=True),
        camera=a_camera(curtain_travel_s=None),
    ),
}

NAMES = [check.explanation.name for check in CHECKS]


@cache
def findings_of(case: str) -> tuple[Finding, ...]:
    return run_checks(SETUPS[case]).findings


def test_every_module_that_explains_a_check_is_registered():
    modules = [import_module(f"{checks.__name__}.{found.name}") for found in iter_modules(checks.__path__)]
    explained = {one.EXPLANATION.name for one in modules if hasattr(one, "EXPLANATION")}
    assert explained == set(NAMES), "a line in recipes/checks/registry.py is missing"


def test_no_two_checks_share_a_name():
    assert len(NAMES) == len(set(NAMES))


def test_every_family_has_a_check_and_stands_in_one_place():
    families = [family for family, _ in groupby(check.explanation.family for check in CHECKS)]
    assert sorted(families) == sorted(get_args(Family))
    assert [family for family, _ in explanations()] == families


@pytest.mark.parametrize("name", NAMES)
def test_every_check_explains_itself(name):
    explained = explanation(name)
    assert explained.question.endswith("?")
    assert explained.title
    for part in (explained.formula, explained.symbols, explained.assumes, explained.source):
        assert part
        assert all(line for line in part)


@pytest.mark.parametrize("name", NAMES)
def test_every_explanation_names_a_source_or_says_that_there_is_none(name):
    assert all(len(line) > 5 for line in explanation(name).source)


@pytest.mark.parametrize("case", SETUPS)
def test_every_finding_belongs_to_a_registered_check(case):
    assert {finding.check for finding in findings_of(case)} <= set(NAMES)


@pytest.mark.parametrize("case", SETUPS)
def test_no_finding_ever_says_that_something_is_safe(case):
    for finding in findings_of(case):
        words = [finding.sentence, finding.caution, finding.missing]
        words += [remedy.sentence + remedy.costs for remedy in finding.remedies]
        assert not [text for text in words if "safe" in text.lower()], finding


@pytest.mark.parametrize("case", SETUPS)
def test_a_gap_has_a_negative_margin_and_nothing_else_has(case):
    for finding in findings_of(case):
        if finding.margin is not None:
            # A twentieth of a stop of setting is less than a head can be dialled to, so it is forgiven there.
            dust = 0.05 if finding.check == "power-range" else 1e-6
            assert (finding.status != "gap") or finding.margin < 0, finding
            assert (finding.status == "gap") or finding.margin >= -dust, finding


@pytest.mark.parametrize("case", SETUPS)
def test_every_number_has_a_unit_and_every_unknown_its_missing_figure(case):
    for finding in findings_of(case):
        if finding.value is not None:
            assert finding.unit, finding
        if finding.status == "unknown":
            assert finding.missing, finding
            assert finding.margin is None, finding


@pytest.mark.parametrize("case", SETUPS)
def test_every_sentence_reads_as_one(case):
    for finding in findings_of(case):
        assert finding.about
        assert finding.sentence.endswith("."), finding.sentence
        assert "  " not in finding.sentence


@pytest.mark.parametrize("case", SETUPS)
def test_every_gap_offers_a_way_out(case):
    for finding in findings_of(case):
        # A zone is mended through its lights, and those answer for themselves.
        if finding.status == "gap" and finding.check != "placement":
            assert finding.remedies, finding


@pytest.mark.parametrize("case", SETUPS)
def test_the_most_severe_comes_first(case):
    ranks = [SEVERITY.index(finding.status) for finding in findings_of(case)]
    assert ranks == sorted(ranks)
    assert worst(findings_of(case)) == SEVERITY[ranks[0]]


def test_the_hard_cases_reach_every_family():
    families = {explanation(finding.check).family for case in SETUPS for finding in findings_of(case)}
    assert families == set(get_args(Family))


def test_where_people_can_be_hurt_the_usual_caution_stands():
    said = {finding.check for case in SETUPS for finding in findings_of(case) if finding.caution}
    assert said >= {
        "flash-rate",
        "batteries",
        "charging",
        "circuits",
        "cable-drop",
        "generator",
        "stand-load",
        "boom-balance",
        "tipping",
        "wind",
        "lamp-heat",
        "air-travel",
    }


def test_the_worst_finding_stands_for_them_all():
    assert run_checks(SETUPS["hard, indoors"]).worst == "gap"
    assert worst([]) == "ok"


def test_an_unknown_name_is_refused():
    with pytest.raises(KeyError):
        explanation("no-such-check")


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(looks())
def test_no_valid_recipe_makes_a_check_fall_over(look: Look):
    setup = a_setup(look, units={"stand": a_stand(), "modifier": a_modifier()}, room=a_room())
    for one in (setup, replace(setup, camera=None, lens=None, room=a_room(outdoors=True, wind_m_per_s=5.0))):
        assert run_checks(one).findings
