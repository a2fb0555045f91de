"""Facts about lights that pulse. True times: 1/60 is 1/64, 1/125 is 1/128, 1/8000 is 1/8192."""

from __future__ import annotations

import pytest

from recipes.checks.flicker import check, line_frequencies_hz
from tests.recipes.checks.setups import (
    a_camera,
    a_look,
    a_panel,
    a_plan,
    a_prediction,
    a_room,
    a_setting,
    a_setup,
    a_zone,
)


def burning(shutter="1/125", country="FR", camera=None, **panel):
    look = a_look(a_plan(source="continuous"), camera={"shutter": shutter})
    return a_setup(look, heads=(a_panel(**panel),), room=a_room(country=country), camera=camera or a_camera())


def share(of_key: float):
    return a_prediction(a_setting(), zones=(a_zone(light_shares=(("Key", of_key),)),))


def only(findings):
    (finding,) = findings
    return finding


def test_a_lamp_on_50_hz_shows_at_a_marked_1_60_which_is_1_64():
    # f t = 100 / 64 = 1.5625; r = |sin(pi 1.5625)| / (pi 1.5625) = 0.19981; log2(1.19981 / 0.80019) = 0.5844.
    finding = only(check(burning("1/60", flicker="mains", flicker_modulation=1.0), share(1.0)))
    assert (finding.status, finding.value) == ("gap", pytest.approx(0.5844, abs=1e-3))


def test_the_same_lamp_among_other_lights_shows_less():
    # Modulation 0.3 at 1/128: r = 0.3 · 0.25847 = 0.07754; six tenths of the zone: 0.04652; range 0.1343.
    finding = only(check(burning(flicker="mains", flicker_modulation=0.3), share(0.6)))
    assert (finding.status, finding.value) == ("tight", pytest.approx(0.1343, abs=1e-3))


def test_a_whole_number_of_pulses_shows_nothing_and_is_offered():
    # 1/64 is nearest in stops to one hundredth or two; 1.5625 pulses lie over the square root of 2: two.
    finding = only(check(burning("1/60", flicker="mains", flicker_modulation=1.0), share(1.0)))
    assert "1/50 s" in finding.remedies[0].sentence


@pytest.mark.parametrize(
    ("shutter", "hertz", "duty", "stops", "status"),
    [
        # 1000 / 128 = 7.8125 pulses at half on: most 4.0, least 3.8125: log2 = 0.0693.
        ("1/125", 1000.0, 0.5, 0.0693, "ok"),
        # 25 000 / 8192 = 3.0518 pulses, on for a tenth: 0.3518 against 0.3: log2 = 0.2296.
        ("1/8000", 25000.0, 0.1, 0.2296, "gap"),
        # 100 / 8192 of a pulse may fall wholly into the dark: shown as ten stops.
        ("1/8000", 100.0, 0.5, 10.0, "gap"),
    ],
)
def test_a_light_that_is_switched_on_and_off(shutter, hertz, duty, stops, status):
    finding = only(check(burning(shutter, flicker="pwm", flicker_hz=hertz, pwm_duty=duty), share(1.0)))
    assert (finding.status, finding.value) == (status, pytest.approx(stops, abs=1e-3))


@pytest.mark.parametrize(("of_key", "status"), [(0.42, "ok"), (0.48, "tight")])
def test_a_tenth_of_a_stop_between_frames_is_tight(of_key, status):
    # Common practice, no source: 0.094 and 0.107 stop.
    finding = only(check(burning(flicker="mains", flicker_modulation=0.3), share(of_key)))
    assert finding.status == status


def test_half_of_a_zone_that_goes_dark_is_told_in_stops():
    # A light that may be wholly dark gives half of the zone: log2(1.5 / 0.5).
    dark = burning("1/8000", flicker="pwm", flicker_hz=100.0, pwm_duty=0.5)
    assert only(check(dark, share(0.5))).value == pytest.approx(1.585, abs=1e-3)


