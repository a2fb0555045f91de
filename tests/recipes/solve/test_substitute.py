"""What else makes the same light."""

from __future__ import annotations

import pytest

from recipes.checks.exposure import meter_of
from recipes.checks.heads import head_output
from recipes.checks.lighting import light_up
from recipes.checks.prediction import predict
from recipes.solve.substitute import substitutes, with_heads
from tests.recipes.stages import a_box, a_hall, a_light, a_look, a_setup, a_strobe, unit


def head(tag, f_number, **more):
    return unit(
        a_strobe(
            output=(
                {"setting_stops": 0, "f_number_iso100": f_number},
                {"setting_stops": -6, "f_number_iso100": f_number / 8},
            )
        ),
        tag,
        **{"type_slug": tag.lower(), **more},
    )


TOO_FAR = a_look(lights=[a_light(distance_m=4.0)])


def test_the_nearest_with_something_to_spare_comes_first_and_weak_ones_not_at_all():
    heads = [head("A-1", 22.627), head("D-1", 128.0), head("B-1", 45.2548), head("C-1", 32.01)]
    found = substitutes(a_setup(TOO_FAR), "Key", heads)
    assert [one.unit.tag for one in found] == ["B-1", "D-1", "C-1"]
    assert [one.margin_stops for one in found] == pytest.approx([1.0, 2.0, 0.0], abs=1e-3)
    assert found[0].gain_stops == pytest.approx(3.0, abs=1e-4)


def test_one_of_a_type_is_enough():
    found = substitutes(
        a_setup(TOO_FAR), "Key", [head("B-1", 45.0, type_slug="b"), head("B-2", 45.0, type_slug="b")]
    )
    assert [one.unit.tag for one in found] == ["B-1"]


def test_after_a_second_of_a_type_the_others_are_still_looked_at():
    heads = [head("B-1", 45.0, type_slug="b"), head("B-2", 45.0, type_slug="b"), head("D-1", 128.0)]
    assert [one.unit.tag for one in substitutes(a_setup(TOO_FAR), "Key", heads)] == ["B-1", "D-1"]


def test_of_those_with_little_to_spare_the_one_with_more_comes_first():
    tight = [head("C-1", 32.2), head("C-2", 36.0)]
    assert [one.unit.tag for one in substitutes(a_setup(TOO_FAR), "Key", tight)] == ["C-2", "C-1"]


def test_half_a_stop_to_spare_is_comfort_and_what_is_nearest_to_it_comes_first():
    # Common practice, no source. From 32.0, just enough, a tenth of a stop each way from half a stop to spare.
    near = [head("C-1", 32.0 * 2**0.2), head("C-2", 32.0 * 2**0.3), head("C-3", 32.0 * 2**0.5)]
    found = substitutes(a_setup(TOO_FAR), "Key", near)
    assert [one.margin_stops for one in found] == pytest.approx([0.6, 1.0, 0.4], abs=1e-6)


@pytest.mark.parametrize(("short_stops", "count"), [(0.0, 1), (0.04, 1), (0.06, 0)])
def test_just_enough_is_enough_to_a_twentieth_of_a_stop(short_stops, count):
    # Less than a dial shows, as for the check of power.
    heads = [head("C-1", 32.0 * 2 ** (-short_stops / 2))]
    assert len(substitutes(a_setup(TOO_FAR), "Key", heads)) == count


def test_what_cannot_be_used_does_not_hide_what_can():
    unknown = unit(a_strobe(output=()), "Z-1", type_slug="z")
    broken = head("A-1", 45.0, fit_for_use=False, why_not="repair")
    found = substitutes(a_setup(TOO_FAR), "Key", [broken, unknown, head("B-1", 45.0)])
    assert [one.unit.tag for one in found] == ["B-1"]


def test_an_unfit_unit_is_no_way_out():
    assert (
        substitutes(a_setup(TOO_FAR), "Key", [head("B-1", 45.0, fit_for_use=False, why_not="repair")]) == ()
    )


def test_a_head_that_nobody_metered_is_no_way_out():
    unknown = unit(a_strobe(output=()), "Z-1", type_slug="z")
    assert substitutes(a_setup(TOO_FAR), "Key", [unknown]) == ()


