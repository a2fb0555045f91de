"""What people read when the picture will not be the one that is wanted: each sentence, remedy and sum as a whole, its figures worked by hand."""

# ruff: noqa: E501

from __future__ import annotations

from recipes.checks import (
    ambient_blur,
    camera_range,
    colour,
    depth_of_field,
    flicker,
    framing,
    freeze,
    headroom,
    lens_fit,
    placement,
    power_range,
    sync,
)
from tests.recipes.checks.setups import (
    a_look,
    a_panel,
    a_plan,
    a_prediction,
    a_room,
    a_setting,
    a_setup,
    a_strobe,
    a_zone,
)
from tests.recipes.checks.sound import said


def test_the_movement_smears_in_the_flash():
    setup = a_setup(a_look(subject={"movement_m_per_s": 4.0}))
    assert (
        said(freeze, setup)
        == """\
gap, Key: While Key (ST-1) burns (1/400 s) the movement smears 0.292 mm; 0.03 mm are allowed: 3.3 stops too long.
2.50 against 0.26, margin -2.24 ms
- At -6.0 stops Plain strobe burns 1/12800 s: open the aperture or raise the ISO by as much. [edit_recipe light=Key setting_stops=-6] (depth of field, or noise; the ambient grows with it)
- Assign a head that burns 1/3888 s or less at its setting to Key. [assign]
= magnification; f / (s − f); 85 / (3000 − 85); 0.0292
= longest time; allowed blur / (v · m · sin a); 0.03 / (4000 · 0.0292 · sin 90°); 1/3888 s
= burns; t0.1 at the setting, from its table; 1/400 s"""
    )


def test_the_movement_smears_in_the_ambient():
    setup = a_setup(a_look(subject={"movement_m_per_s": 4.0}, camera={"shutter": "1/250"}))
    prediction = a_prediction(zones=(a_zone(ambient_share=0.5, flash_share=0.5),))
    assert (
        said(ambient_blur, setup, prediction)
        == """\
gap, face: At 1/250 s the ambient smears face by 0.46 mm and lies 1.0 stops under the picture, 2.0 too few: it shows.
1.00 against 3.00, margin -2.00 stops
- Shorten the shutter as far as sync allows: half the time halves the smear and puts it a stop lower. [edit_recipe] (what the ambient lights goes darker)
- Raise the flash and close the aperture by as much, or take ambient away. [edit_recipe] (recycling time and battery)
= smear; v · t · m · sin a; 4000 · 0.00391 · 0.0292 · sin 90°; 0.456 mm
= under; log2( 1 / share ); log2( 1 / 0.5 ); 1.00 stops"""
    )


def test_a_smear_within_what_is_allowed():
    setup = a_setup(a_look(subject={"movement_m_per_s": 0.1}))
    prediction = a_prediction(zones=(a_zone(ambient_share=0.5, flash_share=0.5),))
    assert (
        said(ambient_blur, setup, prediction)
        == """\
ok, subject: At 1/125 s the movement smears 0.023 mm, within the 0.03 mm allowed.
0.02 against 0.03, margin +0.01 mm
= smear; v · t · m · sin a; 100 · 0.00781 · 0.0292 · sin 90°; 0.023 mm"""
    )


def test_the_lamp_flickers():
    setup = a_setup(
        a_look(a_plan(source="continuous"), camera={"shutter": "1/250"}),
        heads=(a_panel(flicker="mains", flicker_modulation=1.0),),
        room=a_room(),
    )
    prediction = a_prediction(
        a_setting(source="continuous"), zones=(a_zone(continuous_share=1.0, flash_share=0.0),)
    )
    assert (
        said(flicker, setup, prediction)
        == """\
gap, Key: Key (Plain continuous) pulses at 100 Hz; at 1/250 s frames differ by up to 2.92 stops on face.
2.92 against 0.20, margin -2.72 stops
- Set the shutter to 1/100 s: nearly a whole number of its pulses. [edit_recipe] (the ambient moves with the time)
- Assign a light without flicker to Key. [assign]
= pulses in a frame; f · t; 100 · 0.00391; 0.39
= alone; darkest to brightest; modulation 1; 2.92 stops
= share; its part of the zone; 100%"""
    )


