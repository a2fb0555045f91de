"""Window light against closed forms, published factors and an own Monte Carlo."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from recipes.light.daylight import Receiver, WindowPane, pane_luminance_cd_m2, window_light
from recipes.light.glass import NO_GLASS, Glass
from recipes.light.sky import CLEAR, OVERCAST, UNIFORM, Sky
from recipes.light.sun import Site, sun_path
from recipes.light.sun_patch import patch_depth_m, profile_angle_deg

UP = (0.0, 0.0, 1.0)
TO_THE_WINDOW = (0.0, -1.0, 0.0)


def a_sky(
    sky_type=OVERCAST, diffuse_lux=100.0, ground_reflectance=0.0, sun_azimuth_deg=0.0, sun_elevation_deg=40.0
):
    """One instant; 100 lux on open ground, so that an illuminance inside is a factor in per cent."""
    e, a = np.radians(sun_elevation_deg), np.radians(sun_azimuth_deg)
    sun = np.array([[np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)]])
    return Sky(sky_type, sun, np.array([diffuse_lux]), np.array([0.0]), ground_reflectance)


def a_pane(width_m, sill_m, head_m, distance_m, aside_m=0.0, glass=NO_GLASS):
    """A window behind the subject, who stands at the mark; it looks out south, the camera stands north."""
    return WindowPane(width_m, head_m - sill_m, sill_m, aside_m, -distance_m, 180.0, glass)


def per_cent(pane, facing, sky, height_m=1.0):
    light = window_light(pane, Receiver((0.0, 0.0, height_m), facing), sky, room_north_deg=0.0)
    return float(light.total_lux[0])


def closed_form_sky_component(w, h, d):
    """SC = (3 / 7 pi) (E_u + 2 E_s), overcast, horizontal point level with the lower edge, one side."""
    r = np.sqrt(w**2 + h**2 + d**2)
    slant = np.hypot(d, h)
    even = 0.5 * (np.arctan(w / d) - d / slant * np.arctan(w / slant))
    rising = (np.arctan(w * h / (d * r)) - d * w * h / (r * slant**2)) / 3
    return 3 / (7 * np.pi) * (even + 2 * rising)


# Integration of the CIE overcast sky over an unglazed opening (Moon and Spencer's sky); closed form above, values
# confirmed by quadrature to 1e-12.
@pytest.mark.parametrize(
    ("width_m", "expected"), [pytest.param(1.0, 4.5251, id="1 m"), pytest.param(2000.0, 5.7337, id="endless")]
)
def test_sky_component_of_a_window_to_one_side(width_m, expected):
    pane = a_pane(width_m, 1.0, 2.0, 1.0, aside_m=width_m / 2)
    found = per_cent(pane, UP, a_sky())
    assert found == pytest.approx(expected, abs=1e-4)
    assert found == pytest.approx(100 * closed_form_sky_component(width_m, 1.0, 1.0), abs=1e-6)


@pytest.mark.parametrize(
    ("distance_m", "expected"), [(1.0, 12.0783), (2.0, 3.0656), (3.0, 1.0468), (4.0, 0.4524)]
)
def test_sky_component_of_a_centred_window(distance_m, expected):
    assert per_cent(a_pane(1.5, 1.0, 2.5, distance_m), UP, a_sky()) == pytest.approx(expected, abs=1e-4)


def test_sky_component_with_a_raised_sill():
    assert per_cent(a_pane(1.5, 1.5, 2.5, 2.0), UP, a_sky()) == pytest.approx(2.7014, abs=1e-4)


@pytest.mark.parametrize(
    ("distance_m", "expected"), [(1.0, 13.522), (2.0, 3.998), (3.0, 1.535), (4.0, 0.720)]
)
def test_sky_component_under_a_uniform_sky(distance_m, expected):
    # Howell's configuration factor, element perpendicular to a rectangle.
    assert per_cent(a_pane(1.5, 1.0, 2.5, distance_m), UP, a_sky(UNIFORM)) == pytest.approx(
        expected, abs=1e-3
    )


SITTER = [(1.0, 20.409), (1.5, 12.833), (2.0, 8.360), (3.0, 4.073), (4.0, 2.315)]


@pytest.mark.parametrize(("distance_m", "expected"), SITTER)
def test_a_sitter_turned_to_the_window(distance_m, expected):
    # Only the part of the window above the eyes' level sees sky.
    assert per_cent(a_pane(1.5, 0.5, 2.5, distance_m), TO_THE_WINDOW, a_sky()) == pytest.approx(
        expected, abs=1e-3
    )


@pytest.mark.parametrize(
    ("distance_m", "lux", "ev100"),
    [(1.0, 1633, 9.35), (1.5, 1027, 8.68), (2.0, 669, 8.06), (3.0, 326, 7.03), (4.0, 185, 6.21)],
)
def test_the_same_in_lux_and_exposure_values(distance_m, lux, ev100):
    # 10 klx outside, glass 0.80 without its angle, C 250 (ISO 2720).
    flat_glass = Glass(0.80, bare=True)
    found = per_cent(
        a_pane(1.5, 0.5, 2.5, distance_m, glass=flat_glass), TO_THE_WINDOW, a_sky(diffuse_lux=10_000.0)
    )
    assert found == pytest.approx(lux, abs=0.6)
    assert np.log2(found / 2.5) == pytest.approx(ev100, abs=0.01)


def test_window_light_does_not_fall_with_the_square():
    stops = {d: np.log2(per_cent(a_pane(1.5, 0.5, 2.5, d), TO_THE_WINDOW, a_sky())) for d in (1.0, 2.0, 4.0)}
    assert stops[1.0] - stops[2.0] == pytest.approx(1.288, abs=0.001)
    assert stops[2.0] - stops[4.0] == pytest.approx(1.853, abs=0.001)


def test_full_opening_gives_half_of_the_ground_term():
    # A face against an endless opening sees half sky, half ground: 0.396177 + 0.2 / 2 (integration).
    wall_of_glass = WindowPane(4000.0, 4000.0, 0.0, 0.0, -1.0, 180.0, NO_GLASS)
    found = window_light(
        wall_of_glass,
        Receiver((0, 0, 2000.0), TO_THE_WINDOW),
        a_sky(ground_reflectance=0.2),
        room_north_deg=0.0,
    )
    assert found.sky_lux[0] == pytest.approx(39.6177, abs=0.02)
    assert found.ground_lux[0] == pytest.approx(10.0, abs=0.02)


@pytest.mark.parametrize(
    ("sky_type", "facing"),
    [
        pytest.param(OVERCAST, (0.3, -0.8, 0.4), id="overcast, half turned"),
        pytest.param(CLEAR, (0.0, -1.0, 0.0), id="clear sky"),
        pytest.param(CLEAR, (-1.0, -0.2, -0.2), id="clear sky, most of the window behind the face"),
    ],
)
def test_glazed_window_against_monte_carlo(sky_type, facing):
    """Uniform points on the pane, fixed seed, no clipping: each ray decides itself what it sees."""
    sky = a_sky(sky_type, ground_reflectance=0.3, sun_azimuth_deg=140.0, sun_elevation_deg=35.0)
    glass = Glass(0.8, frame_factor=0.9)
    pane = a_pane(1.5, 0.5, 2.5, 1.2, aside_m=0.4, glass=glass)
    rng = np.random.default_rng(20240521)
    count = 400_000
    points = np.stack(
        [rng.uniform(-0.35, 1.15, count), np.full(count, -1.2), rng.uniform(0.5, 2.5, count)], axis=1
    ) - np.array([0.0, 0.0, 1.0])
    distance = np.linalg.norm(points, axis=1)
    rays = points / distance[:, None]
    normal = np.array(facing) / np.linalg.norm(facing)
    cos_pane = -rays[:, 1]
    weight = 3.0 * cos_pane / distance**2 * np.maximum(rays @ normal, 0.0)
    through = np.asarray(glass.transmittance(np.degrees(np.arccos(cos_pane))))
    # The camera stands north, so plan and compass coincide.
    samples = sky.luminance_cd_m2(rays)[0] * weight * through
    error = samples.std() / np.sqrt(count)
    found = per_cent(pane, facing, sky)
    assert found == pytest.approx(samples.mean(), abs=4 * error)
    assert error < 0.005 * found


def test_luminance_of_a_pane_under_a_uniform_sky():
    # Definition: E_h = pi L under a uniform sky, so 100 lux are 31.83 cd/m2 wherever only sky is seen.
    found = pane_luminance_cd_m2(a_pane(1.0, 1.5, 2.5, 3.0), (0, 0, 1.2), a_sky(UNIFORM), room_north_deg=0.0)
    assert found[0] == pytest.approx(100 / np.pi, rel=1e-9)


def test_depth_of_the_sun_patch():
    # London, equinox noon, south window with its head at 2.20 m: tan p = tan alt / cos(az difference).
    sun = sun_path(Site(51.5074, -0.1278), [datetime(2024, 3, 20, 12, tzinfo=UTC)])
    profile = profile_angle_deg(sun.elevation_deg, sun.azimuth_deg, 180.0)[0]
    assert profile == pytest.approx(38.637, abs=0.001)
    assert patch_depth_m(2.20, profile) == pytest.approx(2.752, abs=0.001)
