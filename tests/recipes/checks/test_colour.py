"""Facts about mixed colour: mireds add, kelvins do not. 5500 K is 181.8 mired, 3200 K is 312.5."""

from __future__ import annotations

from dataclasses import replace

import pytest

from recipes.checks.colour import check
from tests.recipes.checks.setups import (
    a_look,
    a_modifier,
    a_panel,
    a_plan,
    a_prediction,
    a_setting,
    a_setup,
    a_strobe,
    a_unit,
    a_zone,
    packed,
)


def half_ambient(cct_k, plan=None, **more):
    """A face lit half by ambient of this colour, half by the key at 5500 K."""
    reading = {"zone": "face", "lux": 100.0, **({"cct_k": cct_k} if cct_k else {})}
    look = a_look(plan or a_plan(), ambient=[reading])
    return a_setup(look, **more)


def halves(**more):
    zone = a_zone(ambient_share=0.5, light_shares=(("Key", 0.5),), flash_share=0.5, **more)
    return a_prediction(a_setting(), zones=(zone,))


def only(findings):
    (finding,) = findings
    return finding


@pytest.mark.parametrize(
    ("ambient_k", "spread", "status"),
    # 10^6 / 5500 = 181.82 mired; 3200 K is 130.68 away (Wyszecki and Stiles), 5000 K 18.18, 4900 K 22.26.
    [(5000.0, 18.18, "ok"), (4900.0, 22.26, "tight"), (3200.0, 130.68, "gap")],
)
def test_flash_and_ambient_lie_so_many_mired_apart(ambient_k, spread, status):
    finding = only(check(half_ambient(ambient_k), halves()))
    assert (finding.status, finding.unit, finding.value) == (status, "mired", pytest.approx(spread, abs=0.01))


def test_equal_parts_of_3200_and_5500_k_are_4106_k_together():
    # XYZ addition and Ohno 2013: 4106.3 K, Duv -0.0025, by two published libraries.
    together = only(check(half_ambient(3200.0), halves())).workings[-1]
    assert together.result == "4106 K, Duv -0.0025"


def test_without_a_gel_at_hand_the_shift_and_its_least_cost_are_offered():
    # An exact filter from 5500 to 3200 K passes 52.2 % at best: 0.94 stop (computed spectra).
    remedy = only(check(half_ambient(3200.0), halves())).remedies[0]
    assert "+131 mired to Key (warmer)" in remedy.sentence
    assert remedy.costs.startswith("0.9 stops")


def test_a_gel_on_the_list_is_offered_with_its_own_cost():
    # 0.58 is log2(1/0.58) = 0.79 stop.
    gel = a_unit("gel", "GE-1", mired_shift=131, transmittance=0.58)
    remedy = only(check(half_ambient(3200.0, packed=packed(gel)), halves())).remedies[0]
    assert remedy.arguments == (("light", "Key"), ("gels", "GE-1"))
    assert remedy.costs == "0.8 stops of Key"


def test_a_gel_that_does_not_help_is_not_offered():
    gel = a_unit("gel", "GE-1", mired_shift=-80, transmittance=0.7)
    assert "Add a gel" in only(check(half_ambient(3200.0, packed=packed(gel)), halves())).remedies[0].sentence


def test_a_gel_that_is_on_the_light_brings_it_home():
    gel = a_unit("gel", "GE-1", mired_shift=131, transmittance=0.58)
    finding = only(check(half_ambient(3200.0, units={"gels": (gel,)}), halves()))
    assert (finding.status, finding.value) == ("ok", pytest.approx(0.32, abs=0.01))


def test_a_gel_that_is_in_use_is_not_offered_again():
    # 2300 K lies 122 mired from 5500 K with +131: the same gel once more would do, if it were free.
    gel = a_unit("gel", "GE-1", mired_shift=131, transmittance=0.58)
    finding = only(check(half_ambient(2300.0, units={"gels": (gel,)}), halves()))
    assert "Add a gel of +122 mired" in finding.remedies[0].sentence


def test_gel_of_the_recipe_modifier_and_scrim_shift_too():
    scrim = a_unit("scrim", width_m=1, height_m=1, transmittance=0.5, mired_shift=10)
    units = {"modifier": a_modifier(mired_shift=20), "scrim": scrim}
    plan = a_plan(gels=[{"mired_shift": 100.68, "transmittance": 0.6}])
    assert only(check(half_ambient(3200.0, plan, units=units), halves())).value == pytest.approx(
        0.0, abs=0.01
    )


