"""Sky and weather: what must hold under any sun."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.efficacy import clearness, daylight_efficacy, relative_air_mass
from recipes.light.sky import CLEAR, OVERCAST, Sky, relative_luminance
from recipes.light.sun import Site, sun_path
from recipes.light.weather import Weather, clear_sky_light, overcast_horizontal_lux, sky_through, sky_under
from tests.recipes.daylight.builders import DEPOT, MIDSUMMER, MIDWINTER, a_clear_day, a_day, a_sky

UP = np.array([0.0, 0.0, 1.0])
SOUTH = np.array([0.0, -1.0, 0.0])

sky_types = st.integers(1, 16)
elevations = st.floats(0.5, 90)


def directions(count=200, seed=3):
    vectors = np.random.default_rng(seed).normal(size=(count, 3))
    return vectors / np.linalg.norm(vectors, axis=1)[:, None]


@settings(max_examples=60, deadline=None)
@given(sky_types, elevations, st.floats(0, 360))
def test_every_sky_gives_its_horizontal_illuminance_back(sky_type, sun_elevation, sun_azimuth):
    sky = a_sky(sky_type, sun_azimuth, sun_elevation, diffuse_lux=8000.0)
    assert sky.open_illuminance_lux(UP)[0] == pytest.approx(8000.0, rel=3e-3)


@settings(max_examples=40, deadline=None)
@given(sky_types, elevations, st.floats(0, 360))
def test_no_direction_is_darker_than_black(sky_type, sun_elevation, sun_azimuth):
    seen = a_sky(sky_type, sun_azimuth, sun_elevation).luminance_cd_m2(directions())
    assert np.isfinite(seen).all()
    assert (seen >= 0).all()


def test_the_clear_sky_is_the_same_on_both_sides_of_the_sun():
    sky = a_sky(CLEAR, sun_azimuth_deg=180, sun_elevation_deg=35)
    right = directions()
    left = right * np.array([-1.0, 1.0, 1.0])
    np.testing.assert_allclose(sky.luminance_cd_m2(right), sky.luminance_cd_m2(left), rtol=1e-12)


def test_the_clear_sky_is_brightest_at_the_sun():
    # Low sun: towards the horizon brightness adds to it, so look along the sun's own height.
    sky = a_sky(CLEAR, sun_azimuth_deg=180, sun_elevation_deg=30)
    around = np.radians(np.arange(0, 181, 15))
    ring = np.stack(
        [np.cos(np.pi / 6) * np.sin(around), np.cos(np.pi / 6) * np.cos(around), np.full(around.size, 0.5)],
        axis=1,
    )
    seen = sky.luminance_cd_m2(ring)[0]
    assert seen.argmax() == around.size - 1


def test_every_direction_stands_to_the_zenith_as_the_standard_says():
    sky = a_sky(CLEAR, sun_azimuth_deg=150, sun_elevation_deg=30)
    # 40 degrees up over the sun's own azimuth: 10 degrees off it.
    up, round_north = np.radians([40.0, 150.0])
    level = np.cos(up)
    towards = np.array([[level * np.sin(round_north), level * np.cos(round_north), np.sin(up)]])
    seen = sky.luminance_cd_m2(towards)[0, 0]
    assert seen / sky.zenith_luminance_cd_m2[0] == pytest.approx(relative_luminance(CLEAR, 40, 10, 30))


def test_ground_that_nobody_describes_is_the_usual_mix():
    # House rule, no source: 0.2, for a sky by itself and for weather.
    sun = np.array([[0.0, 0.0, 1.0]])
    assert (
        Sky(OVERCAST, sun, np.ones(1), np.zeros(1)).ground_reflectance == Weather().ground_reflectance == 0.2
    )


def test_a_face_to_the_sun_gets_more_than_one_turned_away():
    sky = a_sky(CLEAR, 180, 30, diffuse_lux=1e4, direct_lux=7e4)
    assert sky.open_illuminance_lux(SOUTH)[0] > 5 * sky.open_illuminance_lux(-SOUTH)[0]


def test_below_the_horizon_lies_the_ground():
    sky = a_sky(ground=0.4, diffuse_lux=1e4, direct_lux=5e4, sun_elevation_deg=30)
    seen = sky.luminance_cd_m2(np.array([[0.6, 0.0, -0.8]]))
    # Definition: rho E / pi, with 10 klx of sky and 50 klx of sun at sin 30.
    assert seen[0, 0] == pytest.approx(0.4 * 35_000 / np.pi)


def test_face_down_sees_nothing_but_the_ground():
    sky = a_sky(ground=0.3, diffuse_lux=1e4)
    assert sky.open_illuminance_lux(-UP)[0] == pytest.approx(3000)


def test_night_is_dark_in_every_weather():
    for kind in ("clear", "overcast", "uniform"):
        sky = sky_through(DEPOT, [datetime(2025, 6, 21, 23, tzinfo=UTC)], Weather(kind))
        assert sky.luminance_cd_m2(directions()).max() == 0


@pytest.mark.parametrize("day", [MIDSUMMER, MIDWINTER])
def test_polar_day_and_polar_night_have_a_sky(day):
    sky = sky_through(Site(78.2, 15.6), a_day(day), Weather())
    lit = sky.global_horizontal_lux
    assert np.isfinite(lit).all()
    assert (lit.min() > 5000) if day == MIDSUMMER else (lit.max() == 0)


@pytest.mark.parametrize("latitude", [-90.0, 90.0])
def test_the_poles_have_a_sky(latitude):
    sky = sky_through(Site(latitude, 0), a_day(step_s=3600), Weather())
    assert np.isfinite(sky.luminance_cd_m2(directions())).all()


def test_a_clear_day_has_no_jumps_but_the_bins_of_its_table():
    """Minute by minute light follows the sun; where two bins of Perez's table meet it steps by under 0.1 stop."""
    sky = a_clear_day(step_s=60.0)
    steps = np.abs(np.diff(sky.global_horizontal_lux))
    assert np.sort(steps)[-3] < 300
    assert np.count_nonzero(steps > 300) <= 2
    assert np.abs(np.diff(np.log2(sky.global_horizontal_lux[240:1080]))).max() < 0.1


