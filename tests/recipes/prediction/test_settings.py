"""Which setting a light needs, worked by hand from a head that reads f/16 at 1 m."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, log2

import pytest

from gear.specs import LensSpec
from recipes.checks.lighting import light_up
from recipes.checks.prediction import predict
from tests.recipes.stages import a_light, a_look, a_setup, a_strobe, a_zone, unit

HALF_READ = [
    {"setting_stops": 0, "f_number_iso100": 16},
    {"setting_stops": -2, "f_number_iso100": 8},
]


def wanted(setup, light="Key"):
    return predict(setup).light(light).wanted_stops


def test_f16_at_one_metre_is_f8_at_two():
    # Guide number 16 (ISO 1230): f/16 at 1 m, f/8 at 2 m, so full power is just right.
    assert wanted(a_setup()) == pytest.approx(0.0, abs=1e-6)


def test_one_metre_is_two_stops_nearer_than_two():
    assert wanted(a_setup(a_look(lights=[a_light(distance_m=1.0)]))) == pytest.approx(-2.0, abs=1e-6)


def test_too_far_is_said_in_stops_above_full_power():
    assert wanted(a_setup(a_look(lights=[a_light(distance_m=4.0)]))) == pytest.approx(2.0, abs=1e-6)


def test_two_heads_give_a_stop():
    heads = (unit(a_strobe(), "K-01"), unit(a_strobe(), "K-02"))
    assert wanted(a_setup(heads=heads)) == pytest.approx(-1.0, abs=1e-6)


def test_the_setting_is_dialled_on_the_heads_own_grid():
    look = a_look(lights=[a_light(distance_m=1.0)], zones=[a_zone(target=-0.26)])
    setup = a_setup(look, heads=(unit(a_strobe(step="1/3")),))
    setting = predict(setup).light("Key")
    assert setting.wanted_stops == pytest.approx(-2.26, abs=1e-6)
    assert setting.setting_stops == pytest.approx(-7 / 3)


def test_a_lift_is_counted_above_the_ambient():
    # Ambient at 0 as well: lifting it by one stop takes as much flash as there is ambient, so full power again.
    look = a_look(
        ambient=[
            {
                "zone": "face",
                "triple": {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full"},
            }
        ],
        lights=[a_light(lifts=[{"zone": "face", "lift_stops": 1.0}])],
    )
    assert wanted(a_setup(look)) == pytest.approx(0.0, abs=1e-6)


def test_a_light_may_be_asked_for_its_own_placement():
    look = a_look(lights=[a_light(lifts=[{"zone": "face", "alone_stops": -1.5}])])
    assert wanted(a_setup(look)) == pytest.approx(-1.5, abs=1e-6)


def test_the_target_is_filled_up_with_what_the_ambient_leaves():
    # Half of the light is there already (placement -1), the flash gives the other half.
    look = a_look(
        ambient=[
            {
                "zone": "face",
                "triple": {"aperture": "f/5.6", "shutter": "1/125", "iso": "100", "series": "full"},
            }
        ]
    )
    setup = a_setup(look)
    assert wanted(setup) == pytest.approx(-1.0, abs=1e-6)
    assert predict(setup).zone("face").placement == pytest.approx(0.0, abs=1e-6)
    assert predict(setup).zone("face").ambient_share == pytest.approx(0.5, abs=1e-6)


def at_minus(stops):
    """An ambient that lies by itself so many stops under f/8, 1/125, ISO 100."""
    return [{"zone": "face", "ev100": 13 - stops}]


def test_a_lift_is_a_multiple_of_the_ambient_and_a_part_of_full_power():
    # Half of what f/8 wants is there. 1.5 stops more are 0.5 · (2^1.5 − 1); full power at 1 m gives 4.
    look = a_look(
        ambient=at_minus(1), lights=[a_light(distance_m=1.0, lifts=[{"zone": "face", "lift_stops": 1.5}])]
    )
    assert wanted(a_setup(look)) == pytest.approx(log2(0.5 * (2**1.5 - 1) / 4), abs=1e-6)


def test_a_light_that_is_to_give_so_much_alone_is_set_by_what_it_has():
    look = a_look(lights=[a_light(distance_m=1.0, lifts=[{"zone": "face", "alone_stops": -1.5}])])
    assert wanted(a_setup(look)) == pytest.approx(-3.5, abs=1e-6)


def test_of_the_zones_that_a_light_lifts_the_first_that_it_reaches_counts():
    zones = [a_zone("back", facing_deg=180), a_zone()]
    lifts = [{"zone": name, "alone_stops": -1.5} for name in ("back", "face")]
    look = a_look(
        zones=zones,
        ambient=[{"zone": name, "lux": 0} for name in ("back", "face")],
        lights=[a_light(lifts=lifts)],
    )
    assert wanted(a_setup(look)) == pytest.approx(-1.5, abs=1e-6)


def test_what_a_fixed_light_gives_is_left_out_of_what_the_others_fill_up():
    # Full power at 1 m gives 4, so four stops down a quarter; three quarters are left for the other.
    lights = [a_light("Key", distance_m=1.0, setting_stops=-4.0), a_light("Fill")]
    assert wanted(a_setup(a_look(lights=lights)), "Fill") == pytest.approx(log2(0.75), abs=1e-6)


CLOSE = {
    "aperture": "f/8",
    "shutter": "1/125",
    "iso": "100",
    "series": "full",
    "focal_length_mm": 100,
    "distance_m": 0.6,
}
MACRO = LensSpec(focal_min_mm=100, focal_max_mm=100, widest_f_number=2.8, closest_focus_m=0.3, mount="m")


def spread(**light):
    """Of the key's setting, with a lens at a fifth of life size of which nobody says how it focuses."""
    look = a_look(camera=CLOSE, lights=[a_light(**light)], ambient=at_minus(1))
    return predict(a_setup(look, lens=unit(MACRO, "O-01"))).light("Key").spread_stops


