"""Where zones will lie, and what stands between the light and them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gear.specs import GelSpec, LensSpec, MeterSpec, ScrimSpec
from recipes.checks.placement import check as check_placement
from recipes.checks.prediction import predict
from recipes.checks.setup import PackedUnit
from tests.recipes.stages import (
    METERED,
    a_board,
    a_box,
    a_hall,
    a_light,
    a_look,
    a_panel,
    a_setup,
    a_strobe,
    a_zone,
    unit,
)

DARK = [{"zone": "face", "lux": 0}]


def placement(setup, zone="face"):
    return predict(setup).zone(zone).placement


def fixed(**more):
    return a_look(**{"lights": [a_light(setting_stops=0.0)], **more})


def test_full_power_at_two_metres_places_the_face_at_zero():
    assert placement(a_setup(fixed())) == pytest.approx(0.0, abs=1e-6)


def test_a_softbox_keeps_half_and_gathers_the_rest():
    # ISO 2720 and Lambert: 16 f at 1 m bare is 640 lx·s, 640 cd·s, so 8042 lm·s; half leaves a face of 0.54 m² and
    # gives 4021 / 0.54 · F at 2 m, F = 0.0409827 (Howell's catalogue, 0.6 by 0.9 on axis at 2 m).
    look = fixed(lights=[a_light(setting_stops=0.0, modifier={"width_m": 0.6, "height_m": 0.9})])
    exposure = 640 * 4 * 3.141592653589793 / 2 / 0.54 * 0.0409827
    from math import log2

    expected = log2(exposure * 100 / (250 * 64))
    assert placement(a_setup(look, modifier=unit(a_box(), "F-01"))) == pytest.approx(expected, abs=1e-4)


def test_an_octagon_of_a_discs_area_lights_as_the_disc_does():
    look = fixed(lights=[a_light(setting_stops=0.0, modifier={"shape": "disc", "width_m": 1.2})])
    eight = a_box(shape="polygon", corners=8, width_m=1.2, height_m=None)
    alike = a_box(shape="disc", width_m=2 * np.sqrt(eight.area_m2 / np.pi), height_m=None)
    found = [placement(a_setup(look, modifier=unit(box, "F-01"))) for box in (eight, alike)]
    assert found[0] == pytest.approx(found[1], abs=0.005)


def test_a_reading_taken_with_the_modifier_goes_before_its_efficiency():
    head = a_strobe(
        output=({"setting_stops": 0, "f_number_iso100": 8.0, "distance_m": 2.0, "modifier": "box-60-90"},)
    )
    look = fixed(lights=[a_light(setting_stops=0.0, modifier={"width_m": 0.6, "height_m": 0.9})])
    setup = a_setup(
        look, heads=(unit(head),), modifier=unit(a_box(efficiency=0.1), "F-01", type_slug="box-60-90")
    )
    assert placement(setup) == pytest.approx(0.0, abs=1e-6)


def test_a_modifier_that_is_planned_and_not_assigned_is_missed():
    look = fixed(lights=[a_light(modifier={"width_m": 0.6, "height_m": 0.9})])
    assert "a modifier" in predict(a_setup(look)).zone("face").missing


def test_a_wall_of_the_room_brings_light_back():
    bare = a_setup(fixed(), room=a_hall())
    white = a_setup(fixed(), room=a_hall(wall_reflectance=0.8, ceiling_reflectance=0.8))
    assert placement(bare) == pytest.approx(0.0, abs=1e-6)
    assert placement(white) > 0.1


def test_outdoors_nothing_comes_back():
    yard = a_hall(wall_reflectance=0.8, ceiling_reflectance=0.8, outdoors=True)
    assert placement(a_setup(fixed(), room=yard)) == pytest.approx(0.0, abs=1e-6)


def test_a_light_outside_the_room_is_said():
    setup = a_setup(fixed(lights=[a_light(distance_m=30.0)]), room=a_hall())
    assert "outside the room" in predict(setup).zone("face").missing


def test_a_bounce_off_a_board_lights_the_side_that_faces_it():
    bounce = {
        "bearing_deg": 90,
        "distance_m": 1.5,
        "width_m": 2.0,
        "height_of_board_m": 2.0,
        "reflectance": 0.9,
    }
    zones = [a_zone(facing_deg=90)]
    look = fixed(
        zones=zones, lights=[a_light(bearing_deg=355, distance_m=1.0, bounce=bounce, setting_stops=0.0)]
    )
    white = placement(a_setup(look, board=unit(a_board(), "B-01")))
    black = placement(a_setup(look, board=unit(a_board(reflectance=0.05), "B-01")))
    assert white > black + 1.0


def test_gels_and_scrims_take_their_stops():
    half = unit(GelSpec(mired_shift=0, transmittance=0.5), "G-01")
    quarter = unit(ScrimSpec(width_m=1, height_m=1, transmittance=0.25), "B-18")
    assert placement(a_setup(fixed(), gels=(half,))) == pytest.approx(-1.0, abs=1e-6)
    assert placement(a_setup(fixed(), scrim=quarter)) == pytest.approx(-2.0, abs=1e-6)
    planned = fixed(
        lights=[a_light(setting_stops=0.0, gels=[{"transmittance": 0.5}], scrim_transmittance=0.5)]
    )
    assert placement(a_setup(planned)) == pytest.approx(-2.0, abs=1e-6)


def test_neutral_density_and_the_lens_dim_flash_and_ambient_alike():
    camera = {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full", "nd_stops": 3.0}
    assert placement(a_setup(fixed(camera=camera))) == pytest.approx(-3.0, abs=1e-6)
    lens = unit(
        LensSpec(
            focal_min_mm=85,
            focal_max_mm=85,
            widest_f_number=2,
            closest_focus_m=0.8,
            mount="m",
            transmittance=0.5,
        ),
        "O-01",
    )
    # Of the 0.9 that meters and speeds are made for (ISO 12232) it lets 5/9 through.
    assert placement(a_setup(fixed(), lens=lens)) == pytest.approx(np.log2(0.5 / 0.9), abs=1e-6)
    clear = replace(lens, spec=lens.spec.model_copy(update={"transmittance": 0.95}))
    assert placement(a_setup(fixed(), lens=clear)) == pytest.approx(np.log2(0.95 / 0.9), abs=1e-6)
    assert worked(a_setup(fixed(), lens=clear))["lens"] == "gives 0.08 stops"
    unstated = replace(lens, spec=lens.spec.model_copy(update={"transmittance": 1.0}))
    assert placement(a_setup(fixed(), lens=unstated)) == pytest.approx(0.0, abs=1e-6)


def worked(setup):
    """Results of the workings of the placement, by their names."""
    return {one.name: one.result for one in next(check_placement(setup, predict(setup))).workings}


def test_a_hand_meter_sees_neither_lens_nor_neutral_density():
    # As much light as f/8 wants: the meter shows 0, the picture lies 3 stops of density and 0.53 of extension lower.
    camera = {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full", "nd_stops": 3.0}
    close = {**camera, "focal_length_mm": 100, "distance_m": 0.6}
    for lens, together in ((None, "−3.00"), (a_macro_lens(moves_out=True), "−3.53")):
        said = worked(a_setup(fixed(camera=close), lens=lens))
        assert said["together"].startswith(f"{together} stops")
        assert said["hand meter"] == "shows 0.00 stops"
    assert "hand meter" not in worked(a_setup(fixed()))


def a_macro_lens(**more):
    sizes = {"focal_min_mm": 100, "focal_max_mm": 100, "widest_f_number": 2.8, "closest_focus_m": 0.3}
    return unit(LensSpec(**sizes, mount="m", **more), "O-01")


def test_close_up_a_lens_that_moves_out_loses_light():
    # 100 mm at 0.6 m: m = 0.2, and (1 + m)² is 0.526 stop (a standard handbook of optics).
    camera = {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full"}
    close = {**camera, "focal_length_mm": 100, "distance_m": 0.6}
    setup = a_setup(fixed(camera=close), lens=a_macro_lens(moves_out=True))
    assert placement(setup) == pytest.approx(-2 * np.log2(1.2), abs=1e-6)
    said = worked(setup)
    # The meter stands before the lens: there is as much light on the face as ever.
    assert (said["lens"], said["hand meter"]) == ("takes 0.53 stops", "shows 0.00 stops")
    zone = predict(replace(setup, lens=a_macro_lens())).zone("face")
    assert zone.placement == pytest.approx(0.0, abs=1e-6)
    without = predict(replace(setup, lens=None)).zone("face").spread_stops
    assert zone.spread_stops == pytest.approx(np.hypot(without, 2 * np.log2(1.2) / np.sqrt(3)))
    assert predict(setup).zone("face").spread_stops == pytest.approx(without)


def test_nearer_than_a_lens_can_focus_nothing_is_said_of_its_extension():
    camera = {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full"}
    camera |= {"focal_length_mm": 100, "distance_m": 0.1}
    setup = a_setup(fixed(camera=camera), lens=a_macro_lens(moves_out=True))
    assert placement(setup) == pytest.approx(0.0, abs=1e-6)


def test_a_light_that_burns_grows_with_the_shutter_time():
    # 1000 cd at 2 m are 250 lx; at f/8, 1/128 s, ISO 100: log2(100 · 250 / 128 / (250 · 64)) = log2(100 / 8192).
    from math import log2

    look = fixed(lights=[a_light(source="continuous", setting_stops=0.0)])
    setup = a_setup(look, heads=(unit(a_panel(), "L-01"),))
    assert placement(setup) == pytest.approx(log2(100 / 8192), abs=1e-6)
    assert predict(setup).zone("face").continuous_share == pytest.approx(1.0)


def test_a_panel_lights_from_its_own_face():
    look = fixed(lights=[a_light(source="continuous", setting_stops=0.0)])
    point = placement(a_setup(look, heads=(unit(a_panel(beam_angle_deg=120.0)),)))
    face = placement(
        a_setup(look, heads=(unit(a_panel(beam_angle_deg=120.0, face_width_m=1.2, face_height_m=0.3)),))
    )
    assert face < point
    assert face == pytest.approx(point, abs=0.2)


def test_a_backdrop_is_seen_by_its_luminance():
    # 160 lx·s on a matt surface of 18 % give 160 · 0.18 / pi cd·s/m²; K = 12.5.
    from math import log2, pi

    zones = [a_zone("face", reading="luminance", reflectance=0.18)]
    assert placement(a_setup(fixed(zones=zones, ambient=[{"zone": "face", "cd_m2": 0}]))) == pytest.approx(
        log2(100 * 160 * 0.18 / pi / (12.5 * 64)), abs=1e-6
    )


@pytest.mark.parametrize("reading", ["luminance", "incident"])
def test_lamps_do_not_change_a_window(reading):
    zones = [a_zone(), a_zone("window", reading=reading, glows=True)]
    look = fixed(zones=zones, ambient=[*DARK, {"zone": "window", "ev100": 13}])
    window = predict(a_setup(look)).zone("window")
    # EV 13 metered at f/8 and 1/128 s: 6 + 7 = 13, so it lies at 0.
    assert window.placement == pytest.approx(0.0, abs=1e-6)
    assert window.ambient_share == 1.0


def test_a_zone_that_nobody_read_is_unknown_and_says_so():
    zone = predict(a_setup(fixed(ambient=[]))).zone("face")
    assert zone.placement is None
    assert "an ambient reading of face" in zone.missing


def test_no_light_at_all_has_no_placement():
    zone = predict(a_setup(fixed(lights=[]))).zone("face")
    assert (zone.placement, zone.missing) == (None, "any light at all")
    assert (zone.ambient_share, zone.flash_share, zone.continuous_share) == (0.0, 0.0, 0.0)


def test_nothing_is_missing_where_the_placement_is_known():
    zone = predict(a_setup()).zone("face")
    assert (zone.placement, zone.missing) == (pytest.approx(0.0, abs=1e-6), "")


def test_a_candle_lit_face_has_a_placement():
    # EV 1 at f/8 and 1/128 s, EV 13: twelve stops down.
    dim = fixed(lights=[], ambient=[{"zone": "face", "ev100": 1}])
    zone = predict(a_setup(dim)).zone("face")
    assert (zone.placement, zone.ambient_placement) == (pytest.approx(-12.0), pytest.approx(-12.0))


def test_shares_are_parts_of_what_there_is():
    # At 1 m full power gives four times what f/8 wants; a second head as much again.
    lights = [
        a_light("Key", distance_m=1.0, setting_stops=0.0),
        a_light("Fill", distance_m=1.0, setting_stops=0.0),
    ]
    zone = predict(a_setup(fixed(lights=lights))).zone("face")
    assert zone.placement == pytest.approx(3.0, abs=1e-6)
    assert dict(zone.light_shares) == {"Key": pytest.approx(0.5), "Fill": pytest.approx(0.5)}


def test_a_window_is_known_though_a_light_has_no_head():
    zones = [a_zone(), a_zone("window", reading="luminance", glows=True)]
    setup = a_setup(fixed(zones=zones, ambient=[*DARK, {"zone": "window", "ev100": 13}]), heads=())
    found = predict(setup)
    assert found.zone("window").placement == pytest.approx(0.0, abs=1e-6)
    assert "a head" in found.zone("face").missing


def test_a_light_without_a_purpose_leaves_what_it_does_not_reach_known():
    zones = [a_zone(stays_dark=True), a_zone("back", facing_deg=180, stays_dark=True)]
    lights = [{**a_light("Stray"), "aim": None}, a_light("Rim", bearing_deg=180, setting_stops=0.0)]
    look = fixed(zones=zones, lights=lights, ambient=[*DARK, {"zone": "back", "lux": 0}])
    found = predict(a_setup(look))
    assert "Stray" in found.zone("face").missing
    assert found.zone("back").placement == pytest.approx(0.0, abs=1e-6)


def test_a_light_that_does_not_reach_a_zone_hides_none_that_does():
    zones = [a_zone(), a_zone("back", facing_deg=180)]
    rim = a_light("Rim", bearing_deg=180, aim="back", setting_stops=0.0)
    look = fixed(
        zones=zones, lights=[rim, a_light(setting_stops=0.0)], ambient=[*DARK, {"zone": "back", "lux": 0}]
    )
    assert dict(predict(a_setup(look)).zone("face").light_shares) == {"Key": pytest.approx(1.0)}


def test_a_weak_light_in_a_white_hall_is_as_unsure_as_its_hall():
    # As for the zone that it alone lights: the walls' half stop by their share, the head's own tenth.
    setup = a_setup(
        fixed(lights=[a_light(distance_m=4.0, setting_stops=0.0)]),
        room=a_hall(wall_reflectance=0.8, ceiling_reflectance=0.8),
    )
    found = predict(setup)
    assert found.zone("face").placement < 0
    assert found.light("Key").spread_stops > 0.15
    assert found.light("Key").spread_stops == pytest.approx(found.zone("face").spread_stops)


def test_the_spread_is_shared_by_the_parts():
    # Two equal parts with 0.1 and 0.15 stop: sqrt(0.05² + 0.075²) (JCGM 100:2008, 5.1.2).
    read = {"zone": "face", "triple": {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full"}}
    zone = predict(a_setup(fixed(ambient=[read]))).zone("face")
    assert zone.spread_stops == pytest.approx((0.05**2 + 0.075**2) ** 0.5, abs=1e-6)


def test_a_white_hall_is_off_with_all_that_it_adds():
    # The walls' half stop goes with their whole share, first bounce and later ones (JCGM 100:2008, 5.2.2, note 1); the
    # head's tenth of a stop is its own.
    in_the_dark = placement(a_setup(fixed(), room=a_hall()))
    zone = predict(a_setup(fixed(), room=a_hall(wall_reflectance=0.8, ceiling_reflectance=0.8))).zone("face")
    of_the_hall = 1.0 - 2.0 ** (in_the_dark - zone.placement)
    assert of_the_hall > 0.1
    assert zone.spread_stops == pytest.approx((0.1**2 + (0.5 * of_the_hall) ** 2) ** 0.5)


def test_an_estimated_figure_marks_what_rests_on_it():
    guessed = a_strobe(output=(), efficacy_lm_per_w=32.0, sources={"*": {"basis": "estimated"}})
    assert predict(a_setup(fixed(), heads=(unit(guessed),))).zone("face").estimated
    box = a_box(sources={"*": {"basis": "estimated"}})
    look = fixed(lights=[a_light(setting_stops=0.0, modifier={"width_m": 0.6, "height_m": 0.9})])
    assert predict(a_setup(look, modifier=unit(box, "F-01"))).light("Key").estimated
    assert not predict(a_setup(fixed())).zone("face").estimated


def test_a_dome_meter_asks_for_more_light():
    # The head's readings were taken with the same meter, so flash cancels the constant and lux does not.
    high = unit(MeterSpec(c_incident=340, receptor="flat", sources={"*": METERED}), "X-01")
    assert placement(a_setup(fixed(), meter=high)) == pytest.approx(0.0, abs=1e-6)
    lit = fixed(lights=[], ambient=[{"zone": "face", "lux": 1000}])
    assert placement(a_setup(lit)) - placement(a_setup(lit, meter=high)) == pytest.approx(np.log2(340 / 250))


def dome_meter(**more):
    return unit(MeterSpec(c_incident=340, sources={"*": METERED}, **more), "X-01")


@pytest.mark.parametrize("bearing", [0, 40, 60, 80])
def test_a_dome_sees_more_of_a_light_from_aside(bearing):
    # (1 + cos) / 2 over cos: 0.585 stop at 60 degrees. The bare head is a point and was read on its axis.
    key = a_light(bearing_deg=bearing, setting_stops=0.0)
    setup = a_setup(fixed(lights=[key]))
    flat, dome = placement(setup), placement(replace(setup, meter=dome_meter()))
    cosine = np.cos(np.radians(bearing))
    assert dome - flat == pytest.approx(np.log2((1 + cosine) / 2 / cosine), abs=1e-6)
    assert placement(replace(setup, meter=dome_meter(receptor="flat"))) == pytest.approx(flat, abs=1e-9)


def test_a_meter_that_is_only_packed_is_the_one_that_reads():
    key = a_light(bearing_deg=60, setting_stops=0.0)
    setup = a_setup(fixed(lights=[key]))
    packed = replace(setup, packed=(PackedUnit(dome_meter(), "extra"),))
    assert placement(packed) == pytest.approx(placement(replace(setup, meter=dome_meter())), abs=1e-9)
    assert placement(packed) != pytest.approx(placement(setup), abs=0.1)


def test_lux_of_a_flat_receptor_say_less_of_what_a_dome_will_read():
    lit = a_setup(fixed(lights=[], ambient=[{"zone": "face", "lux": 1000, "spread_stops": 0.1}]))
    flat, dome = (predict(replace(lit, meter=meter)).zone("face") for meter in (None, dome_meter()))
    # Nobody says where it comes from: 0.91 stop more, give or take 0.37 (tests/recipes/light/test_dome.py).
    assert dome.placement - flat.placement == pytest.approx(0.91 - np.log2(340 / 250))
    assert flat.spread_stops == pytest.approx(0.1)
    assert dome.spread_stops == pytest.approx(np.hypot(0.1, 0.37))


def test_a_zone_metered_from_the_camera_asks_no_dome():
    wall = a_zone("wall", reading="luminance", bearing_deg=180, distance_m=2.0)
    look = fixed(zones=[a_zone(), wall], ambient=[{"zone": name, "lux": 0} for name in ("face",)])
    setup = a_setup(look)
    one, other = (
        predict(replace(setup, meter=meter)).light("Key").full_placement for meter in (None, dome_meter())
    )
    assert one == pytest.approx(other, abs=1e-6)


def test_a_head_that_was_read_with_another_meter_counts_by_the_constant_of_that_one():
    read = [{"f_number_iso100": 8.0, "distance_m": 2.0, "c_incident": 340.0}]
    same, other = (
        placement(a_setup(fixed(), heads=(unit(a_strobe(output=output)),)))
        for output in ([{**read[0], "c_incident": None}], read)
    )
    assert other - same == pytest.approx(np.log2(340 / 250), abs=1e-6)
    flat = placement(a_setup(fixed(), heads=(unit(a_strobe(output=[{**read[0], "receptor": "flat"}])),)))
    assert flat == pytest.approx(other, abs=1e-6)
