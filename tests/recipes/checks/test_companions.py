"""Facts about what units cannot work without."""

from __future__ import annotations

import pytest

from recipes.checks.companions import check
from recipes.checks.setup import AssignedPanel
from tests.recipes.checks.setups import (
    a_battery,
    a_board,
    a_boom,
    a_look,
    a_modifier,
    a_panel,
    a_plan,
    a_prediction,
    a_setup,
    a_stand,
    a_strobe,
    a_trigger,
    a_unit,
    packed,
)

CHARGER = a_unit("charger", "CH-1", fits=["rail-48"])
COMPLETE = {"stand": a_stand(), "batteries": (a_battery("BA-1"), a_battery("BA-2"))}


def run(look=None, heads=None, chargers=(CHARGER,), without=(), **more):
    units = {**{k: v for k, v in COMPLETE.items() if k not in without}, **more.pop("units", {})}
    return list(check(a_setup(look, heads=heads, units=units, chargers=chargers, **more), a_prediction()))


def only(findings):
    (finding,) = findings
    return finding


def test_a_complete_list_is_told_once():
    assert only(run()).status == "ok"


@pytest.mark.parametrize(
    ("batteries", "status", "about", "has", "wants", "margin"),
    [
        ((), "gap", "batteries rail-48", 0.0, 1.0, -1.0),
        ((a_battery("BA-1"),), "tight", "spare rail-48", 1.0, 2.0, None),
    ],
)
def test_one_battery_in_each_unit_and_one_spare(batteries, status, about, has, wants, margin):
    # One spare of each fit: common practice, no source.
    finding = only(run(units={"batteries": batteries}))
    assert (finding.status, finding.about, finding.value, finding.limit) == (status, about, has, wants)
    assert finding.margin == margin


def test_every_unit_takes_a_battery_of_its_own():
    finding = only(run(heads=(a_strobe("ST-1"), a_strobe("ST-2")), units={"batteries": (a_battery("BA-1"),)}))
    assert (finding.about, finding.value, finding.limit) == ("batteries rail-48", 1.0, 2.0)


def test_the_trigger_takes_batteries_too():
    finding = only(run(trigger=a_trigger(battery_fit="aa")))
    assert finding.about == "batteries aa"


def test_batteries_without_a_charger_are_tight():
    assert only(run(chargers=())).about == "charger rail-48"


def test_strobes_need_a_trigger():
    finding = only(run(trigger=None))
    assert finding.sentence == "1 strobes and no trigger on the camera."
    assert (finding.value, finding.limit) == (0.0, 1.0)


@pytest.mark.parametrize(("radio", "words"), [([], "no radio"), (["hallcall"], "hallcall")])
def test_a_head_must_hear_the_trigger(radio, words):
    finding = only(run(heads=(a_strobe(radio=radio),)))
    assert (finding.status, finding.about) == ("gap", "ST-1")
    assert f"listens to {words}" in finding.sentence


def test_a_receiver_lends_its_ears():
    receiver = a_unit("receiver", radio=["northlight"])
    assert only(run(heads=(a_strobe(radio=[]),), units={"receiver": receiver})).status == "ok"


def test_burning_lights_need_no_trigger():
    look = a_look(a_plan(source="continuous"))
    assert only(run(look, heads=(a_panel(),), trigger=None)).status == "ok"


def test_a_head_needs_a_stand():
    assert only(run(without=("stand",))).sentence == "Key has a head and no stand."


def test_a_light_on_a_boom_needs_one():
    look = a_look(a_plan(on_boom=True))
    assert only(run(look)).sentence == "Key hangs from a boom and has none."
    assert only(run(look, units={"boom": a_boom()})).status == "ok"


def test_a_board_without_a_stand_is_held_by_somebody():
    assert only(run(units={"board": a_board()})).status == "tight"
    assert only(run(units={"board": a_board(), "board_stand": a_stand("SD-2")})).status == "ok"


def test_a_panel_wants_a_unit_and_a_stand():
    fill = {"name": "Fill", "bearing_deg": 270, "distance_m": 1, "width_m": 1, "height_of_panel_m": 2}
    look = a_look(panels=[fill])
    plan = look.panels[0]
    assert only(run(look, panels=(AssignedPanel(plan),))).status == "gap"
    held = only(run(look, panels=(AssignedPanel(plan, a_board()),)))
    assert (held.status, held.sentence) == (
        "tight",
        "BD-1 (Fill) has no stand: somebody holds it, or it hangs.",
    )
    assert only(run(look, panels=(AssignedPanel(plan, a_board(), a_stand("SD-2")),))).status == "ok"


def test_a_head_goes_on_the_spigot_of_its_stand_or_takes_an_adapter():
    heavy = a_stand(spigot="28 mm")
    finding = only(run(units={"stand": heavy}))
    assert (finding.status, finding.about) == ("gap", "ST-1")
    assert "16 mm; SD-1 has 28 mm" in finding.sentence
    adapter = a_unit("adapter", "AD-1", head_side="16 mm", modifier_side="28 mm")
    assert only(run(units={"stand": heavy}, packed=packed(adapter))).status == "ok"


def test_a_boom_stands_between_head_and_stand():
    look = a_look(a_plan(on_boom=True))
    fits = {"boom": a_boom(spigot="28 mm"), "stand": a_stand(spigot="28 mm")}
    assert only(run(look, units=fits)).about == "ST-1"
    assert only(run(look, units={"boom": a_boom(), "stand": a_stand(spigot="28 mm")})).about == "BO-1"


def test_a_modifier_goes_on_directly_or_through_an_adapter():
    assert only(run(units={"modifier": a_modifier()})).status == "ok"
    other = a_modifier(mount="ring-150")
    assert only(run(units={"modifier": other})).status == "gap"
    adapter = a_unit("adapter", head_side="bayonet-four", modifier_side="ring-150")
    assert only(run(units={"modifier": other, "adapter": adapter})).status == "ok"


def test_a_modifier_takes_so_many_heads():
    heads = (a_strobe("ST-1"), a_strobe("ST-2"))
    batteries = tuple(a_battery(f"BA-{number}") for number in range(3))
    finding = only(run(heads=heads, units={"modifier": a_modifier(), "batteries": batteries}))
    assert (finding.value, finding.limit) == (1.0, 2.0)


def test_what_a_sheet_names_and_what_the_recipe_asks_for():
    finding = only(
        run(
            heads=(a_strobe(companions=["gel", "wind sock"]),),
            packed=packed(a_unit("gel", mired_shift=10, transmittance=0.9)),
        )
    )
    assert "needs a wind sock" in finding.sentence
    assert run(a_look(extras=["stand"]))[0].status == "ok"
    found = run(a_look(extras=["meter", "smoke"]), heads=(a_strobe(companions=["weight"]),))
    assert [finding.status for finding in found] == ["gap", "tight", "tight"]
