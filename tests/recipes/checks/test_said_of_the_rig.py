"""What people read when the rig does not hold: each sentence, remedy and sum as a whole, its figures worked by hand."""

# ruff: noqa: E501

from __future__ import annotations

from recipes.checks import (
    air_travel,
    boom_balance,
    case_weight,
    ceiling,
    lamp_heat,
    stand_height,
    stand_load,
    tipping,
    wind,
)
from recipes.checks.setup import PackedUnit
from tests.recipes.checks.setups import (
    a_battery,
    a_boom,
    a_case,
    a_look,
    a_modifier,
    a_plan,
    a_room,
    a_setup,
    a_stand,
    a_strobe,
    a_unit,
    a_weight,
)
from tests.recipes.checks.sound import said


def test_the_head_is_too_heavy_for_the_boom():
    setup = a_setup(units={"stand": a_stand(), "boom": a_boom(max_load_kg=2.5), "weights": (a_weight(1.0),)})
    assert (
        said(boom_balance, setup)
        == """\
gap, BO-1 load: BO-1 holds 3.0 kg of Key and is rated for 2.5 kg: 0.5 kg too much.
3.00 against 2.50, margin -0.50 kg
- Assign a stronger boom, or a lighter head or modifier, to Key. [assign]
= load; sum of the masses; ST-1 3; 3.00 kg

gap, BO-1 balance: BO-1 takes 7.0 kg of counterweight at its longest reach of 1.4 m and 2.0 kg drawn in to 0.7 m; 1 kg are assigned.
1.00 against 2.00, margin -1.00 kg
- Assign 6.0 kg more of weights to Key. [assign]
- Draw BO-1 in, and bring its stand nearer. [none] (the stand may come into the picture)
= moment; head · reach + boom · ( length / 2 − rear ); 3 · 0.7 + 2 · ( 2.1 / 2 − 1.4 ); 1.40 kg·m, 14 N·m
= counterweight; moment / arm; 1.40 / 0.7; 2.00 kg"""
    )


def test_the_load_is_too_heavy_for_the_stand():
    setup = a_setup(units={"stand": a_stand(max_load_kg=2.5), "modifier": a_modifier()})
    assert (
        said(stand_load, setup)
        == """\
gap, Key: SD-1 carries 4.0 kg for Key and is rated for 2.5 kg: 1.5 kg too much.
4.00 against 2.50, margin -1.50 kg
- Assign a stand rated for 5 kg or more to Key. [assign]
= load; sum of the masses; ST-1 3 + MO-1 1; 4.00 kg"""
    )


def test_the_stand_is_too_short():
    setup = a_setup(a_look(a_plan(height_m=3.4)), units={"stand": a_stand()})
    assert (
        said(stand_height, setup)
        == """\
gap, Key: Key is wanted at 3.40 m; SD-1 goes from 1.00 to 3.00 m.
3.40 against 3.00, margin -0.40 m
- Assign another stand to Key. [assign]
- Set it at 3.00 m. [edit_recipe light=Key height_m=3.00] (the light comes from another angle)
= to the nearer end; min( height − lowest, highest − height ); min( 3.4 − 1.00, 3.00 − 3.4 ); -0.40 m"""
    )


def test_the_room_is_too_low():
    setup = a_setup(a_look(a_plan(height_m=2.8)), units={"modifier": a_modifier()}, room=a_room(height_m=3.0))
    assert (
        said(ceiling, setup)
        == """\
gap, Key: The top of Key is at 3.25 m under a ceiling of 3.00 m.
3.25 against 3.00, margin -0.25 m
- Set Key at 2.45 m or lower. [edit_recipe] (the light comes from another angle)
= top; height + half of its face; 2.8 + 0.45; 3.25 m"""
    )


def test_the_lamps_are_too_strong_for_the_softbox():
    setup = a_setup(
        heads=(a_strobe(modelling_lamp_w=250), a_strobe("ST-2", modelling_lamp_w=125)),
        units={"modifier": a_modifier(max_modelling_lamp_w=200)},
    )
    assert (
        said(lamp_heat, setup)
        == """\
gap, Key: 375 W of modelling lamp burn in MO-1, which bears 200 W.
375.00 against 200.00, margin -175.00 W
- Lock the modelling lamp at 53% or less, or switch it off. [none]
- Assign a modifier that bears 375 W. [assign]
= burning; lamp · heads; 250 + 125; 375 W"""
    )


def test_the_boom_tips_the_stand():
    setup = a_setup(units={"stand": a_stand(), "boom": a_boom()})
    assert (
        said(tipping, setup)
        == """\
tight, Key: SD-1 with BO-1 0.7 m out, with a leg under the load: holding 1.85 kg·m, wanted 0.45 kg·m; at its longest reach of 1.4 m it lacks 0.88 kg·m.
1.85 against 0.45, margin +1.40 kg·m
- Hang 3.5 kg more of bags at the column, clear of the ground: enough at the longest reach with a leg under the load. [assign light=Key job=weight]
- Draw BO-1 in. [none] (the stand may come into the picture)
- Assign a stand with a wider foot. [assign]
= arm; r · cos( 180° / legs ); 0.5 · cos 60°; 0.250 m
= 3.0 kg; m · ( arm − x ); 3.0 · ( 0.250 − 0.350 ); -0.30 kg·m
= 2.0 kg; m · ( arm − x ); 2.0 · ( 0.250 − -0.175 ); +0.85 kg·m
= 4.0 kg; m · ( arm − x ); 4.0 · ( 0.250 − 0.000 ); +1.00 kg·m
= margin; holding − 1.5 · turning; 1.85 − 1.5 · 0.30; +1.40 kg·m"""
    )


