"""Facts about what stands carry. The stand is rated for 10 kg; head 3 kg, softbox 1 kg."""

from __future__ import annotations

import pytest

from recipes.checks.setup import AssignedPanel
from recipes.checks.stand_load import check
from tests.recipes.checks.setups import (
    a_battery,
    a_board,
    a_boom,
    a_look,
    a_modifier,
    a_plan,
    a_prediction,
    a_setup,
    a_stand,
    a_strobe,
    a_unit,
    a_weight,
)


def on_a_stand(head=None, **units):
    return a_setup(heads=(head or a_strobe(),), units={"stand": a_stand(), **units})


def only(findings):
    (finding,) = findings
    return finding


# Less than a tenth of the rated load to spare is tight: common practice, no source.
@pytest.mark.parametrize(
    ("limit", "status"), [(10.0, "ok"), (4.46, "ok"), (4.42, "tight"), (4.0, "tight"), (3.9, "gap")]
)
def test_head_and_modifier_are_held_to_the_rated_load(limit, status):
    setup = on_a_stand(modifier=a_modifier(), stand=a_stand(max_load_kg=limit))
    finding = only(check(setup, a_prediction()))
    assert (finding.status, finding.value, finding.limit) == (status, 4.0, limit)
    assert "fall" in finding.caution


@pytest.mark.parametrize(("basis", "estimated"), [("maker", False), ("estimated", True)])
def test_a_rating_that_is_a_guess_makes_the_answer_one(basis, estimated):
    setup = on_a_stand(stand=a_stand(sources={"max_load_kg": {"basis": basis}}))
    assert only(check(setup, a_prediction())).estimated is estimated


def test_battery_receiver_and_adapter_count_one_battery_a_head():
    receiver = a_unit("receiver", radio=["northlight"], mass_kg=0.2)
    adapter = a_unit("adapter", head_side="a", modifier_side="b", mass_kg=0.3)
    batteries = (a_battery("BA-1"), a_battery("BA-2"))
    setup = on_a_stand(receiver=receiver, adapter=adapter, batteries=batteries)
    assert only(check(setup, a_prediction())).value == pytest.approx(3 + 0.2 + 0.3 + 1.0)


def test_a_boom_adds_itself_and_its_counterweight_but_not_the_bag():
    # Head 3 kg at 1.4 m takes 7 kg: of 7 and 4 kg the first goes on its end. 3 + 2 + 7 = 12 kg.
    weights = (a_weight(4.0, "WE-1"), a_weight(7.0, "WE-2"))
    finding = only(check(on_a_stand(boom=a_boom(), weights=weights), a_prediction()))
    assert (finding.status, finding.value) == ("gap", 12.0)


def test_a_mass_that_nobody_entered_is_unknown():
    finding = only(check(on_a_stand(a_strobe(mass_kg=None)), a_prediction()))
    assert (finding.status, finding.missing) == ("unknown", "the mass of ST-1 (Plain strobe)")
    finding = only(check(on_a_stand(boom=a_boom(mass_kg=None)), a_prediction()))
    assert finding.missing == "the mass of BO-1 (Plain boom)"
    # 3 kg of head just on a stand for 3 kg: the boom may weigh nothing for all that is known.
    just = on_a_stand(boom=a_boom(mass_kg=None), stand=a_stand(max_load_kg=3.0))
    assert only(check(just, a_prediction())).status == "unknown"


def test_what_is_too_heavy_already_is_a_gap_whatever_is_missing():
    setup = on_a_stand(a_strobe(mass_kg=None), modifier=a_modifier(mass_kg=11.0))
    assert only(check(setup, a_prediction())).status == "gap"


def test_the_stand_of_a_board_carries_the_board():
    bounce = {"bearing_deg": 200, "distance_m": 1, "width_m": 1, "height_of_board_m": 2}
    setup = a_setup(a_look(a_plan(bounce=bounce)), units={"board": a_board(), "board_stand": a_stand("SD-2")})
    finding = only(check(setup, a_prediction()))
    assert (finding.about, finding.value) == ("board of Key", 3.0)


def test_an_empty_stand_carries_nothing():
    setup = a_setup(heads=(), units={"stand": a_stand()})
    assert only(check(setup, a_prediction())).workings[0].numbers == "nothing"


def test_without_a_stand_there_is_no_question():
    assert list(check(a_setup(), a_prediction())) == []


def test_a_board_that_somebody_holds_weighs_on_no_stand():
    fill = {"name": "Fill", "bearing_deg": 270, "distance_m": 1, "width_m": 1, "height_of_panel_m": 2}
    look = a_look(panels=[fill])
    held, stood = (
        a_setup(look, heads=(), panels=(AssignedPanel(look.panels[0], a_board(), stand),))
        for stand in (None, a_stand("SD-2"))
    )
    assert list(check(held, a_prediction())) == []
    assert only(check(stood, a_prediction())).about == "Fill"