def test_the_subject_is_deeper_than_what_is_sharp():
    setup = a_setup(a_look(subject={"depth_m": 0.8}))
    assert (
        said(depth_of_field, setup)
        == """\
gap, subject: At f/5.6 it is sharp from 2.81 m to 3.22 m; the subject is 0.80 m deep at 3.00 m, 0.21 m too deep.
0.19 against 0.40, margin -0.21 m
- Close the aperture to f/14. [edit_recipe] (as many stops of flash, and of ISO or time for the ambient)
- Step back and crop, or use a shorter lens. [edit_recipe] (fewer pixels on the subject)
= hyperfocal; f² / (N · c) + f; 85² / (5.657 · 0.0300) + 85; 42652 mm
= near; s · (H − f) / (H + s − 2 f); s = 3000; 2.808 m
= diffraction; its disc fills c at; c = 0.0300 mm; f/22"""
    )


def test_the_subject_does_not_fit_the_frame_and_the_room():
    setup = a_setup(a_look(subject={"frame_height_m": 1.75}), room=a_room(depth_m=5.0))
    assert (
        said(framing, setup)
        == """\
gap, frame: The frame is 1.23 m high at the mark (camera on its side), wanted 1.75 m: 0.52 m are cut off.
1.23 against 1.75, margin -0.52 m
- Put the camera at 4.42 m. [edit_recipe distance_m=4.42] (another perspective)
- Use about 60 mm from the same place. [edit_recipe]
= frame; sensor side · (s − f) / f; 36 · (3000 − 85) / 85; 1235 mm

gap, Hall: From the far wall to behind the camera it takes 6.6 m; Hall has 5.0 m.
6.60 against 5.00, margin -1.60 m
- Move the mark towards the far wall, or take a shorter lens nearer to it. [edit_recipe] (less room behind the subject; another perspective)
= needed; behind the mark + camera distance + room to work; 3 + 3 + 0.6; 6.60 m"""
    )


def test_another_lens():
    setup = a_setup(a_look(camera={"focal_length_mm": 50, "aperture": "f/1.4", "distance_m": 0.7}))
    assert (
        said(lens_fit, setup)
        == """\
gap, LE-1: LE-1 has 85 mm, the recipe asks for 50 mm.
50.00 against 85.00, margin -35.00 mm
- Assign a lens with this focal length. [assign]
- Use 85 mm from 1.2 m for the same frame. [edit_recipe focal_length_mm=85] (another perspective, and another room behind the camera)

gap, LE-1: LE-1 focuses from 0.8 m on, the mark is at 0.7 m.
0.70 against 0.80, margin -0.10 m
- Put the camera at 0.84 m or farther. [edit_recipe] (the subject comes out smaller)
= to spare; distance − closest; 0.7 − 0.8; -0.10 m

gap, LE-1: LE-1 goes from f/1.8 to f/22, the recipe asks for f/1.4.
1.00 against 1.70, margin -0.70 stops
- Set f/1.8 and bring the other 0.7 stops back by ISO, filter or power. [edit_recipe] (depth of field)
- Assign another lens. [assign]
= aperture value; 2 · log2 N; f/1.41 against f/1.8; -0.70 stops"""
    )


def test_another_body():
    setup = a_setup(a_look(camera={"iso": "51200", "shutter": "1/16000"}))
    assert (
        said(camera_range, setup)
        == """\
gap, CA-1: CA-1 goes from ISO 100 to 25600, the recipe asks for 51200.
9.00 against 8.00, margin -1.00 stops
- Set ISO 25600 and bring 1.0 stops back by aperture, filter or power. [edit_recipe]
= out of range; log2( the smaller ISO / the larger ); log2( 25600 / 51200 ); -1.00 stops

gap, CA-1: CA-1 goes down to 1/8000 s, the recipe asks for 1/16000 s.
-14.00 against -12.97, margin -1.03 stops
- Set 1/8000 s and hold 1.0 stops of ambient back by aperture or filter. [edit_recipe]
= out of range; log2( time / shortest ); log2( 0.000061 / 0.000125 ); -1.03 stops"""
    )


