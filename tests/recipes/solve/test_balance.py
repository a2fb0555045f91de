"""Another camera setting under which everything is inside its target."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gear.specs import CameraSpec, LensSpec
from recipes.solve.balance import camera_changes
from tests.recipes.stages import a_light, a_look, a_panel, a_setup, a_strobe, a_zone, unit

BODY = unit(
    CameraSpec(
        sensor_width_mm=36,
        sensor_height_mm=24,
        pixels_wide=6000,
        sync_speed_s=1 / 125,
        curtain_travel_s=0.003,
        lens_mount="m",
    ),
    "N-01",
)
LENS = unit(
    LensSpec(focal_min_mm=85, focal_max_mm=85, widest_f_number=5.6, closest_focus_m=0.8, mount="m"), "O-01"
)
WEAK = {"lights": [a_light(distance_m=2.0 * 2**0.5)]}  # one stop short


def test_one_stop_short_is_mended_by_one_stop_of_aperture_or_speed():
    found = {change.by: change for change in camera_changes(a_setup(a_look(**WEAK)))}
    assert found["aperture"].camera.aperture == "f/5.6"
    assert found["speed"].camera.iso == "200"
    assert found["speed"].gain_stops == pytest.approx(1.0)
    assert found["speed"].changed == (("aperture", "f/8"), ("shutter", "1/125"), ("iso", "200"))


def windowed(target=0.0, tolerance=0.3, **more):
    zones = [a_zone(), a_zone("window", target, tolerance, reading="luminance", glows=True)]
    return a_look(zones=zones, ambient=[{"zone": "face", "lux": 0}, {"zone": "window", "ev100": 13}], **more)


def test_the_window_is_held_by_a_shorter_time():
    change = camera_changes(a_setup(windowed(**WEAK)))[0]
    assert (change.camera.shutter, change.shorter_stops) == ("1/250", pytest.approx(1.0))


def test_the_shutter_stays_within_sync():
    assert camera_changes(a_setup(windowed(**WEAK), camera=BODY)) == ()


def bright_window(source, distance_m=1.0):
    zones = [a_zone(), a_zone("window", reading="luminance", glows=True)]
    ambient = [{"zone": "face", "lux": 0}, {"zone": "window", "ev100": 14}]
    return a_look(zones=zones, ambient=ambient, lights=[a_light(source=source, distance_m=distance_m)])


def test_a_light_that_burns_knows_no_sync_and_a_strobe_does():
    bright = unit(a_panel(flux_lm=12566.370614 * 64))
    burning = {
        c.by: c for c in camera_changes(a_setup(bright_window("continuous"), heads=(bright,), camera=BODY))
    }
    assert burning["speed"].camera.shutter == "1/250"
    flashing = camera_changes(a_setup(bright_window("strobe"), camera=BODY))
    assert all(change.shorter_stops <= 0 for change in flashing)
    assert flashing


def test_a_shorter_time_takes_from_a_lamp_that_burns_at_its_full_and_not_from_a_flash():
    # The lamp just lights the face at f/8 and 1/125; the window is a stop too bright.
    full = unit(a_panel(flux_lm=12566.370614 * 81.92))
    assert camera_changes(a_setup(bright_window("continuous", 2.0), heads=(full,))) == ()
    assert camera_changes(a_setup(bright_window("strobe", 2.0)))[0].camera.shutter == "1/250"


def test_the_lens_opens_no_further_than_it_can():
    look = a_look(lights=[a_light(distance_m=4.0)])
    found = {change.by: change for change in camera_changes(a_setup(look, lens=LENS))}
    assert "aperture" not in found
    assert found["speed"].camera.iso == "400"


def test_the_body_goes_no_lower_than_its_lowest_speed():
    readings = [
        {"setting_stops": 0, "f_number_iso100": 16.0},
        {"setting_stops": -5, "f_number_iso100": 16.0 / 2**2.5},
    ]
    head = unit(a_strobe(lowest_setting_stops=-5.0, output=readings))
    strong = a_setup(a_look(lights=[a_light(distance_m=0.2)]), heads=(head,), camera=BODY)
    found = {change.by: change for change in camera_changes(strong)}
    assert found["aperture"].gain_stops < 0
    assert "speed" not in found


def test_what_no_camera_setting_mends_gets_none():
    assert camera_changes(a_setup(a_look(lights=[a_light(distance_m=20.0)]))) == ()
    assert camera_changes(a_setup(a_look(ambient=[]))) == ()


def thirds(**camera):
    return {"camera": {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "third", **camera}}


def test_a_third_of_a_stop_short_is_mended_by_a_third():
    look = a_look(**thirds(), zones=[a_zone(tolerance=0.05)], lights=[a_light(distance_m=2.0 * 2 ** (1 / 6))])
    found = {change.by: change for change in camera_changes(a_setup(look))}
    assert (found["aperture"].camera.aperture, found["speed"].camera.iso) == ("f/7.1", "125")
    assert found["aperture"].gain_stops == pytest.approx(1 / 3)


def test_where_the_dials_go_by_halves_half_a_stop_is_mended_by_half_a_stop():
    look = a_look(
        **thirds(series="half"), zones=[a_zone(tolerance=0.05)], lights=[a_light(distance_m=2.0 * 2**0.25)]
    )
    found = {change.by: change for change in camera_changes(a_setup(look))}
    assert (found["aperture"].gain_stops, found["speed"].gain_stops) == (0.5, 0.5)
    assert (found["aperture"].camera.aperture, found["speed"].camera.iso) == ("f/6.7", "140")


def test_two_stops_are_on_the_dials_as_two_stops():
    look = a_look(**thirds(), zones=[a_zone(tolerance=0.05)], lights=[a_light(distance_m=4.0)])
    found = {change.by: change for change in camera_changes(a_setup(look))}
    assert (found["aperture"].camera.aperture, found["speed"].camera.iso) == ("f/4", "400")


# A head that reaches down to 1/64 is three stops too strong at 2 m / 2^4.5.
@pytest.mark.parametrize("distance_m", [2.0 * 2**1.5, 2.0 / 2**4.5], ids=["weak", "strong"])
def test_beyond_two_stops_nothing_is_tried(distance_m):
    assert camera_changes(a_setup(a_look(lights=[a_light(distance_m=distance_m)]))) == ()


def test_a_tenth_more_than_a_stop_short_takes_two():
    look = a_look(zones=[a_zone(tolerance=0.05)], lights=[a_light(distance_m=2.0 * 2**0.55)])
    assert {change.gain_stops for change in camera_changes(a_setup(look))} == {2.0}


@pytest.mark.parametrize(
    ("series", "ev100", "shutter", "stops"),
    [("third", 13 + 1 / 3, "1/160", 1 / 3), ("third", 15, "1/500", 2.0), ("half", 13.5, "1/180", 0.5)],
)
def test_a_window_too_bright_beside_a_face_that_is_right_takes_a_shorter_time(series, ev100, shutter, stops):
    zones = [a_zone(tolerance=0.05), a_zone("window", tolerance=0.05, reading="luminance", glows=True)]
    ambient = [{"zone": "face", "lux": 0}, {"zone": "window", "ev100": ev100}]
    change = camera_changes(a_setup(a_look(**thirds(series=series), zones=zones, ambient=ambient)))[0]
    assert (change.camera.shutter, change.shorter_stops) == (shutter, pytest.approx(stops))


def test_where_all_is_well_the_setting_of_the_recipe_is_no_change():
    found = camera_changes(a_setup())
    assert found
    assert all((change.gain_stops, change.shorter_stops) != (0.0, 0.0) for change in found)


def by_daylight(ev100, target=0.0, tolerance=0.3, **more):
    """A window alone; f/8, 1/125 and ISO 100 place a reading of EV 13 at 0."""
    zone = a_zone("window", target, tolerance, reading="luminance", glows=True, **more)
    return a_look(zones=[zone], ambient=[{"zone": "window", "ev100": ev100}], lights=[])


@pytest.mark.parametrize(
    ("ev100", "target", "aperture"),
    [(12, 0.0, "f/5.6"), (14, 0.0, "f/11"), (12, 1.0, "f/4"), (14, -1.0, "f/16")],
)
def test_too_dark_is_opened_up_and_too_bright_is_stopped_down(ev100, target, aperture):
    found = {change.by: change for change in camera_changes(a_setup(by_daylight(ev100, target)))}
    assert found["aperture"].camera.aperture == aperture


def test_a_stop_of_aperture_is_a_stop_of_ambient():
    # EV 12.1 is 0.9 stop short: a stop more puts it a tenth over.
    found = {change.by: change for change in camera_changes(a_setup(by_daylight(12.1, tolerance=0.15)))}
    assert found["aperture"].gain_stops == 1.0


@pytest.mark.parametrize(("tolerance", "gain_stops"), [(1.0, 1.0), (0.9995, 2.0)])
def test_just_at_its_tolerance_a_zone_is_inside(tolerance, gain_stops):
    found = {change.by: change for change in camera_changes(a_setup(by_daylight(11, tolerance=tolerance)))}
    assert found["aperture"].gain_stops == gain_stops


def test_of_what_mends_it_in_as_many_steps_the_one_that_leaves_time_alone_is_taken():
    assert [change.shorter_stops for change in camera_changes(a_setup(by_daylight(12)))] == [0.0, 0.0]


def test_a_silhouette_may_be_as_dark_as_it_likes():
    zones = [
        a_zone("window", reading="luminance", glows=True),
        a_zone("back", -3.0, reading="luminance", glows=True, stays_dark=True),
    ]
    ambient = [{"zone": "window", "ev100": 14}, {"zone": "back", "ev100": 8}]
    look = a_look(zones=zones, ambient=ambient, lights=[])
    assert camera_changes(a_setup(look))[0].camera.aperture == "f/11"


def test_every_head_must_be_inside_its_range():
    zones = [a_zone(), a_zone("ground", tolerance=4.0, distance_m=3.0, bearing_deg=180)]
    far = a_light("Ground", role="background", distance_m=11.0, bearing_deg=180, aim="ground")
    look = a_look(
        zones=zones,
        ambient=[{"zone": z["name"], "lux": 0} for z in zones],
        lights=[a_light(distance_m=1.9), far],
    )
    assert camera_changes(a_setup(look)) == ()


def test_a_head_may_be_set_to_its_lowest():
    # A stop above what f/16 at 1 m, six stops down, gives at f/8: 2 m / 2^(7/2).
    look = a_look(lights=[a_light(distance_m=2.0 / 2**3.5)])
    found = {change.by: change for change in camera_changes(a_setup(look))}
    assert found["aperture"].gain_stops == -1.0


def test_a_setting_beyond_sync_is_the_photographers_own():
    fast = a_look(
        **{"camera": {"aperture": "f/8", "shutter": "1/250", "iso": "100", "series": "full"}}, **WEAK
    )
    assert {change.camera.shutter for change in camera_changes(a_setup(fast, camera=BODY))} == {"1/250"}


def test_marked_sync_time_and_engraved_time_are_the_same_time():
    # ISO 516: an engraved 1/250 is 1/256.
    body = unit(BODY.spec.model_copy(update={"sync_speed_s": 1 / 250}), "N-02")
    assert camera_changes(a_setup(windowed(**WEAK), camera=body))[0].camera.shutter == "1/250"


def test_one_strobe_among_lights_that_burn_keeps_to_sync():
    lights = [
        a_light(distance_m=2.0 * 2**0.5),
        a_light("Wall", role="background", source="continuous", distance_m=4.0),
    ]
    look = windowed(lights=lights)
    setup = a_setup(look, camera=BODY)
    burning = setup.lights[1].__class__(look.lights[1], heads=(unit(a_panel(flux_lm=1.0)),))
    found = camera_changes(replace(setup, lights=(setup.lights[0], burning)))
    assert all(change.shorter_stops <= 0 for change in found)


@pytest.mark.parametrize(
    ("camera", "lens", "distance_m", "aperture"),
    [
        # ISO 517: an engraved f/22 is 22.63, an engraved f/1.8 is 1.78.
        ({"aperture": "f/16", "series": "full"}, {}, 2.0 / 2**4, "f/22"),
        ({"aperture": "f/2"}, {"widest_f_number": 1.8}, 8.0 * 2 ** (1 / 6), "f/1.8"),
    ],
    ids=["narrowest", "widest"],
)
def test_the_ends_of_a_lens_are_engraved_too(camera, lens, distance_m, aperture):
    on_it = unit(LENS.spec.model_copy(update=lens), "O-02")
    look = a_look(**thirds(**camera), zones=[a_zone(tolerance=0.1)], lights=[a_light(distance_m=distance_m)])
    found = {change.by: change for change in camera_changes(a_setup(look, lens=on_it))}
    assert found["aperture"].camera.aperture == aperture


def test_a_lens_closes_no_further_than_it_can():
    # A third of a stop too bright at f/16, and the lens ends there: f/18 is not on it.
    on_it = unit(LENS.spec.model_copy(update={"narrowest_f_number": 16.0}), "O-02")
    near_m = 0.125 * 2 ** (1 / 3)
    look = a_look(
        **thirds(aperture="f/16"), zones=[a_zone(tolerance=0.1)], lights=[a_light(distance_m=near_m)]
    )
    found = {change.by: change for change in camera_changes(a_setup(look, lens=on_it))}
    assert found
    assert "f/18" not in {change.camera.aperture for change in found.values()}


def test_the_ends_of_a_body_are_engraved_too():
    # ISO 12232: a marked 125 is 126 where thirds are exact.
    body = unit(BODY.spec.model_copy(update={"iso_max": 125}), "N-03")
    look = a_look(**thirds(), zones=[a_zone(tolerance=0.05)], lights=[a_light(distance_m=2.0 * 2 ** (1 / 6))])
    found = {change.by: change for change in camera_changes(a_setup(look, camera=body))}
    assert found["speed"].camera.iso == "125"


def test_a_body_goes_no_higher_than_its_highest_speed():
    body = unit(BODY.spec.model_copy(update={"iso_max": 100}), "N-03")
    look = a_look(**thirds(), zones=[a_zone(tolerance=0.05)], lights=[a_light(distance_m=2.0 * 2 ** (1 / 6))])
    assert {change.by for change in camera_changes(a_setup(look, camera=body))} == {"aperture"}
