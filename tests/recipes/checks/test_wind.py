"""Facts about wind. Published case: 0.9 x 0.9 m, Cd 1.17, 2.2 m high, arm 0.275 m, 8 kg tips at 4.11 m/s with gusts.

With gusts of 1.4 times the mean and 1.5 times to spare (both house policy): 4.11 / 1.4 / sqrt(1.5) = 2.40 m/s.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from recipes.checks.setup import AssignedPanel
from recipes.checks.wind import check
from tests.recipes.checks.setups import (
    a_board,
    a_boom,
    a_look,
    a_modifier,
    a_plan,
    a_prediction,
    a_room,
    a_setup,
    a_stand,
    a_strobe,
    a_unit,
    a_weight,
)

SOFTBOX = a_modifier(width_m=0.9, height_m=0.9, drag_coefficient=1.17, mass_kg=1.0)
STAND = a_stand(foot_radius_m=0.55, mass_kg=4.0)


def outdoors(wind, *, plan=None, heads=None, **units):
    return a_setup(
        a_look(plan or a_plan(height_m=2.2)),
        heads=heads,
        units={"stand": STAND, "modifier": SOFTBOX, **units},
        room=a_room(outdoors=True, wind_m_per_s=wind),
    )


def only(findings):
    (finding,) = findings
    return finding


# Within a quarter of the limit is tight: common practice, no source.
@pytest.mark.parametrize(
    ("wind", "status"),
    [(1.0, "ok"), (1.75, "ok"), (1.85, "tight"), (2.0, "tight"), (2.4, "gap"), (5.4, "gap")],
)
def test_the_mean_wind_is_held_to_what_its_gusts_tip(wind, status):
    finding = only(check(outdoors(wind), a_prediction()))
    assert (finding.status, finding.value) == (status, wind)
    assert finding.limit == pytest.approx(4.11 / 1.4 / 1.5**0.5, abs=0.01)
    assert "tips" in finding.sentence
    assert "gusts" in finding.caution


def test_the_ballast_for_this_wind_is_told():
    # 5.4 m/s mean: 16.93 · 1.96 = 33.2 N at 2.2 m; 1.5 · 33.2 · 2.2 / (9.81 · 0.275) = 40.6 kg, less 8.
    finding = only(check(outdoors(5.4), a_prediction()))
    assert "Hang 33 kg more" in finding.remedies[0].sentence


def test_half_a_kilogram_of_bags_is_worth_telling():
    # 2.45 against 2.398 m/s: 8 · 1.044 − 8 = 0.35 kg.
    assert "Hang 1 kg more" in only(check(outdoors(2.45), a_prediction())).remedies[0].sentence


def test_within_the_limit_but_tight_more_bags_are_still_offered():
    assert "Hang more bags" in only(check(outdoors(2.0), a_prediction())).remedies[0].sentence


def test_a_low_wide_stand_slides_before_it_tips():
    # Friction holds 0.4 · 8 · 9.81 = 31.4 N (Coulomb; 0.4 from memory).
    wide = a_stand(foot_radius_m=3.0, mass_kg=4.0)
    finding = only(check(outdoors(1.0, stand=wide), a_prediction()))
    assert "slides" in finding.sentence
    # sqrt(2 · 31.38 / (1.225 · 1.17 · 0.81)) / 1.4.
    assert finding.limit == pytest.approx(5.25, abs=0.01)
    assert finding.workings[2].result == "31 N"


def test_bags_raise_the_limit_by_the_root_of_the_mass():
    # 8 kg of bags double the mass: sqrt(2) times the wind.
    plain = only(check(outdoors(1.0), a_prediction()))
    bagged = only(check(outdoors(1.0, weights=(a_weight(8.0),)), a_prediction()))
    assert bagged.limit == pytest.approx(plain.limit * 2**0.5)


def test_a_boom_that_tips_by_itself_bears_no_wind():
    boom = a_boom(min_reach_m=2.0, max_reach_m=2.0, mass_kg=0.0)
    assert only(check(outdoors(1.0, boom=boom), a_prediction())).limit == 0.0


def test_a_board_catches_the_wind():
    bounce = {"bearing_deg": 200, "distance_m": 1, "width_m": 1, "height_of_board_m": 2}
    setup = outdoors(
        1.0,
        plan=a_plan(bounce=bounce),
        heads=(),
        modifier=None,
        stand=None,
        board=a_board(),
        board_stand=STAND,
    )
    finding = only(check(setup, a_prediction()))
    assert finding.about == "board of Key"


def test_a_scrim_on_its_stand_is_the_largest_sail_of_all():
    # 1.2 × 1.2 m of cloth at 2 m; 2 kg on a stand of 4 kg with 0.5 m feet: it tips from
    # F = 6 · 0.25 / 1.5 · 9.81 / 2 = 4.90 N on, a mean wind of sqrt(2 · 4.90 / (1.225 · 1.17 · 1.44)) / 1.4.
    silk = {
        "name": "Silk",
        "kind": "scrim",
        "bearing_deg": 40,
        "distance_m": 1,
        "height_m": 2.0,
        "width_m": 1.2,
    }
    look = a_look(panels=[{**silk, "height_of_panel_m": 1.2, "transmittance": 0.45}])
    cloth = a_unit("scrim", "SC-1", width_m=1.2, height_m=1.2, transmittance=0.45, mass_kg=2.0)
    panel = AssignedPanel(look.panels[0], cloth, a_stand("SD-2"))
    setup = a_setup(look, heads=(), panels=(panel,), room=a_room(outdoors=True, wind_m_per_s=3.0))
    finding = only(check(setup, a_prediction()))
    assert (finding.about, finding.status) == ("Silk", "gap")
    assert finding.limit == pytest.approx((2 * 4.903 / (1.225 * 1.17 * 1.44)) ** 0.5 / 1.4, abs=0.01)
    bagged = replace(setup, panels=(replace(panel, weights=(a_weight(20.0),)),))
    assert only(check(bagged, a_prediction())).limit > 2 * finding.limit


def test_a_bare_head_catches_none_and_indoors_there_is_none():
    assert list(check(outdoors(9.0, modifier=None), a_prediction())) == []
    assert (
        list(check(a_setup(units={"stand": STAND, "modifier": SOFTBOX}, room=a_room()), a_prediction())) == []
    )
    assert list(check(a_setup(), a_prediction())) == []


@pytest.mark.parametrize(
    ("setup", "missing"),
    [
        (outdoors(None), "the wind at the place"),
        (outdoors(2.0, heads=(a_strobe(mass_kg=None),)), "the mass of ST-1 (Plain strobe)"),
    ],
)
def test_without_wind_or_mass_it_is_unknown(setup, missing):
    finding = only(check(setup, a_prediction()))
    assert (finding.status, finding.missing) == ("unknown", missing)