def test_the_face_clips():
    setup = a_setup()
    prediction = a_prediction(zones=(a_zone(placement=3.5),))
    assert (
        said(headroom, setup, prediction)
        == """\
gap, face: face lies nearest to clipping: at +3.5, and the sensor clips it at +3.1: 0.4 stops lost.
3.50 against 3.06, margin -0.44 stops
- Expose 0.5 stops less, or take that much light off face. [edit_recipe] (every other zone goes darker with the exposure)
= headroom; log2( 78 / (0.65 · K) ); K = 12.5; 3.26 stops
= clips at; headroom + log2( π · K / (C · ρ) ); ρ = 0.18; +3.06 stops"""
    )


def test_the_whole_flash_does_not_fit_the_shutter():
    setup = a_setup(a_look(camera={"shutter": "1/250"}), heads=(a_strobe(high_speed_sync=False),))
    assert (
        said(sync, setup)
        == """\
gap, Key: Key needs 2.50 ms; at 1/250 s the whole frame is open for only 0.91 ms: 53% of the frame's height does not get the whole flash.
2.50 against 0.91, margin -1.59 ms
- Set the shutter to 1/160 s. [change_camera shutter=1/160] (ambient +0.7 stops, and its blur grows with it)
= window; t − Tc; 3.91 − 3.00; 0.91 ms
= needed; delay + t0.1; 0.00 + 2.50; 2.50 ms"""
    )


def test_zones_off_their_targets():
    setup = a_setup()
    prediction = a_prediction(
        zones=(
            a_zone(
                placement=0.8,
                ambient_share=0.75,
                flash_share=0.25,
                ambient_placement=0.4,
                light_shares=(("Key", 0.25),),
            ),
            a_zone("back", -1.0, ambient_share=0.2, light_shares=(("Key", 0.5), ("Rim", 0.3))),
            a_zone("hair", 0.22),
            a_zone("dark", -2.0, stays_dark=True),
        )
    )
    assert (
        said(placement, setup, prediction)
        == """\
gap, face: face at +0.8, wanted 0.0 ±0.3: 0.5 stops too bright.
0.80 against 0.00, margin -0.50 stops
- Mostly ambient: a shutter time 0.8 stops shorter moves it, and leaves the flash alone while the shutter stays within sync. [edit_recipe] (every other zone's ambient part moves with it)
= camera; N, t, S exact; f/5.6 → 5.657; 1/125 → 1/128.0 s; ISO 100
= ambient; P of the ambient alone; +0.40 stops
= Key; P of this light alone; 25% of the light here; −1.20 stops
= together; log2 of the sum of 2^P; +0.80 stops, spread ±0.10

gap, back: back at −1.0, wanted 0.0 ±0.3: 0.7 stops too dark.
-1.00 against 0.00, margin -0.70 stops
- Mostly Key: set it 1.0 stops higher. [edit_recipe] (every zone that Key reaches moves with it)
= camera; N, t, S exact; f/5.6 → 5.657; 1/125 → 1/128.0 s; ISO 100
= Key; P of this light alone; 50% of the light here; −2.00 stops
= Rim; P of this light alone; 30% of the light here; −2.74 stops
= together; log2 of the sum of 2^P; −1.00 stops, spread ±0.10

tight, hair: hair at +0.2, wanted 0.0 ±0.3: inside, but by less than the figures are sure of (±0.1).
0.22 against 0.00, margin +0.08 stops
- Mostly Key: set it 0.2 stops lower. [edit_recipe] (every zone that Key reaches moves with it)
= camera; N, t, S exact; f/5.6 → 5.657; 1/125 → 1/128.0 s; ISO 100
= Key; P of this light alone; 100% of the light here; +0.22 stops
= together; log2 of the sum of 2^P; +0.22 stops, spread ±0.10

ok, dark: dark at −2.0, wanted 0.0 ±0.3.
-2.00 against 0.00, margin +2.30 stops
= camera; N, t, S exact; f/5.6 → 5.657; 1/125 → 1/128.0 s; ISO 100
= Key; P of this light alone; 100% of the light here; −2.00 stops
= together; log2 of the sum of 2^P; −2.00 stops, spread ±0.10"""
    )