def test_nothing_assigned_yet_has_no_gain_and_no_mass_to_compare():
    found = substitutes(a_setup(TOO_FAR, heads=()), "Key", [head("B-1", 45.0)])
    assert (found[0].gain_stops, found[0].mass_kg) == (None, None)


def test_the_added_mass_is_counted_for_every_head():
    heavy = unit(a_strobe(mass_kg=3.4), "H-1", type_slug="h")
    two = (unit(a_strobe(), "K-01"), unit(a_strobe(), "K-02"))
    found = substitutes(a_setup(heads=two), "Key", [heavy])
    assert found[0].mass_kg == pytest.approx(2.0)
    weightless = unit(a_strobe(mass_kg=None), "W-1", type_slug="w")
    assert substitutes(a_setup(heads=two), "Key", [weightless])[0].mass_kg is None


def test_the_other_lights_keep_their_heads():
    key, fill = with_heads(
        a_setup(a_look(lights=[a_light(), a_light("Fill")])), "Fill", (head("B-1", 45.0),)
    ).lights
    assert ([one.tag for one in key.heads], [one.tag for one in fill.heads]) == (["K-01"], ["B-1"])


def test_a_light_that_is_not_there_is_refused():
    with pytest.raises(KeyError):
        with_heads(a_setup(), "Fill", ())


@pytest.mark.parametrize("in_front", [{"modifier": unit(a_box(), "F-01")}, {}], ids=["softbox", "bare"])
def test_the_quick_way_says_what_lighting_it_anew_says(in_front):
    plan = {"modifier": {"width_m": 0.6, "height_m": 0.9}} if in_front else {}
    look = a_look(lights=[a_light(distance_m=4.0, height_m=2.5, **plan)])
    setup = a_setup(look, room=a_hall(wall_reflectance=0.5), **in_front)
    # Seven stops on the dial, five of light.
    guessed = {"sources": {"*": {"basis": "estimated"}}, "lowest_setting_stops": -7.0, "beam_angle_deg": 60.0}
    candidates = [
        head("B-1", 90.0),
        unit(
            a_strobe(
                output=(
                    {"setting_stops": -7, "f_number_iso100": 22.627},
                    {"setting_stops": 0, "f_number_iso100": 128.0},
                ),
                **guessed,
            ),
            "C-1",
            type_slug="c",
        ),
    ]
    quick = {one.unit.tag: one for one in substitutes(setup, "Key", candidates)}
    assert len(quick) == 2
    for candidate in candidates:
        anew = predict(with_heads(setup, "Key", (candidate,))).light("Key")
        found = quick[candidate.tag]
        assert found.wanted_stops == pytest.approx(anew.wanted_stops, abs=1e-9)
        assert found.estimated == anew.estimated == (candidate.tag == "C-1")
        left = min(-anew.wanted_stops, anew.wanted_stops - anew.lowest_stops)
        assert found.margin_stops == pytest.approx(left, abs=1e-9)


def test_other_heads_behind_one_modifier_light_as_if_lit_anew():
    # A bright hall: what the walls add is off by half a stop, whichever head lights them.
    look = a_look(lights=[a_light(distance_m=4.0, height_m=2.5, modifier={"width_m": 0.6, "height_m": 0.9})])
    setup = a_setup(look, room=a_hall(wall_reflectance=0.8), modifier=unit(a_box(), "F-01"))
    other = with_heads(setup, "Key", (head("B-1", 90.0),))
    before, anew = light_up(setup), light_up(other)
    output = head_output(other.lights[0], meter_of(other))
    old = head_output(setup.lights[0], meter_of(setup))
    (found,) = before.with_output("Key", output, output.full_flux / old.full_flux).lights
    (expected,) = anew.lights
    assert found.spread_stops == pytest.approx(expected.spread_stops)
    assert found.spread_stops > found.head_spread_stops == expected.head_spread_stops
    assert found.by_way["face"] == pytest.approx(expected.by_way["face"])
    assert found.full_of("face") == pytest.approx(expected.full_of("face"))
    assert before.with_output("Fill", output, 2.0) == before
