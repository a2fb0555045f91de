"""Facts about what heads draw: energy at the setting once a pace, through efficiency and power factor, in VA."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from recipes.checks.loads import generator_of, plugged_heads
from recipes.checks.setup import Circuit
from tests.recipes.checks.setups import (
    a_look,
    a_mains_strobe,
    a_panel,
    a_plan,
    a_prediction,
    a_room,
    a_setting,
    a_setup,
    a_strobe,
    a_unit,
    packed,
)

MORNING = {"starts": datetime(2026, 5, 4, 9, tzinfo=UTC), "ends": datetime(2026, 5, 4, 13, tzinfo=UTC)}


def load_of(head, setting=0.0, pace_s=4.0, **more):
    setup = a_setup(a_look(session={"pace_s": pace_s}), heads=(head,), **more)
    (plugged,) = plugged_heads(setup, a_prediction(a_setting(setting_stops=setting)))
    return plugged.load


@pytest.mark.parametrize(
    ("head", "setting", "average_va"),
    [
        # 500 Ws / 0.75 / 4 s = 166.7 W, and 20 VA at rest; half of it a stop down.
        (a_mains_strobe(), 0.0, 186.7),
        (a_mains_strobe(), -1.0, 103.3),
        (a_mains_strobe(), None, 186.7),
        (a_mains_strobe(modelling_lamp_w=100), 0.0, 286.7),
        (a_mains_strobe(mains={"peak_va": 1000, "idle_va": 20, "power_factor": 0.5}), 0.0, 353.3),
        (a_mains_strobe(modelling_lamp_w=5000), 0.0, 1000.0),
    ],
    ids=["full", "half", "not known", "with lamp", "uncorrected", "never more than its peak"],
)
def test_a_pack_draws_its_energy_once_a_pace(head, setting, average_va):
    load = load_of(head, setting)
    assert (load.average_va, load.peak_va) == (pytest.approx(average_va, abs=0.1), 1000.0)


def test_a_panel_draws_its_peak_for_as_long_as_the_shoot():
    setup = a_setup(a_look(a_plan(source="continuous")), heads=(a_panel(),), **MORNING)
    (plugged,) = plugged_heads(setup, a_prediction(a_setting()))
    load = plugged.load
    assert (load.average_va, load.peak_va, load.steady_va, load.hours) == (110.0, 110.0, 110.0, 4.0)


@pytest.mark.parametrize(
    ("sheet", "steady_va"),
    [
        ({}, 20.0),
        ({"modelling_lamp_w": 100}, 120.0),
        # 100 W at 0.5 are 200 VA.
        (
            {"modelling_lamp_w": 100, "mains": {"peak_va": 1000, "idle_va": 20, "power_factor": 0.5}},
            220.0,
        ),
        ({"modelling_lamp_w": 5000}, 1000.0),
    ],
    ids=["idle", "with lamp", "uncorrected", "never more than its peak"],
)
def test_a_strobe_stands_ready_with_its_lamp_on_as_long_as_the_shoot(sheet, steady_va):
    load = load_of(a_mains_strobe(**sheet), **MORNING)
    assert (load.steady_va, load.hours) == (pytest.approx(steady_va), 4.0)


@pytest.mark.parametrize("when", [{}, {"starts": MORNING["starts"]}, {"ends": MORNING["ends"]}])
def test_without_both_times_no_hours_are_made_up(when):
    setup = a_setup(a_look(a_plan(source="continuous")), heads=(a_panel(),), **when)
    assert plugged_heads(setup, a_prediction(a_setting()))[0].load.hours == 0.0


@pytest.mark.parametrize(
    "head", [a_strobe(), a_strobe(mains={"peak_va": 500})], ids=["battery", "battery or mains"]
)
def test_a_head_on_its_battery_draws_nothing(head):
    assert plugged_heads(a_setup(heads=(head,)), a_prediction()) == []


def test_the_generator_is_the_named_one_or_the_first_where_there_are_no_circuits():
    two = packed(a_unit("generator", "GE-1", rated_va=1000), a_unit("generator", "GE-2", rated_va=2000))
    outdoors = a_setup(packed=two, room=a_room(outdoors=True))
    wired = a_setup(packed=two, room=a_room(circuits=(Circuit("A", 230.0, 16.0, "B", 2),)))
    names = ("GE-2", "", "A")
    assert [getattr(generator_of(outdoors, name), "tag", None) for name in names] == ["GE-2", "GE-1", "GE-1"]
    assert [getattr(generator_of(wired, name), "tag", None) for name in names] == ["GE-2", None, None]
    assert generator_of(a_setup(), "") is None
