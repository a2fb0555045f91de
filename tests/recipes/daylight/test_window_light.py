"""Light from a window: symmetry, sums, limits and the turn of the room on the compass."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.daylight import (
    Receiver,
    Weather,
    flux_into_room_lm,
    pane_luminance_cd_m2,
    sky_through,
    window_light,
)
from recipes.light.glass import NO_GLASS, Glass
from recipes.light.pane import (
    WindowPane,
    bearing_of_azimuth_deg,
    clip_polygon,
    compass_to_plan,
    plan_to_compass,
    sample_pane,
)
from recipes.light.sky import CLEAR, OVERCAST, UNIFORM
from recipes.light.sun import Site
from tests.recipes.daylight.builders import (
    CLEAR_GLASS,
    MIDWINTER,
    a_clear_day,
    a_day,
    a_face,
    a_pane,
    a_sky,
)

azimuths = st.floats(0, 360)
facings = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1)
places = st.tuples(st.floats(-3, 3), st.floats(-1.8, 4), st.floats(0, 2.5))


def lux(pane, face, sky, room_north_deg=0.0):
    return float(window_light(pane, face, sky, room_north_deg=room_north_deg).total_lux[0])


# The plan on the compass.


def test_camera_south_of_the_mark():
    """It looks north; the window on its right hand, at bearing 270 from the mark, looks out east."""
    assert bearing_of_azimuth_deg(90.0, room_north_deg=180.0) == 270.0
    pane = a_pane(x_m=-2.0, y_m=0.0, azimuth_deg=90.0)
    np.testing.assert_allclose(pane.outward(180.0), [-1, 0, 0], atol=1e-12)


def test_the_camera_direction_lies_on_its_azimuth():
    np.testing.assert_allclose(
        plan_to_compass(np.array([0.0, 1.0, 0.0]), 70.0), [np.sin(np.radians(70)), np.cos(np.radians(70)), 0]
    )


def test_plan_bearings_turn_with_the_compass():
    # Bearing 90 with the camera east of the mark (azimuth 90) is south.
    np.testing.assert_allclose(plan_to_compass(np.array([1.0, 0.0, 0.0]), 90.0), [0, -1, 0], atol=1e-12)


@settings(deadline=None)
@given(azimuths)
def test_plan_and_compass_undo_each_other(north):
    vectors = np.random.default_rng(1).normal(size=(5, 3))
    np.testing.assert_allclose(compass_to_plan(plan_to_compass(vectors, north), north), vectors, atol=1e-12)


@settings(max_examples=30, deadline=None)
@given(azimuths, facings, places)
def test_turning_house_and_sun_together_changes_nothing(turn, facing, place):
    sky = a_sky(CLEAR, sun_azimuth_deg=160, sun_elevation_deg=25, direct_lux=6e4)
    turned = a_sky(CLEAR, sun_azimuth_deg=160 + turn, sun_elevation_deg=25, direct_lux=6e4)
    face = Receiver(place, facing)
    here = lux(a_pane(glass=CLEAR_GLASS), face, sky, 0.0)
    there = lux(a_pane(azimuth_deg=180 + turn, glass=CLEAR_GLASS), face, turned, turn)
    assert there == pytest.approx(here, rel=1e-6, abs=1e-6)


# Geometry of the pane.


def test_corners_lie_where_the_tape_measure_says():
    np.testing.assert_allclose(
        a_pane(1.5, 2.0, 0.8, 0.5, -2.0).corners(0.0),
        [[1.25, -2, 0.8], [-0.25, -2, 0.8], [-0.25, -2, 2.8], [1.25, -2, 2.8]],
        atol=1e-12,
    )


def test_a_flat_skylight_lies_in_the_ceiling():
    corners = a_pane(1.0, 2.0, 3.0, 0.0, 0.0, azimuth_deg=0.0, tilt_deg=90.0).corners(0.0)
    np.testing.assert_allclose(corners[:, 2], 3.0)
    np.testing.assert_allclose(np.ptp(corners, axis=0), [1, 2, 0], atol=1e-12)


@pytest.mark.parametrize("tilt_deg", [0.0, 40.0, 90.0])
def test_a_pane_may_be_given_by_its_middle(tilt_deg):
    pane = WindowPane.centred((0.5, -2.0, 2.2), 1.5, 2.0, 170.0, CLEAR_GLASS, tilt_deg)
    np.testing.assert_allclose(pane.centre, [0.5, -2.0, 2.2])
    assert pane.glass == CLEAR_GLASS


def test_clipping_keeps_the_side_of_the_normal():
    square = np.array([[0.0, 0, 0], [2, 0, 0], [2, 0, 2], [0, 0, 2]])
    kept = clip_polygon(square, np.array([0.0, 0, 1]), np.array([0.0, 0, 1]))
    assert sorted(map(tuple, kept.tolist())) == [(0, 0, 1), (0, 0, 2), (2, 0, 1), (2, 0, 2)]
    assert clip_polygon(square, np.array([0.0, 0, 3]), np.array([0.0, 0, 1])).shape == (0, 3)


def test_a_point_close_to_the_glass_sees_half_the_world():
    samples = [sample_pane(a_pane(), np.array([0.0, -1.9999, 1.8]), 0.0, part) for part in ("sky", "ground")]
    assert sum(s.solid_angle_sr.sum() for s in samples) == pytest.approx(2 * np.pi, abs=0.002)


def test_a_point_on_the_glass_is_neither_in_nor_out():
    samples = sample_pane(a_pane(), np.array([0.0, -2.0, 1.5]), 0.0, "sky")
    assert samples.directions.shape == (0, 3)
    assert samples.solid_angle_sr.shape == samples.incidence_deg.shape == (0,)


# Sums and limits.


def test_no_light_outside_the_room():
    assert lux(a_pane(), a_face(y_m=-3.0, facing=(0, 1, 0)), a_sky()) == 0


def test_no_light_on_a_face_turned_away():
    # The sun comes through the window onto the place, but from behind the face.
    sky = a_sky(direct_lux=6e4, sun_elevation_deg=20)
    assert lux(a_pane(), a_face(facing=(0, -1, 0)), sky) > 5e4
    assert lux(a_pane(), a_face(facing=(0, 1, 0)), sky) == 0


@settings(max_examples=30, deadline=None)
@given(facings, places, st.sampled_from([OVERCAST, UNIFORM, CLEAR]))
def test_two_halves_of_a_window_are_the_window(facing, place, sky_type):
    sky = a_sky(sky_type, 170, 30)
    face = Receiver(place, facing)
    whole = lux(a_pane(glass=CLEAR_GLASS), face, sky)
    sides = [lux(a_pane(0.75, x_m=x, glass=CLEAR_GLASS), face, sky) for x in (-0.375, 0.375)]
    floors = [lux(a_pane(height_m=1.0, sill_m=s, glass=CLEAR_GLASS), face, sky) for s in (0.8, 1.8)]
    # The bright ring around a sun in the window is a peak that quadrature takes to 0.005 stop.
    close = 4e-3 if sky_type == CLEAR else 1e-5
    assert sum(sides) == pytest.approx(whole, rel=close, abs=1e-3)
    assert sum(floors) == pytest.approx(whole, rel=close, abs=1e-3)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.1, 2), st.floats(-1.5, 3))
def test_mirrored_places_get_the_same(x, y):
    """Sun in the plane of symmetry: left and right of the window are alike."""
    sky = a_sky(CLEAR, 180, 40, direct_lux=7e4)
    left, right = (
        lux(a_pane(glass=CLEAR_GLASS), a_face(s * x, y, 1.2, (0.3 * s, -1, 0.1)), sky) for s in (-1, 1)
    )
    assert left == pytest.approx(right, rel=4e-3)


def test_morning_mirrors_evening():
    east, west = (lux(a_pane(), a_face(), a_sky(CLEAR, 180 + s * 60, 20)) for s in (-1, 1))
    assert east == pytest.approx(west, rel=4e-3)


@given(st.floats(0.3, 3), st.floats(1.05, 2))
@settings(max_examples=30, deadline=None)
def test_a_bigger_window_never_gives_less(width, factor):
    assert lux(a_pane(width * factor), a_face(), a_sky()) > lux(a_pane(width), a_face(), a_sky())


@given(st.floats(-1.7, 3), st.floats(0.05, 2))
@settings(max_examples=30, deadline=None)
def test_a_step_back_from_the_window_costs_light(y, step):
    assert lux(a_pane(), a_face(y_m=y + step), a_sky()) < lux(a_pane(), a_face(y_m=y), a_sky())


def test_light_is_proportional_to_the_sky_and_to_the_glass():
    one = lux(a_pane(glass=Glass(0.4)), a_face(), a_sky(diffuse_lux=1e4))
    assert lux(a_pane(glass=Glass(0.4)), a_face(), a_sky(diffuse_lux=3e4)) == pytest.approx(3 * one)
    assert lux(a_pane(glass=Glass(0.8)), a_face(), a_sky(diffuse_lux=1e4)) == pytest.approx(2 * one)


def test_dark_ground_sends_nothing_up():
    light = window_light(a_pane(), a_face(), a_sky(ground=0.0), room_north_deg=0.0)
    assert light.ground_lux[0] == 0
    assert light.diffuse_lux[0] == light.sky_lux[0] > 0


def test_snow_lifts_the_face_from_below():
    """A face that looks down gets nothing from the sky; new snow outside still lights it."""
    down = a_face(facing=(0, 0, -1))
    grass = lux(a_pane(), down, a_sky(ground=0.2))
    assert grass > 0
    assert lux(a_pane(), down, a_sky(ground=0.8)) == pytest.approx(4 * grass)


def test_two_windows_add_up():
    sky = a_sky()
    left = window_light(a_pane(x_m=-1.0), a_face(), sky, room_north_deg=0.0)
    right = window_light(a_pane(x_m=1.0), a_face(), sky, room_north_deg=0.0)
    assert (left + right).total_lux[0] == pytest.approx(left.total_lux[0] + right.total_lux[0])


def test_a_skylight_lights_a_table_more_than_a_window_of_its_size():
    table = Receiver((0, 0, 0.8), (0, 0, 1))
    skylight = a_pane(1.5, 2.0, 2.8, 0.0, 0.0, tilt_deg=90.0)
    assert lux(skylight, table, a_sky()) > 3 * lux(a_pane(), table, a_sky())


def test_a_skylight_overhead_is_the_known_factor():
    # Howell, square of 1 m over its middle at 1 m under a uniform sky: F = 0.2394565, of E_h.
    skylight = a_pane(1.0, 1.0, 3.0, 0.0, 0.0, tilt_deg=90.0)
    found = lux(skylight, Receiver((0, 0, 2.0), (0, 0, 1)), a_sky(UNIFORM, diffuse_lux=1e4))
    assert found == pytest.approx(2394.565, abs=0.01)


# The sun itself.


def test_sun_through_the_window_on_a_face():
    # 45 degrees up in the south, seen from 1.5 m below the middle line of an open window: cos 45 on the face.
    sky = a_sky(CLEAR, 180, 45, diffuse_lux=0.0, direct_lux=8e4)
    light = window_light(a_pane(sill_m=2.0), a_face(z_m=0.5), sky, room_north_deg=0.0)
    assert light.sun_lux[0] == pytest.approx(8e4 * np.cos(np.pi / 4))


def test_glass_takes_its_part_of_the_sun():
    sky = a_sky(CLEAR, 180, 45, diffuse_lux=0.0, direct_lux=8e4)
    bare, glazed = (
        window_light(a_pane(sill_m=2.0, glass=g), a_face(z_m=0.5), sky, room_north_deg=0.0).sun_lux[0]
        for g in (NO_GLASS, Glass(0.8))
    )
    # 45 degrees of incidence on two panes, by Fresnel: 0.978 of the normal transmittance.
    assert glazed / bare == pytest.approx(0.8 * 0.978, abs=0.002)


@pytest.mark.parametrize(
    ("azimuth", "elevation"),
    [
        pytest.param(0, 45, id="behind the house"),
        pytest.param(180, 80, id="over the window"),
        pytest.param(230, 45, id="past the side"),
        pytest.param(180, -5, id="below the horizon"),
    ],
)
def test_no_sun_where_its_ray_misses_the_glass(azimuth, elevation):
    sky = a_sky(CLEAR, azimuth, elevation, diffuse_lux=0.0, direct_lux=8e4)
    assert window_light(a_pane(sill_m=2.0), a_face(z_m=0.5), sky, room_north_deg=0.0).sun_lux[0] == 0


# All that comes in.


def flux(pane, sky, room_north_deg=0.0):
    return float(flux_into_room_lm((pane,), (sky,), room_north_deg=room_north_deg)[0, 0])


@pytest.mark.parametrize(
    ("tilt_deg", "of_the_sky", "of_the_ground"),
    # Moon and Spencer 1942, L = Lz (1 + 2 sin) / 3, integrated: a wall gets (3 pi + 8) / 14 pi = 0.396 of the ground's
    # illuminance from such a sky, and half of what the ground sends; a flat skylight all and nothing.
    [(0.0, (3 * np.pi + 8) / (14 * np.pi), 0.5), (90.0, 1.0, 0.0)],
)
def test_through_an_open_window_comes_what_falls_on_it_under_a_covered_sky(
    tilt_deg, of_the_sky, of_the_ground
):
    found = flux(a_pane(1.5, 2.0, tilt_deg=tilt_deg), a_sky(diffuse_lux=1e4, ground=0.2), 33.0)
    assert found == pytest.approx(3.0 * 1e4 * (of_the_sky + 0.2 * of_the_ground), rel=1e-3)


@pytest.mark.parametrize("glass", [NO_GLASS, CLEAR_GLASS])
@pytest.mark.parametrize("tilt_deg", [0.0, 35.0, 90.0])
@pytest.mark.parametrize("room_north_deg", [0.0, 70.0])
def test_what_comes_in_is_what_a_face_close_behind_the_glass_gets(glass, tilt_deg, room_north_deg):
    wide = a_pane(200.0, 200.0, sill_m=0.0, x_m=1.0, y_m=-2.0, glass=glass, tilt_deg=tilt_deg)
    sky = a_sky(CLEAR, sun_azimuth_deg=150.0, direct_lux=6e4)
    outward = wide.outward(room_north_deg)
    face = Receiver(tuple(wide.centre - 0.2 * outward), tuple(outward))
    assert flux(wide, sky, room_north_deg) / 200.0**2 == pytest.approx(
        lux(wide, face, sky, room_north_deg), rel=5e-3
    )


def test_the_sun_comes_in_by_the_cosine_and_not_from_below_or_behind():
    pane, dark = a_pane(2.0, 2.0), {"diffuse_lux": 0.0, "ground": 0.0, "direct_lux": 5e4}
    assert flux(pane, a_sky(sun_elevation_deg=60.0, **dark)) == pytest.approx(4.0 * 5e4 * 0.5)
    assert flux(pane, a_sky(sun_elevation_deg=-1.0, **dark)) == 0.0
    assert flux(pane, a_sky(sun_azimuth_deg=0.0, **dark)) == 0.0


def test_two_windows_let_in_as_much_as_both():
    panes = a_pane(), a_pane(azimuth_deg=90.0, glass=CLEAR_GLASS)
    skies = a_sky(), a_sky(CLEAR, direct_lux=3e4)
    both = flux_into_room_lm(panes, skies, room_north_deg=20.0)
    each = [[flux(pane, sky, 20.0) for pane in panes] for sky in skies]
    np.testing.assert_allclose(both[:, 0], np.sum(each, axis=1), rtol=1e-12)


def test_no_sun_from_below_the_horizon_on_a_high_place():
    # On a ladder the line through the window runs downhill; no light comes up it.
    sky = a_sky(CLEAR, 180, -5, diffuse_lux=0.0, direct_lux=8e4)
    assert window_light(a_pane(), a_face(z_m=2.9), sky, room_north_deg=0.0).sun_lux[0] == 0


# Luminance of the pane.


def test_a_low_camera_sees_sky_and_a_high_one_ground():
    low, high = (
        pane_luminance_cd_m2(a_pane(), (0, 2.0, z), a_sky(ground=0.1), room_north_deg=0.0)[0]
        for z in (0.5, 2.9)
    )
    assert low > 3 * high
    # The whole pane shows ground: rho E / pi through an open window.
    assert high == pytest.approx(0.1 * 1e4 / np.pi)


def test_from_outside_the_pane_has_no_luminance():
    assert pane_luminance_cd_m2(a_pane(), (0, -3, 1.5), a_sky(), room_north_deg=0.0)[0] == 0


def test_dirty_glass_is_darker():
    clean, dirty = (
        pane_luminance_cd_m2(a_pane(glass=g), (0, 2, 1.6), a_sky(), room_north_deg=0.0)[0]
        for g in (Glass(0.8), Glass(0.8, dirt_factor=0.5))
    )
    assert dirty == pytest.approx(clean / 2)


# Through the day.


def test_diffuse_window_light_has_no_jumps():
    """Minute by minute, from an hour after sunrise to an hour before sunset: a thirtieth of a stop at most."""
    sky = a_clear_day(step_s=60.0)
    light = window_light(a_pane(glass=CLEAR_GLASS), a_face(), sky, room_north_deg=0.0)
    day = light.diffuse_lux[240:1080]
    assert np.abs(np.diff(np.log2(day))).max() < 1 / 30


def test_a_north_window_never_sees_the_winter_sun():
    sky = a_clear_day(MIDWINTER)
    light = window_light(a_pane(azimuth_deg=0.0), a_face(), sky, room_north_deg=180.0)
    assert light.sun_lux.max() == 0
    assert light.sky_lux.max() > 0


def test_a_west_window_has_its_sun_in_the_afternoon():
    sky = a_clear_day()
    light = window_light(
        a_pane(x_m=2.0, y_m=0, azimuth_deg=270.0), a_face(facing=(1, 0, 0)), sky, room_north_deg=180
    )
    lit = np.flatnonzero(light.sun_lux)
    hours = lit * 5 / 60
    # Berlin's sun passes the south at about 11:08 UTC.
    assert hours.size > 0
    assert hours.min() > 11.5


@pytest.mark.parametrize("latitude", [-90.0, -67.0, 0.0, 67.0, 90.0])
@pytest.mark.parametrize("start", [datetime(2025, 6, 21, tzinfo=UTC), MIDWINTER])
def test_window_light_anywhere_is_a_number(latitude, start):
    sky = sky_through(Site(latitude, 20.0), a_day(start, 1800), Weather())
    light = window_light(a_pane(glass=CLEAR_GLASS), a_face(), sky, room_north_deg=35.0)
    assert np.isfinite(light.total_lux).all()
    assert (light.total_lux >= 0).all()


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(lambda: a_pane(width_m=0), "width_m is 0", id="width"),
        pytest.param(lambda: a_pane(height_m=-1), "height_m is -1", id="height"),
        pytest.param(lambda: a_pane(sill_m=-0.1), "sill_m is -0.1", id="sill"),
        pytest.param(lambda: a_pane(x_m=float("nan")), "x_m is nan", id="place"),
        pytest.param(lambda: a_pane(tilt_deg=91), "tilt_deg is 91", id="tilt"),
        pytest.param(lambda: Receiver((0, 0, 0), (0, 0, 0)), "facing is", id="faces nowhere"),
        pytest.param(lambda: Receiver((0, 0, float("inf")), (0, 0, 1)), "point_m is inf", id="nowhere"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()


def test_a_pane_is_a_value():
    assert replace(a_pane(), width_m=2.0) == a_pane(width_m=2.0)


@given(st.floats(0, 360), st.floats(0, 360), st.floats(0, 90))
def test_a_pane_lies_square_to_the_way_it_looks(azimuth, north, tilt):
    pane = a_pane(2.0, 1.0, 0.5, azimuth_deg=azimuth, tilt_deg=tilt)
    outward, (along, up) = pane.outward(north), pane.sides(north)
    frame = np.stack([along, up, outward])
    np.testing.assert_allclose(frame @ frame.T, np.eye(3), atol=1e-9)
    assert along[2] == 0.0
    assert up[2] >= -1e-9
    # Its corners are half of its sides away from its middle, and two of them that follow each other share a side.
    corners = pane.corners(north) - pane.centre
    np.testing.assert_allclose(np.linalg.norm(corners, axis=1), np.hypot(1.0, 0.5))
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1)
    assert sorted(sides) == pytest.approx([1.0, 1.0, 2.0, 2.0])
    np.testing.assert_allclose(corners @ outward, 0.0, atol=1e-9)
