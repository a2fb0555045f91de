"""What people read when power, pace or radio do not do: each sentence, remedy and sum as a whole, its figures worked by hand."""

# ruff: noqa: E501

from __future__ import annotations

from recipes.checks import (
    batteries,
    cable_drop,
    channels,
    charging,
    circuits,
    flash_rate,
    generator,
    heat,
    recycle,
)
from recipes.checks.setup import Circuit
from tests.recipes.checks.setups import (
    a_battery,
    a_look,
    a_mains_strobe,
    a_panel,
    a_plan,
    a_room,
    a_setup,
    a_trigger,
    a_unit,
    packed,
)
from tests.recipes.checks.sound import said


def test_two_packs_on_one_circuit():
    setup = a_setup(
        heads=(a_mains_strobe(), a_mains_strobe("MS-2", mains={"peak_va": 3000, "idle_va": 20})),
        units={"circuit": "A"},
        room=a_room(circuits=(Circuit("A", 230.0, 16.0, "B", 2), Circuit("B", 230.0, 16.0, "B", 2))),
    )
    assert (
        said(circuits, setup)
        == """\
gap, A: A: MS-1 + MS-2 draw 4000 of 3680 VA, 320 too much.
4000.00 against 3680.00, margin -320.00 VA
- Plug some of these into another circuit. [assign]
= MS-1; average, peak; 187 VA, 1000 VA
= MS-2; average, peak; 187 VA, 3000 VA
= rule; continuous from 3 h counts 1.25 times; house policy, 2026; 373 VA on average, 4000 VA at the peak
= switch on in this order; one after another; MS-2 → MS-1; 13 A"""
    )


def test_the_generator_is_too_small():
    setup = a_setup(
        heads=(a_mains_strobe(),),
        packed=packed(a_unit("generator", rated_va=1000)),
        room=a_room(outdoors=True),
    )
    assert (
        said(generator, setup)
        == """\
gap, GE-1: GE-1: MS-1 draw 1000 W at the peak; its engine may be loaded with 640 W: 360 too much.
1000.00 against 640.00, margin -360.00 W
- Set the heads to slow recycling, or hang fewer of them on it. [none] (a slower pace)
- Assign a larger generator, or heads on batteries. [assign]
= MS-1; peak; 1000 VA, 1000 W
= windings; 0.8 · rating − peaks; 0.8 · 1000 − 1000; -200 VA
= engine; 0.8 · rating · power factor − peaks; 0.8 · 1000 · 0.8 − 1000; -360 W"""
    )


def test_the_cord_is_too_long_and_too_thin():
    setup = a_setup(
        heads=(a_mains_strobe(mains={"peak_va": 2990, "idle_va": 20}),),
        units={"circuit": "A", "cables": (a_unit("cable", length_m=50, section_mm2=2.5, rated_a=10),)},
        room=a_room(circuits=(Circuit("A", 230.0, 16.0, "B", 2),)),
    )
    assert (
        said(cable_drop, setup)
        == """\
gap, Key: CA-1 lose 12.4 V (5.4%) at 13.0 A on the way to Key; 5% are the limit (house policy).
12.41 against 11.50, margin -0.91 V
- Take shorter or thicker cables. [assign]
- Plug Key in nearer by. [assign]
= current; peak VA / voltage; 2990 / 230; 13.00 A
= CA-1, 2.5 mm²; 2 · L · R at 20 °C · 1.1965 · I; 2 · 50 · 0.00798 · 1.1965 · 13.00; 12.41 V
= rule; house policy, after BS 7671; 2026; 11.5 V

gap, CA-1: CA-1 is rated for 10 A and Key takes 13.0 A.
13.00 against 10.00, margin -3.00 A
- Assign a cable for 13 A or more, or fewer heads on it. [assign]"""
    )


def test_the_flashes_run_out():
    setup = a_setup(a_look(session={"frames": 1000}), units={"batteries": (a_battery(), a_battery("BA-2"))})
    assert (
        said(batteries, setup)
        == """\
gap, Key: BA-1 + BA-2 give Key 874 flashes, the recipe takes 1000: 126 short.
874.00 against 1000.00, margin -126.00 flashes
- Assign one more battery to Key. [assign]
= BA-1; Wh · let out · health · cold · (1 − reserve) · 3600 · η / E; 100 · 0.9 · 1 · 1.00 · 0.9 · 3600 · 0.75 / 500; 437 flashes
= BA-2; Wh · let out · health · cold · (1 − reserve) · 3600 · η / E; 100 · 0.9 · 1 · 1.00 · 0.9 · 3600 · 0.75 / 500; 437 flashes"""
    )