def test_the_head_is_too_weak():
    setup = a_setup()
    prediction = a_prediction(a_setting(wanted_stops=0.8, unit_tags=("ST-1",)))
    assert (
        said(power_range, setup, prediction)
        == """\
gap, Key: Key (ST-1) is 0.8 stops too weak: face stays short even at full power.
0.80 against 0.00, margin -0.80 stops
- Bring Key nearer: to 76% of its distance, roughly. [edit_recipe] (the light falls off faster across the subject)
= asked for; a test; face
= at full power; P of this light alone; on face; 0.00 stops
= setting; log2 of wanted / full, on the head's own scale; lowest −6.0, steps of 0.1; +0.80 stops, spread ±0.10"""
    )


def test_the_head_is_too_strong():
    setup = a_setup()
    prediction = a_prediction(a_setting(wanted_stops=-6.7, setting_stops=-6.0, unit_tags=("ST-1",)))
    assert (
        said(power_range, setup, prediction)
        == """\
gap, Key: Key (ST-1) is 0.7 stops too strong even at its lowest setting.
-6.70 against -6.00, margin -0.70 stops
- Hold Key back by 0.7 stops: a scrim, a neutral density gel, or more distance. [edit_recipe]
= asked for; a test; face
= at full power; P of this light alone; on face; 0.00 stops
= setting; log2 of wanted / full, on the head's own scale; lowest −6.0, steps of 0.1; −6.70 stops, spread ±0.10"""
    )


def test_daylight_and_tungsten():
    setup = a_setup(a_look(ambient=[{"zone": "face", "lux": 1500.0, "cct_k": 3200}]))
    prediction = a_prediction(
        zones=(a_zone(ambient_share=0.4, flash_share=0.6, light_shares=(("Key", 0.6),)),)
    )
    assert (
        said(colour, setup, prediction)
        == """\
gap, face: The lights on face lie 131 mired apart: ambient 3200 K, Key 5500 K.
130.68 against 30.00, margin -100.68 mired
- Add a gel of +131 mired to Key (warmer). [add_unit] (0.9 stops of Key, or more)
= ambient; 10⁶ / K; 10⁶ / 3200, 40% of the zone; 312 mired
= Key; 10⁶ / K; 10⁶ / 5500, 60% of the zone; 182 mired
= together; sum of the lights by share; 4340 K, Duv -0.0023"""
    )


def test_a_head_that_is_just_strong_enough_is_tight_with_nothing_to_bring_nearer():
    setup = a_setup()
    prediction = a_prediction(a_setting(wanted_stops=-0.05, setting_stops=0.0, unit_tags=("ST-1",)))
    (finding,) = power_range.check(setup, prediction)
    assert (finding.status, finding.remedies) == ("tight", ())


def test_a_zone_that_no_light_is_known_to_reach_is_told_without_a_remedy():
    setup = a_setup()
    prediction = a_prediction(zones=(a_zone(placement=-3.0, ambient_share=0.0, light_shares=()),))
    (finding,) = placement.check(setup, prediction)
    assert (finding.status, finding.remedies) == ("gap", ())


def test_a_setting_is_told_as_it_will_be_dialled_and_not_as_it_was_wanted():
    prediction = a_prediction(a_setting(wanted_stops=-2.2, setting_stops=-2.3, unit_tags=("ST-1",)))
    (finding,) = power_range.check(a_setup(), prediction)
    assert "at 1/4 power −0.3 (−2.3)" in finding.sentence


def test_a_light_that_reaches_no_zone_has_no_figure_at_full_power():
    prediction = a_prediction(a_setting(wanted_stops=-1.0, full_placement=None))
    (finding,) = power_range.check(a_setup(), prediction)
    assert [working.name for working in finding.workings] == ["asked for", "setting"]