def test_the_softbox_stands_in_the_wind():
    setup = a_setup(
        units={"stand": a_stand(), "modifier": a_modifier()}, room=a_room(outdoors=True, wind_m_per_s=9.0)
    )
    assert (
        said(wind, setup)
        == """\
gap, Key: Key tips from a mean wind of 2.8 m/s on (Beaufort 2); 9.0 m/s are expected.
9.00 against 2.79, margin -6.21 m/s
- Hang 76 kg more of bags on SD-1, clear of the ground, for this wind. [assign light=Key job=weight]
- Use a smaller face, set Key lower, or shelter it. [none]
= force in a gust; ½ · 1.225 · (1.4 · v)² · Cd · A; ½ · 1.225 · (1.4 · 9)² · 1.3 · 0.54; 68 N
= tips it; max( 0, (holding / 1.5 − turning) · g / h ); max( 0, 1.33 · 9.81 / 2.00 ); 7 N
= slides it; μ · m · g; 0.4 · 8.0 · 9.81; 31 N"""
    )


def test_the_case_is_too_heavy():
    setup = a_setup(
        packed=(
            PackedUnit(a_case(), "packed"),
            PackedUnit(a_unit("weight", "WE-1", mass_kg=28.0, case_tag="CS-1"), "packed"),
        ),
        travels_by_air=True,
    )
    assert (
        said(case_weight, setup)
        == """\
gap, CS-1: CS-1 weighs 34.0 kg packed; 32 kg are the heaviest piece.
34.00 against 32.00, margin -2.00 kg
- Pack WE-1 (28 kg) in another case. [assign]
= mass; empty + contents; 6 + 28; 34.0 kg"""
    )


def test_too_many_large_spares_in_the_cabin():
    setup = a_setup(
        units={"batteries": tuple(a_battery(f"BA-{n}", capacity_wh=150) for n in range(4))},
        travels_by_air=True,
    )
    assert (
        said(air_travel, setup)
        == """\
ok, of any size, spare: 3 batteries of any size, spare (BA-1, BA-2, BA-3): cabin only; each one's terminals protected; power banks are counted apart: two a person, not to be recharged on board.
3.00 against 20.00, margin +17.00 batteries
= most; number a person · travellers; 20 · 1; 20
= rule; IATA DGR table 2.3.A; ICAO Technical Instructions Part 8; US 49 CFR 175.10(a)(18); IATA passenger leaflet 2018; numbers unchanged in press reports of the 67th edition (2026); power banks by the ICAO addendum of 27 March 2026 as quoted; up to 100 Wh, spare

tight, over 100 to 160 Wh, in equipment: 1 batteries over 100 to 160 Wh, in equipment (BA-0): in the hold: switched off, protected from being switched on and from damage; the operator must approve.
1.00 against nothing, margin none batteries
- Ask the operator in writing, with the Wh of each battery, and take the answer along. [none]
- Take fewer, or share them out among more people. [assign]
= most; number a person · travellers; no number · 1; not stated
= rule; IATA DGR table 2.3.A; ICAO Technical Instructions Part 8; US 49 CFR 175.10(a)(18); IATA passenger leaflet 2018; numbers unchanged in press reports of the 67th edition (2026); power banks by the ICAO addendum of 27 March 2026 as quoted; over 100 to 160 Wh, in equipment

gap, over 100 to 160 Wh, spare: 3 batteries over 100 to 160 Wh, spare (BA-1, BA-2, BA-3): cabin only; each one's terminals protected; the operator must approve; 2 are the most for 1 travelling.
3.00 against 2.00, margin -1.00 batteries
- Ask the operator in writing, with the Wh of each battery, and take the answer along. [none]
- Take fewer, or share them out among more people. [assign]
= most; number a person · travellers; 2 · 1; 2
= rule; IATA DGR table 2.3.A; ICAO Technical Instructions Part 8; US 49 CFR 175.10(a)(18); IATA passenger leaflet 2018; numbers unchanged in press reports of the 67th edition (2026); power banks by the ICAO addendum of 27 March 2026 as quoted; over 100 to 160 Wh, spare"""
    )


def test_a_battery_that_does_not_fly():
    setup = a_setup(units={"batteries": (a_battery(capacity_wh=170),)}, travels_by_air=True)
    assert (
        said(air_travel, setup)
        == """\
gap, BA-1: BA-1 has 170 Wh: over 160 Wh: not as baggage, only as cargo under the dangerous goods rules.
170.00 against 160.00, margin -10.00 Wh
- Take batteries of 160 Wh or less in its place. [assign]
- Send it as cargo, or hire one where you land. [none]"""
    )