@pytest.mark.parametrize(
    ("shutter", "hertz", "of_key", "stops"),
    [
        # 500 / 1024 of a pulse that is on for a hundredth: the brightest frame has it whole, 2.048 times the mean, the
        # darkest has none of it. A tenth of the zone: log2(1.1048 / 0.9).
        ("1/1000", 500.0, 0.1, 0.2958),
        # 100 / 1024 of such a pulse: 10.24 times the mean or nothing; 3 % of the zone: log2(1.2772 / 0.97).
        ("1/1000", 100.0, 0.03, 0.3969),
        # 1000 / 512 pulses: one or two of them, 0.512 and 1.024 times the mean; half of the zone: log2(1.012 / 0.756).
        ("1/500", 1000.0, 0.5, 0.4208),
    ],
)
def test_a_short_pulse_swings_further_up_than_down(shutter, hertz, of_key, stops):
    lamp = burning(shutter, flicker="pwm", flicker_hz=hertz, pwm_duty=0.01)
    finding = only(check(lamp, share(of_key)))
    assert (finding.status, finding.value) == ("gap", pytest.approx(stops, abs=1e-3))


@pytest.mark.parametrize(
    ("sources", "estimated"),
    [({}, False), ({"flicker_modulation": {"basis": "estimated"}}, True)],
)
def test_a_pulse_that_is_a_guess_makes_the_answer_one(sources, estimated):
    lamp = burning(flicker="mains", flicker_modulation=0.3, sources=sources)
    assert only(check(lamp, share(1.0))).estimated is estimated


def test_a_light_whose_share_nobody_knows_is_judged_by_itself():
    prediction = a_prediction(a_setting(setting_stops=None), zones=(a_zone(placement=None, light_shares=()),))
    finding = only(check(burning("1/60", flicker="mains", flicker_modulation=1.0), prediction))
    assert finding.value == pytest.approx(0.5844, abs=1e-3)
    assert "by itself" in finding.sentence


def test_without_the_depth_of_the_pulse_it_is_unknown():
    finding = only(check(burning(flicker="mains"), share(1.0)))
    assert (finding.status, finding.missing) == (
        "unknown",
        "flicker_modulation of Plain continuous: how deep it pulses, 0 to 1",
    )


def test_two_heads_of_one_type_are_told_once():
    look = a_look(a_plan(source="continuous"))
    heads = (
        a_panel("PA-1", flicker="mains", flicker_modulation=1.0),
        a_panel("PA-2", flicker="mains", flicker_modulation=1.0),
    )
    assert len(list(check(a_setup(look, heads=heads), share(1.0)))) == 1


def test_a_light_without_flicker_asks_nothing():
    assert list(check(burning(), share(1.0))) == []


def test_where_nobody_knows_the_mains_the_worse_frequency_counts():
    # At 1/128 two pulses a period of 60 Hz give 0.9375, of 50 Hz 0.78125: the latter differs more.
    unknown = only(check(burning(country="", flicker="mains", flicker_modulation=1.0), share(1.0)))
    french = only(check(burning(country="FR", flicker="mains", flicker_modulation=1.0), share(1.0)))
    american = only(check(burning(country="us", flicker="mains", flicker_modulation=1.0), share(1.0)))
    assert unknown.value == french.value > american.value


def test_without_a_room_both_frequencies_are_tried():
    look = a_look(a_plan(source="continuous"))
    setup = a_setup(look, heads=(a_panel(flicker="mains", flicker_modulation=1.0),))
    assert "100 Hz" in only(check(setup, share(1.0))).sentence


@pytest.mark.parametrize(
    ("country", "hertz"),
    [("FR", (50.0,)), ("us ", (60.0,)), ("CR", (60.0,)), ("JP", (50.0, 60.0)), ("", (50.0, 60.0))],
)
def test_mains_by_country(country, hertz):
    # IEC list of world plugs, from memory: not a gate for anything else.
    assert line_frequencies_hz(country) == hertz


def test_bands_of_an_electronic_shutter_are_told():
    # 100 Hz · 1/30 s = 3.33 bands.
    setup = burning(flicker="mains", flicker_modulation=1.0, camera=a_camera(readout_s=1 / 30))
    workings = only(check(setup, share(1.0))).workings
    assert workings[-1].result == "3.3"


def test_the_zone_that_a_lamp_lights_most_counts():
    zones = tuple(a_zone(name, light_shares=(("Key", part),)) for name, part in (("hem", 0.1), ("face", 0.6)))
    lamp = burning("1/60", flicker="mains", flicker_modulation=1.0)
    finding = only(check(lamp, a_prediction(a_setting(source="continuous"), zones=zones)))
    alone = only(check(lamp, share(1.0)))
    less = only(check(lamp, share(0.6)))
    assert "on face" in finding.sentence
    assert finding.value == pytest.approx(less.value)
    assert less.value < alone.value