def test_the_panel_goes_dark():
    setup = a_setup(
        a_look(a_plan(source="continuous"), session={"frames": 1000, "pace_s": 36}),
        heads=(a_panel(supply="battery", battery_fit="rail-48", mains=None),),
        units={"batteries": (a_battery(), a_battery("BA-2"))},
    )
    assert (
        said(batteries, setup)
        == """\
gap, Key: Key burns 1.6 h at full power; the recipe takes 10.0 h.
1.62 against 10.00, margin -8.38 h
- Assign one more battery to Key, or run it from the mains. [assign]
= hours; usable Wh / W; 162 / 100; 1.62 h"""
    )


def test_one_slot_for_two_batteries():
    setup = a_setup(
        a_look(session={"frames": 1000}),
        units={"batteries": (a_battery(), a_battery("BA-2"))},
        chargers=(a_unit("charger", fits=["rail-48"]),),
        hours_until_next_shoot=2.5,
    )
    assert (
        said(charging, setup)
        == """\
gap, batteries: 1 of 2 batteries are not full in 2.5 h: BA-2 lacks 1.5 h (time is up before it is full).
4.00 against 2.50, margin -1.50 h
- Take another charger, or more slots, along. [assign]
- Give the next shoot other batteries. [assign]
= BA-1; hours from empty · used; 2 · 1.000; 2.00 h
= BA-2; hours from empty · used; 2 · 1.000; 2.00 h"""
    )


def test_too_many_flashes_for_the_head():
    setup = a_setup(a_look(session={"frames": 300, "pace_s": 1.0}))
    assert (
        said(heat, setup)
        == """\
gap, Key: Key (ST-1) is asked for 300 full-power flashes in 5 min and bears 60: it will slow down or stop.
300.00 against 60.00, margin -240.00 flashes
- Shoot one frame every 5.0 s, or pause in between. [edit_recipe] (25 min for 300 frames)
- Set Key a stop lower and open the aperture or raise the ISO by one. [edit_recipe] (depth of field, or noise; the ambient grows with it)
= asked; min( frames, ⌈60 · minutes / pace⌉ ) · 2^setting; min( 300, ⌈60 · 5 / 1⌉ ) · 2^0.0; 300.0 flashes
= paced for ever; tightest limit; one frame every 5.0 s"""
    )


def test_too_quick_for_the_pack():
    setup = a_setup(a_look(session={"pace_s": 1.0}))
    assert (
        said(recycle, setup)
        == """\
gap, Key: Key (ST-1) is ready after 1.2 s and a frame every 1 s is wanted: it fires too weak or not at all.
1.20 against 1.00, margin -0.20 s
- At -2.0 stops Plain strobe keeps up: open the aperture or raise the ISO by 2.0 stops. [edit_recipe light=Key setting_stops=-2] (depth of field, or noise; the ambient grows with it)
- Shoot slower. [edit_recipe]
- Assign a second head to Key and set both a stop lower. [assign]
= ready lamp; from its table at the setting; +0.0 stops; 1.20 s
= full charge; from its table at the setting; +0.0 stops; 1.60 s
= to spare; between frames − ready lamp; 1.000 − 1.200; -0.200 s"""
    )


def test_ten_flashes_a_second():
    setup = a_setup(a_look(session={"frames": 10, "pace_s": 0.1}))
    assert (
        said(flash_rate, setup)
        == """\
tight, flashes: 10 flashes a second: in the band in which most reactions are reported (3 to 30 a second). UK events guidance limits strobes to 4 a second. Tell everyone in the room before the first flash, ask who should not stay, and follow the rules of the place and the venue.
10.00 against 3.00, margin none 1/s
- Keep to 3 frames a second or fewer. [edit_recipe]
- Tell everyone before the first flash, and ask who should not stay. [none]
= pace; 1 / pace; 1 / 0.1; 10.00 a second
= burst; burst rate; 1 frames; none"""
    )


def test_a_burst_of_eight_a_second():
    setup = a_setup(a_look(session={"frames": 10, "pace_s": 5.0, "burst_frames": 5, "burst_rate_hz": 8.0}))
    assert (
        said(flash_rate, setup)
        == """\
tight, flashes: 8 flashes a second: in the band in which most reactions are reported (3 to 30 a second). UK events guidance limits strobes to 4 a second. Tell everyone in the room before the first flash, ask who should not stay, and follow the rules of the place and the venue.
8.00 against 3.00, margin none 1/s
- Keep to 3 frames a second or fewer. [edit_recipe]
- Tell everyone before the first flash, and ask who should not stay. [none]
= pace; 1 / pace; 1 / 5; 0.20 a second
= burst; burst rate; 5 frames; 8 a second"""
    )


def test_on_the_channel_of_the_neighbours():
    setup = a_setup(trigger=a_trigger(channel=3), channels_in_the_building=(("northlight", 3, "Hats"),))
    assert (
        said(channels, setup)
        == """\
gap, TR-1: Hats is on channel 3 of northlight at the same time: each fires the other's lights.
- Set trigger, receivers and heads to channel 1. [none channel=1]"""
    )