def test_a_light_whose_colour_can_be_set_is_set_to_the_ambient():
    setup = half_ambient(4000.0, a_plan(source="continuous"), heads=(a_panel(),))
    assert only(check(setup, halves())).value == pytest.approx(0.0)


def test_a_light_that_cannot_be_set_so_far_stays_at_its_end():
    # 6000 K against 7500 K: 166.67 - 133.33.
    setup = half_ambient(7500.0, a_plan(source="continuous"), heads=(a_panel(),))
    assert only(check(setup, halves())).value == pytest.approx(33.33, abs=0.01)


def test_without_ambient_the_others_follow_the_strongest():
    look = a_look(a_plan("Key"), a_plan("Fill"))
    setup = a_setup(look)
    blue = a_strobe("ST-2", colour=[{"setting_stops": 0, "cct_k": 7000}])
    lights = tuple(
        type(light)(light.plan, (head,)) for light, head in zip(setup.lights, (a_strobe(), blue), strict=True)
    )
    zone = a_zone(light_shares=(("Key", 0.7), ("Fill", 0.3)))
    prediction = a_prediction(a_setting("Key"), a_setting("Fill"), zones=(zone,))
    finding = only(check(a_setup(look, lights=lights), prediction))
    assert finding.value == pytest.approx(38.96, abs=0.01)
    assert "Fill" in finding.remedies[0].sentence
    # One line of the table stands for the whole scale, so it counts as an estimate.
    assert finding.estimated


@pytest.mark.parametrize("role", ["rim", "background", "practical"])
def test_a_rim_with_a_gel_in_the_recipe_is_meant_to_differ(role):
    for gels in ([{"mired_shift": -150.0}], [{"mired_shift": -150.0}, {"transmittance": 0.5}]):
        plan = a_plan(role=role, gels=gels)
        assert list(check(half_ambient(5500.0, plan), halves())) == []


def test_a_single_source_or_a_weak_second_one_asks_nothing():
    assert list(check(half_ambient(3200.0), a_prediction())) == []
    weak = a_zone(ambient_share=0.05, light_shares=(("Key", 0.95),))
    assert list(check(half_ambient(3200.0), a_prediction(a_setting(), zones=(weak,)))) == []


@pytest.mark.parametrize(("share", "asked"), [(0.09, False), (0.11, True)])
def test_a_source_of_a_tenth_counts(share, asked):
    # Common practice, no source.
    for ambient, key in ((share, 1 - share), (1 - share, share)):
        zone = a_zone(ambient_share=ambient, light_shares=(("Key", key),))
        found = list(check(half_ambient(3200.0), a_prediction(a_setting(), zones=(zone,))))
        assert bool(found) is asked


def test_a_light_that_does_not_reach_the_zone_does_not_count():
    look = a_look(a_plan("Key"), a_plan("Fill"))
    assert list(check(a_setup(look), a_prediction(a_setting("Key"), a_setting("Fill")))) == []


def test_a_zone_that_nobody_knows_asks_nothing():
    assert list(check(half_ambient(3200.0), halves(placement=None))) == []


def test_a_zone_without_a_question_hides_none_behind_it():
    (mixed,) = halves().zones
    zones = (a_zone("unknown", placement=None), a_zone("by the key alone"), mixed)
    assert only(check(half_ambient(3200.0), a_prediction(a_setting(), zones=zones))).about == "face"


TWO_LINES = [{"setting_stops": 0, "cct_k": 5500}, {"setting_stops": -6, "cct_k": 5600}]


@pytest.mark.parametrize(
    ("table", "basis", "estimated"),
    [(TWO_LINES, "measured", False), (TWO_LINES, "estimated", True), (TWO_LINES[:1], "measured", True)],
)
def test_a_strobe_of_which_one_colour_is_stated_or_the_table_a_guess_is_an_estimate(table, basis, estimated):
    head = a_strobe(colour=table, sources={"colour": {"basis": basis}})
    assert only(check(half_ambient(5000.0, heads=(head,)), halves())).estimated is estimated


@pytest.mark.parametrize(("basis", "estimated"), [("measured", False), ("estimated", True)])
def test_a_burning_light_whose_colours_are_a_guess_is_an_estimate(basis, estimated):
    panel = a_panel(sources={"cct_min_k": {"basis": basis}})
    setup = half_ambient(5000.0, a_plan(source="continuous"), heads=(panel,))
    assert only(check(setup, halves())).estimated is estimated