@pytest.mark.parametrize("light", [{}, {"lifts": [{"zone": "face", "alone_stops": -1.0}]}])
def test_a_setting_for_a_placement_hangs_on_what_the_lens_takes(light):
    # The head's own tenth, and 2 log2 1.2 = 0.526 stop that the lens takes or not: 0.526 / sqrt 3 = 0.304.
    assert spread(**light) == pytest.approx(hypot(0.1, 0.3037), abs=1e-4)


@pytest.mark.parametrize("light", [{"lifts": [{"zone": "face", "lift_stops": 1.0}]}, {"setting_stops": -1.0}])
def test_neither_a_lift_above_the_ambient_nor_a_fixed_setting_hangs_on_the_lens(light):
    # What the lens takes of the lamp it takes of the ambient too.
    assert spread(**light) == pytest.approx(0.1)


def test_a_light_without_a_head_takes_no_part():
    setup = a_setup(a_look(lights=[a_light("Ghost"), a_light("Key")]))
    ghost, key = setup.lights
    setup = replace(setup, lights=(replace(ghost, heads=()), key))
    found = predict(setup)
    assert found.light("Key").wanted_stops == pytest.approx(0.0, abs=1e-6)
    # Nothing is known of it, so nothing of it is estimated or uncertain either.
    ghostly = found.light("Ghost")
    assert (ghostly.spread_stops, ghostly.estimated, ghostly.full_placement) == (0.0, False, None)


def test_where_not_all_can_be_had_each_zone_counts_by_its_own_target():
    # The key spills onto the ground, which is to lie three stops down, more than it may: no light takes away. Of
    # (a f − 1)² + (b f / 2^-3 − 1)² the least is at f = (a + 8 b) / (a² + 64 b²).
    zones = [a_zone(), a_zone("ground", -3.0, height_m=1.2)]
    lights = [a_light(distance_m=1.5), a_light("Low", distance_m=3.0, aim="ground")]
    look = a_look(
        zones=zones, lights=lights, ambient=[{"zone": "face", "lux": 0}, {"zone": "ground", "lux": 0}]
    )
    setup = a_setup(look)
    lit = light_up(setup)
    a, b = lit.full("Key", "face"), lit.full("Key", "ground")
    assert wanted(setup, "Low") == -6.0
    assert wanted(setup) == pytest.approx(log2((a + 8 * b) / (a**2 + 64 * b**2)), abs=1e-6)


def test_a_fixed_setting_stays_what_the_recipe_says():
    prediction = predict(a_setup(a_look(lights=[a_light(setting_stops=-1.0)])))
    assert prediction.light("Key").fixed
    assert prediction.light("Key").setting_stops == -1.0
    assert prediction.zone("face").placement == pytest.approx(-1.0, abs=1e-6)


def test_two_lights_on_two_zones_are_solved_together():
    zones = [a_zone(), a_zone("back", target=-1.0, facing_deg=180)]
    lights = [a_light(), a_light("Rim", role="rim", bearing_deg=180, aim="back")]
    look = a_look(
        zones=zones, lights=lights, ambient=[{"zone": "face", "lux": 0}, {"zone": "back", "lux": 0}]
    )
    prediction = predict(a_setup(look))
    assert prediction.light("Key").wanted_stops == pytest.approx(0.0, abs=1e-6)
    assert prediction.light("Rim").wanted_stops == pytest.approx(-1.0, abs=1e-6)


def test_a_light_that_nothing_is_left_for_goes_to_its_lowest_setting():
    look = a_look(
        ambient=[
            {
                "zone": "face",
                "triple": {"aperture": "f/16", "shutter": "1/125", "iso": "100", "series": "full"},
            }
        ]
    )
    assert wanted(a_setup(look)) == pytest.approx(-6.0)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"heads": ()}, "a head"),
        ({"heads": (unit(a_strobe(output=())),)}, "a meter reading of Some type"),
        (
            {
                "heads": (
                    unit(
                        a_strobe(
                            output=[
                                {"setting_stops": 0, "f_number_iso100": 16},
                                {"setting_stops": -2, "f_number_iso100": 8},
                            ]
                        )
                    ),
                )
            },
            "both ends of its scale",
        ),
    ],
)
def test_what_is_missing_is_named(change, says):
    setting = predict(a_setup(**change)).light("Key")
    assert setting.wanted_stops is None
    assert says in setting.missing


def test_a_light_without_a_purpose_asks_for_one():
    look = a_look(zones=[a_zone(stays_dark=True)], lights=[{**a_light(), "aim": None}])
    assert "what this light is for" in predict(a_setup(look)).light("Key").missing