def test_the_bins_do_not_show_in_the_diffuse_light():
    diffuse = a_clear_day(step_s=60.0).diffuse_horizontal_lux[240:1080]
    assert np.abs(np.diff(np.log2(diffuse))).max() < 0.05


def test_in_any_air_the_bins_show_by_a_quarter_of_a_stop_at_most():
    worst = []
    for turbidity in np.arange(1.0, 8.1, 0.5):
        light = clear_sky_light(np.arange(5.0, 90.0, 0.02), linke_turbidity=float(turbidity))
        both = (light.direct_normal_lux, light.diffuse_lux)
        worst.append([np.abs(np.diff(np.log2(one))).max() for one in both])
    of_the_sun, of_the_sky = np.max(worst, axis=0)
    assert (of_the_sun, of_the_sky) == (pytest.approx(0.26, abs=0.02), pytest.approx(0.16, abs=0.02))
    assert max(worst[4]) < 0.1, "Linke 3"


def test_haze_takes_from_the_sun_and_gives_to_the_sky():
    clean, hazy = (clear_sky_light(40.0, linke_turbidity=t) for t in (2.0, 5.0))
    assert hazy.direct_normal_lux < clean.direct_normal_lux
    assert hazy.diffuse_lux > clean.diffuse_lux


def test_mountain_air_lets_more_sun_through():
    assert clear_sky_light(40.0, altitude_m=2000).direct_normal_lux > clear_sky_light(40.0).direct_normal_lux


def test_parts_make_the_whole_within_the_tables_own_scatter():
    elevation = np.linspace(10, 90, 60)
    light = clear_sky_light(elevation)
    parts = light.diffuse_lux + light.direct_normal_lux * np.sin(np.radians(elevation))
    np.testing.assert_allclose(parts, light.global_lux, rtol=0.07)


def test_sun_is_nearer_in_january():
    january, july = (
        sky_through(Site(0, 0), [datetime(2025, m, 4, 12, tzinfo=UTC)], Weather(linke_turbidity=3))
        for m in (1, 7)
    )
    # The equator sees the sun at 67 degrees in both; 3.3 % either way in irradiance (Spencer 1971).
    ratio = january.direct_normal_lux[0] / july.direct_normal_lux[0]
    assert ratio == pytest.approx(1.067, abs=0.01)


@settings(deadline=None)
@given(st.floats(0.01, 89))
def test_a_higher_sun_lights_the_clouds_more(elevation):
    assert overcast_horizontal_lux(elevation + 1) > overcast_horizontal_lux(elevation)


def test_weather_may_name_another_cie_type():
    sky = sky_through(DEPOT, [datetime(2025, 6, 21, 10, tzinfo=UTC)], Weather("clear", sky_type=13))
    assert sky.sky_type == 13


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 90), st.floats(0, 1000), st.floats(0, 500))
def test_efficacy_is_never_negative_or_missing(zenith, direct, diffuse):
    k = daylight_efficacy(zenith, direct, diffuse)
    for value in (k.global_lm_w, k.diffuse_lm_w, k.direct_lm_w):
        assert np.isfinite(value)
        assert value >= 0


def test_no_light_has_no_efficacy():
    k = daylight_efficacy(45.0, 0.0, 0.0)
    assert (k.global_lm_w, k.diffuse_lm_w, k.direct_lm_w) == (0, 0, 0)
    assert k.brightness == 0