def led_by(ambient_k, *flash_k, **more):
    """Half ambient, the rest shared by flashes of these colours."""
    names = [f"Flash {number}" for number in range(len(flash_k))]
    look = a_look(
        *(a_plan(name) for name in names), ambient=[{"zone": "face", "lux": 100.0, "cct_k": ambient_k}]
    )
    heads = [
        a_strobe(f"ST-{n}", colour=[{"setting_stops": 0, "cct_k": cct}]) for n, cct in enumerate(flash_k)
    ]
    setup = a_setup(look, **more)
    lights = tuple(replace(light, heads=(head,)) for light, head in zip(setup.lights, heads, strict=True))
    shares = tuple((name, 0.5 / len(names)) for name in names)
    zone = a_zone(ambient_share=0.5, light_shares=shares)
    prediction = a_prediction(*(a_setting(name) for name in names), zones=(zone,))
    return only(check(replace(setup, lights=lights), prediction))


def test_a_light_that_leads_is_left_at_5500_k():
    # Common practice, no source: a panel from 3000 to 6000 K before a flash of 5500 K.
    look = a_look(a_plan("Key", source="continuous"), a_plan("Fill"))
    setup = a_setup(look)
    lights = tuple(
        replace(light, heads=(head,))
        for light, head in zip(setup.lights, (a_panel(), a_strobe()), strict=True)
    )
    zone = a_zone(light_shares=(("Key", 0.7), ("Fill", 0.3)))
    prediction = a_prediction(a_setting("Key"), a_setting("Fill"), zones=(zone,))
    assert only(check(replace(setup, lights=lights), prediction)).value == pytest.approx(0.0, abs=0.01)


def test_a_light_within_ten_mired_wants_no_gel():
    # Common practice, no source. 200 mired leads; 191, 189 and 140 follow.
    finding = led_by(5000.0, 1e6 / 191, 1e6 / 189, 1e6 / 140)
    assert [remedy.sentence.split(" to ")[1] for remedy in finding.remedies] == [
        "Flash 1 (warmer).",
        "Flash 2 (warmer).",
    ]


@pytest.mark.parametrize("sheets", [2, 3])
def test_no_more_than_two_gels_are_put_on_one_light(sheets):
    # Common practice, no source. Three of 44 mired would bring 5500 K to 3200 K.
    gels = [a_unit("gel", f"GE-{n}", mired_shift=44, transmittance=0.8) for n in range(sheets)]
    finding = led_by(3200.0, 5500.0, packed=packed(*gels))
    assert finding.remedies[0].sentence.startswith("Put GE-0 + GE-1 on Flash 0:")


@pytest.mark.parametrize(("shift", "offered"), [(75, True), (60, False)])
def test_a_gel_that_halves_the_distance_is_offered(shift, offered):
    # Common practice, no source: of 131 mired 56 or 71 are left.
    gel = a_unit("gel", "GE-1", mired_shift=shift, transmittance=0.8)
    finding = led_by(3200.0, 5500.0, packed=packed(gel))
    assert finding.remedies[0].sentence.startswith("Put GE-1") is offered


@pytest.mark.parametrize(
    ("cct_k", "heads", "setting", "missing"),
    [
        (None, (a_strobe(),), 0.0, "the colour temperature (cct_k) of the ambient reading of face"),
        (5000.0, (a_strobe(colour=[]),), 0.0, "the colour temperature of Plain strobe at +0.0 stops"),
        (5000.0, (a_strobe(),), None, "the colour temperature of Plain strobe"),
        (5000.0, (), 0.0, "the colour temperature of the head of Key"),
    ],
)
def test_without_a_colour_it_is_unknown(cct_k, heads, setting, missing):
    zone = halves().zones[0]
    prediction = a_prediction(a_setting(setting_stops=setting), zones=(zone,))
    finding = only(check(half_ambient(cct_k, heads=heads), prediction))
    assert (finding.status, finding.missing) == ("unknown", missing)


def test_a_setting_between_no_two_lines_of_the_table_is_unknown():
    head = a_strobe(colour=[{"setting_stops": 0, "cct_k": 5500}, {"setting_stops": -2, "cct_k": 5600}])
    prediction = a_prediction(a_setting(setting_stops=-4.0), zones=halves().zones)
    assert only(check(half_ambient(5000.0, heads=(head,)), prediction)).missing.endswith("at -4.0 stops")


def test_a_gel_that_no_light_can_bear_is_told():
    # 181.8 - 182 mired lies beyond the bluest light there is.
    gel = a_unit("gel", "GE-1", mired_shift=-182, transmittance=0.2)
    finding = only(check(half_ambient(5000.0, units={"gels": (gel,)}), halves()))
    assert finding.status == "unknown"
    assert "weaker blue gel" in finding.missing
