"""Facts about generators. Practice loads one to 80 % (common practice, no source)."""

from __future__ import annotations

import pytest

from recipes.checks.generator import check
from recipes.checks.setup import Circuit
from tests.recipes.checks.setups import (
    a_look,
    a_mains_strobe,
    a_panel,
    a_plan,
    a_prediction,
    a_room,
    a_setup,
    a_unit,
    packed,
)


def only(findings):
    (finding,) = findings
    return finding


def outdoors(rated_va, *heads, plan=None, **generator):
    return a_setup(
        a_look(plan or a_plan()),
        heads=heads or (a_mains_strobe(),),
        room=a_room(outdoors=True),
        packed=packed(a_unit("generator", "GN-1", rated_va=rated_va, **generator)),
    )


POOR = {"peak_va": 1000, "idle_va": 20, "power_factor": 0.6}


@pytest.mark.parametrize(
    ("rated_va", "limit", "status"),
    # 0.8 of the rating against one head of 1000 VA at its peak, 600 W of them.
    # Less than a tenth to spare is tight: common practice, no source.
    [
        (2000.0, 1600.0, "ok"),
        (1400.0, 1120.0, "ok"),
        (1380.0, 1104.0, "tight"),
        (1300.0, 1040.0, "tight"),
        (1200.0, 960.0, "gap"),
    ],
)
def test_the_windings_carry_every_peak_at_once(rated_va, limit, status):
    finding = only(check(outdoors(rated_va, a_mains_strobe(mains=POOR)), a_prediction()))
    assert (finding.status, finding.limit, finding.unit) == (status, pytest.approx(limit), "VA")
    assert "its windings may be loaded" in finding.sentence
    assert "exhaust" in finding.caution


def test_the_engine_turns_the_watts_of_every_peak_at_once():
    # 0.8 · 1300 · 0.8 = 832 W against 1000 VA of which all are watts; the windings would bear 1040 VA.
    finding = only(check(outdoors(1300.0), a_prediction()))
    assert (finding.status, finding.unit, finding.margin) == ("gap", "W", pytest.approx(-168.0))
    assert "its engine may be loaded" in finding.sentence


def test_the_engine_carries_burning_lights():
    # 0.8 · 2000 · 0.5 = 800 W against 1000 VA without a break.
    panel = a_panel(mains={"peak_va": 1000})
    setup = outdoors(2000.0, panel, plan=a_plan(source="continuous"), power_factor=0.5)
    finding = only(check(setup, a_prediction()))
    assert (finding.status, finding.unit, finding.margin) == ("gap", "W", pytest.approx(-200.0))


def test_where_both_limits_are_as_near_the_windings_are_told():
    finding = only(check(outdoors(2000.0, power_factor=1.0), a_prediction()))
    assert (finding.unit, finding.margin) == ("VA", pytest.approx(600.0))


@pytest.mark.parametrize(("basis", "estimated"), [("maker", False), ("estimated", True)])
def test_a_rating_that_is_a_guess_makes_the_answer_one(basis, estimated):
    guessed = outdoors(2000.0, sources={"rated_va": {"basis": basis}})
    assert only(check(guessed, a_prediction())).estimated is estimated


def test_in_a_room_with_circuits_only_heads_that_name_it_hang_on_it():
    room = a_room(circuits=(Circuit("A", 230.0, 16.0, "B", 2),))
    generator = packed(a_unit("generator", "GN-1", rated_va=3000))
    on_the_wall = a_setup(heads=(a_mains_strobe(),), room=room, packed=generator)
    assert list(check(on_the_wall, a_prediction())) == []
    on_it = a_setup(heads=(a_mains_strobe(),), room=room, packed=generator, units={"circuit": "GN-1"})
    assert only(check(on_it, a_prediction())).about == "GN-1"


def test_without_a_generator_there_is_no_question():
    assert list(check(a_setup(heads=(a_mains_strobe(),)), a_prediction())) == []
