"""Facts about modelling lamps: the modifier's own limit counts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from recipes.checks.lamp_heat import check
from tests.recipes.checks.setups import a_look, a_modifier, a_plan, a_prediction, a_setup, a_strobe


def run(*watts, limit=250.0):
    heads = tuple(a_strobe(f"ST-{n}", modelling_lamp_w=lamp) for n, lamp in enumerate(watts))
    modifier = a_modifier(max_modelling_lamp_w=limit, heads=2)
    return list(check(a_setup(heads=heads, units={"modifier": modifier}), a_prediction()))


@pytest.mark.parametrize(
    ("watts", "status", "margin"),
    [((150.0,), "ok", 100.0), ((250.0,), "ok", 0.0), ((150.0, 150.0), "gap", -50.0)],
)
def test_all_lamps_in_the_modifier_count(watts, status, margin):
    (finding,) = run(*watts)
    assert (finding.status, finding.margin, finding.unit) == (status, margin, "W")
    assert "set cloth alight" in finding.caution


def test_the_part_that_the_lamp_may_burn_at_is_told():
    # 250 / 300 = 83 %.
    (finding,) = run(150.0, 150.0)
    assert "at 83% or less" in finding.remedies[0].sentence


def test_a_hot_lamp_in_a_modifier_without_a_limit_is_unknown():
    (finding,) = run(150.0, limit=None)
    assert (finding.status, finding.missing) == ("unknown", "the lamp limit of Plain modifier")
    assert "set cloth alight" in finding.caution


def test_a_small_lamp_or_none_or_no_modifier_asks_nothing():
    assert run(30.0, limit=None) == run(60.0, limit=None) == run(0.0) == []
    assert len(run(61.0, limit=None)) == 1
    assert list(check(a_setup(heads=(a_strobe(modelling_lamp_w=150.0),)), a_prediction())) == []


def test_a_bare_head_does_not_hide_the_lamp_in_the_next_softbox():
    setup = a_setup(a_look(a_plan("Key"), a_plan("Rim")))
    key, rim = setup.lights
    lamp = a_strobe(modelling_lamp_w=300.0)
    lights = (
        replace(key, heads=(lamp,)),
        replace(rim, heads=(lamp,), modifier=a_modifier(max_modelling_lamp_w=250.0)),
    )
    findings = list(check(replace(setup, lights=lights), a_prediction()))
    assert [(finding.about, finding.status) for finding in findings] == [("Rim", "gap")]


def test_a_small_lamp_under_a_cloth_without_a_limit_does_not_hide_the_next_one():
    setup = a_setup(a_look(a_plan("Key"), a_plan("Rim")))
    key, rim = setup.lights
    small, hot = a_strobe(modelling_lamp_w=30.0), a_strobe(modelling_lamp_w=300.0)
    lights = (
        replace(key, heads=(small,), modifier=a_modifier(max_modelling_lamp_w=None)),
        replace(rim, heads=(hot,), modifier=a_modifier(max_modelling_lamp_w=250.0)),
    )
    findings = list(check(replace(setup, lights=lights), a_prediction()))
    assert [(finding.about, finding.status) for finding in findings] == [("Rim", "gap")]