def test_with_the_sun_below_the_horizon_its_efficacies_stay_those_of_the_horizon():
    low, lower = daylight_efficacy(90.0, 0.0, 10.0), daylight_efficacy(105.0, 0.0, 10.0)
    assert (lower.global_lm_w, lower.diffuse_lm_w) == (low.global_lm_w, low.diffuse_lm_w)
    # Table 4 makes a beam under thin overcast cost light there: 57.20 - 2 · 4.55 - 2.98 exp(4.0) + ... < 0.
    assert low.direct_lm_w == lower.direct_lm_w == 0


def test_without_any_diffuse_light_the_sky_counts_as_overcast():
    assert clearness(45.0, 300.0, 0.0) == 1.0
    np.testing.assert_array_equal(clearness(45.0, np.zeros(2), np.array([0.0, 100.0])), 1.0)


def test_each_bin_is_used_from_its_lower_bound():
    # z = 0, so clearness is (DHI + DNI) / DHI: with DHI 100 the bound 6.2 is DNI 520.
    assert [int(daylight_efficacy(0.0, dni, 100.0).clearness_bin) for dni in (0, 6.6, 519.9, 520)] == [
        1,
        2,
        7,
        8,
    ]


def test_air_mass_stops_at_the_horizon():
    assert relative_air_mass(0.0) == pytest.approx(1, abs=0.002)
    assert relative_air_mass(120.0) == relative_air_mass(90.0)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(lambda: Weather("foggy"), "the weather is 'foggy'", id="unknown weather"),
        pytest.param(lambda: Weather(linke_turbidity=0.5), "linke_turbidity is 0.5", id="cleaner than air"),
        pytest.param(lambda: Weather(ground_reflectance=1.1), "ground_reflectance is 1.1", id="albedo"),
        pytest.param(lambda: relative_luminance(17, 0, 0, 0), "sky_type is 17", id="type"),
        pytest.param(
            lambda: relative_luminance(12, 90.5, 0, 0), "elevation_deg is 90.5", id="past the zenith"
        ),
        pytest.param(lambda: relative_luminance(12, 0, 180.5, 0), "off_sun_deg is 180.5", id="off the sun"),
        pytest.param(lambda: relative_luminance(12, 0, 0, 90.5), "sun_elevation_deg is 90.5", id="high sun"),
        pytest.param(lambda: a_sky(0), "sky_type is 0", id="type of a sky"),
        pytest.param(lambda: a_sky(diffuse_lux=-1.0), "diffuse_horizontal_lux is -1", id="negative light"),
        pytest.param(
            lambda: Sky(OVERCAST, np.zeros((2, 3)), np.ones(1), np.ones(1)),
            "sun_direction has shape",
            id="suns",
        ),
        pytest.param(
            lambda: Sky(OVERCAST, np.zeros((1, 3)), np.ones(1), np.ones(2)), "differ in length", id="lengths"
        ),
        pytest.param(
            lambda: daylight_efficacy(45.0, 800.0, 100.0, extraterrestrial_w_m2=0.0),
            "extraterrestrial_w_m2 is 0",
            id="no sun outside the air",
        ),
        pytest.param(lambda: clearness(180.5, 0.0, 0.0), "zenith_deg is 180.5", id="past the nadir"),
        pytest.param(lambda: relative_air_mass(180.5), "zenith_deg is 180.5", id="air past the nadir"),
        pytest.param(
            lambda: daylight_efficacy(180.5, 0.0, 0.0), "zenith_deg is 180.5", id="sun past the nadir"
        ),
        pytest.param(
            lambda: daylight_efficacy(45.0, -1.0, 10.0), "direct_normal_w_m2 is -1", id="negative sun"
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()


def over_the_sphere(count=700):
    """Directions on a grid of equal solid angle, and that angle."""
    up = (np.arange(count) + 0.5) / count * 2 - 1
    turn = (np.arange(count) + 0.5) / count * 2 * np.pi
    z, a = (grid.ravel() for grid in np.meshgrid(up, turn))
    level = np.sqrt(1 - z**2)
    return np.stack([level * np.sin(a), level * np.cos(a), z], axis=1), 4 * np.pi / count**2


@pytest.mark.parametrize(
    "face", [(0.6, 0.48, 0.64), (-0.6, 0.48, 0.64), (0.36, -0.48, -0.8), (0.8, -0.6, 0.0)]
)
def test_a_clear_sky_on_any_face_is_the_sum_over_what_it_sees(face):
    face = np.array(face)
    sky = a_sky(CLEAR, sun_azimuth_deg=110, sun_elevation_deg=25, ground=0.2)
    directions_seen, solid_angle = over_the_sphere()
    towards = np.maximum(directions_seen @ face, 0.0)
    summed = np.sum(sky.luminance_cd_m2(directions_seen)[0] * towards) * solid_angle
    assert sky.open_illuminance_lux(face)[0] == pytest.approx(summed, rel=3e-3)


def test_the_sun_adds_what_falls_on_the_face_and_nothing_from_behind():
    shaded, sunny = (a_sky(CLEAR, 180.0, 30.0, direct_lux=lux) for lux in (0.0, 5e4))
    towards = sunny.sun_direction[0]
    level = sunny.open_illuminance_lux(UP) - shaded.open_illuminance_lux(UP)
    assert level[0] == pytest.approx(5e4 * np.sin(np.pi / 6) + 0.0)
    for face, added in ((towards, 5e4), (-towards, 0.0)):
        # More sun also lights the ground that the face sees.
        ground = 0.2 * 5e4 * np.sin(np.pi / 6) * (1 - face[2]) / 2
        gained = sunny.open_illuminance_lux(face) - shaded.open_illuminance_lux(face)
        assert gained[0] == pytest.approx(added + ground, rel=1e-6)


@pytest.mark.parametrize(
    ("weather", "altitude_m", "brighter"),
    [(Weather("clear"), 2500.0, True), (Weather("clear", linke_turbidity=6.0), 0.0, False)],
    ids=["in the mountains", "in haze"],
)
def test_the_sun_is_brighter_high_up_and_dimmer_in_haze(weather, altitude_m, brighter):
    sun = sun_path(DEPOT, [MIDSUMMER.replace(hour=11)])
    usual, other = sky_under(sun, Weather("clear")), sky_under(sun, weather, altitude_m=altitude_m)
    assert (other.direct_normal_lux > usual.direct_normal_lux * 1.02).all() == brighter
    assert (other.direct_normal_lux < usual.direct_normal_lux * 0.98).all() == (not brighter)


def test_the_sun_half_a_degree_up_gives_some_light():
    low = clear_sky_light(np.array([0.5, 1.5]))
    for light in (low.global_lux, low.diffuse_lux):
        assert 0 < light[0] < light[1]
    assert overcast_horizontal_lux(0.5) == pytest.approx(300 + 21_000 * np.sin(np.radians(0.5)))


def test_a_nearer_sun_is_nearer_in_the_brightness_of_the_sky_too():
    # Perez 1990, equation 2: the brightness is against the extraterrestrial irradiance of that day.
    light = clear_sky_light(40.0, eccentricity=1.033)
    k = daylight_efficacy(
        50.0, light.direct_normal_w_m2, light.diffuse_w_m2, extraterrestrial_w_m2=1367.0 * 1.033
    )
    assert light.diffuse_lux == pytest.approx(light.diffuse_w_m2 * k.diffuse_lm_w, rel=1e-12)


@pytest.mark.parametrize("elevation_deg", [-90.5, 90.5])
@pytest.mark.parametrize("light", [clear_sky_light, overcast_horizontal_lux])
def test_the_sun_is_no_higher_than_overhead(light, elevation_deg):
    with pytest.raises(ValueError, match="apparent_elevation_deg is"):
        light(elevation_deg)


@pytest.mark.parametrize("altitude_m", [-450.5, 9000.5])
def test_a_place_lies_between_the_lowest_shore_and_the_highest_top(altitude_m):
    # The lowest shore is 430 m below the sea and the highest top 8849 m above it; common knowledge, no source.
    with pytest.raises(ValueError, match="altitude_m is"):
        clear_sky_light(40.0, altitude_m=altitude_m)


def test_moist_air_has_another_efficacy():
    # Perez 1990, table 4, clearest bin: each centimetre of water adds 0.35 lm/W to the sky and 1.58 to the sun.
    dry, moist = (clear_sky_light(40.0, precipitable_water_cm=water) for water in (0.5, 4.0))
    sky = moist.diffuse_lux / moist.diffuse_w_m2 - dry.diffuse_lux / dry.diffuse_w_m2
    sun = moist.direct_normal_lux / moist.direct_normal_w_m2 - dry.direct_normal_lux / dry.direct_normal_w_m2
    assert (sky, sun) == (pytest.approx(3.5 * 0.35), pytest.approx(3.5 * 1.58))


@pytest.mark.parametrize("turbidity", [1.0, 12.0])
def test_air_without_any_haze_and_the_haziest_are_weather(turbidity):
    # 1 is the definition of air without water and dust.
    assert Weather("clear", linke_turbidity=turbidity).linke_turbidity == turbidity


@pytest.mark.parametrize("turbidity", [0.9, 12.1])
def test_air_is_not_cleaner_than_clean(turbidity):
    with pytest.raises(ValueError, match="linke_turbidity is"):
        Weather("clear", linke_turbidity=turbidity)
