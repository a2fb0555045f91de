"""Light of discs and rectangles against published configuration factors.

J. R. Howell, *A Catalog of Radiation Configuration Factors*; R. Siegel, J. R. Howell, *Thermal Radiation Heat
Transfer*. Values of the Lambert polygon were confirmed by Monte Carlo integration and by mitsuba 3.9.1.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from recipes.light.emission import LAMBERTIAN, beam
from recipes.light.form_factor import (
    disc_off_axis,
    disc_on_axis,
    form_factor,
    rectangle_by_corner,
    rectangle_on_axis,
    small_face_error,
)
from recipes.light.geometry import disc, rectangle, regular_polygon
from recipes.light.source import PointEmitter, Source, glowing_face

UP, DOWN = np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, -1.0])
SQUARE = rectangle([0, 0, 0], UP, 1.0, 1.0)


def above(x: float, y: float, z: float) -> np.ndarray:
    return np.array([x, y, z])


def test_a_disc_on_its_axis():
    # Howell: R² / (R² + h²); mitsuba 0.62846 ± 0.00064 for E / L.
    glowing = disc([0, 0, 0], UP, 1.0)
    assert disc_on_axis(0.5, 1.0) == pytest.approx(0.2, rel=1e-9)
    assert disc_on_axis(0.5, 2.0) == pytest.approx(1 / 17, rel=1e-9)
    assert form_factor(glowing, above(0, 0, 1), DOWN) == pytest.approx(0.2, rel=1e-9)
    assert glowing_face("pane", glowing, 1.0).light_at(above(0, 0, 1), DOWN) == pytest.approx(
        0.628319, abs=1e-6
    )


@pytest.mark.parametrize(
    ("radius", "aside", "factor"),
    # Howell, element to parallel disc; double quadrature and Monte Carlo.
    [(0.5, 0.5, 0.1464466), (0.5, 1.0, 0.0658784), (0.75, 0.5, 0.2916726)],
)
def test_a_disc_off_its_axis(radius, aside, factor):
    assert disc_off_axis(radius, 1.0, aside) == pytest.approx(factor, abs=1e-7)
    # A factor has no unit: three times as large and as far it is the same.
    assert disc_off_axis(3 * radius, 3.0, 3 * aside) == pytest.approx(factor, abs=1e-7)
    glowing = disc([0, 0, 0], UP, 2 * radius)
    assert form_factor(glowing, above(aside, 0, 1), DOWN) == pytest.approx(factor, abs=1e-7)


@pytest.mark.parametrize(("distance", "factor"), [(1.0, 0.2394565), (2.0, 0.0734776)])
def test_a_square_metre_on_its_axis(distance, factor):
    # Howell; mitsuba 0.75265 ± 0.0007 for E / L at 1 m.
    assert rectangle_on_axis(1.0, 1.0, distance) == pytest.approx(factor, abs=1e-7)
    assert form_factor(SQUARE, above(0, 0, distance), DOWN) == pytest.approx(factor, abs=1e-7)


@pytest.mark.parametrize(
    ("distance", "factor"),
    # Howell, four corners; quadrature.
    [(0.5, 0.3939381), (1.0, 0.1442096), (1.5, 0.0703442), (2.0, 0.0409827), (3.0, 0.0186944)],
)
def test_a_softbox_of_60_by_90_on_its_axis(distance, factor):
    softbox = rectangle([0, 0, 0], UP, 0.6, 0.9)
    assert form_factor(softbox, above(0, 0, distance), DOWN) == pytest.approx(factor, abs=1e-7)
    assert rectangle_on_axis(0.6, 0.9, distance) == pytest.approx(factor, abs=1e-7)


def test_a_strip_gives_a_fifth_less_than_a_point_of_the_same_flux():
    # Quadrature; mitsuba 0.29074 ± 0.0005 for E / L.
    strip = rectangle([0, 0, 0], UP, 0.3, 1.2)
    factor = float(form_factor(strip, above(0, 0, 1), DOWN))
    assert factor == pytest.approx(0.0924722, abs=1e-6)
    assert factor / (0.36 / math.pi) == pytest.approx(0.80697, abs=1e-5)


def test_a_square_from_before_one_corner():
    # Howell, element to parallel rectangle: 0.1385316; Monte Carlo 0.13865 ± 0.00017.
    assert rectangle_by_corner(1.0, 1.0, 1.0) == pytest.approx(0.1385316, abs=1e-7)
    assert form_factor(SQUARE, above(0.5, 0.5, 1), DOWN) == pytest.approx(0.1385316, abs=1e-7)


def test_a_receiver_at_right_angles_to_the_square():
    # Howell, element perpendicular to the rectangle's plane.
    facing_along = np.array([-1.0, 0.0, 0.0])
    assert form_factor(SQUARE, above(0.5, 0.5, 1), facing_along) == pytest.approx(0.0557342, abs=1e-7)


@pytest.mark.parametrize(
    ("tilt_deg", "factor"),
    # Lambert's polygon clipped to the horizon; Monte Carlo within 3e-5; mitsuba 0.53192 ± 0.0008 for E / L at 45°.
    [(45, 0.1693213), (60, 0.1197282), (75, 0.0672215), (90, 0.0278554), (100, 0.0108102)],
)
def test_a_receiver_turned_away_sees_what_is_above_its_horizon(tilt_deg, factor):
    tilt = math.radians(tilt_deg)
    facing = np.array([math.sin(tilt), 0.0, -math.cos(tilt)])
    assert form_factor(SQUARE, above(0, 0, 1), facing) == pytest.approx(factor, abs=1e-6)


@pytest.mark.parametrize(("tilt_deg", "unclipped"), [(75, 0.06198), (90, 0.0), (100, -0.0416)])
def test_the_cosine_alone_is_wrong_once_the_horizon_cuts_the_face(tilt_deg, unclipped):
    # cos(tilt) · F0 of the row above: too little at 75 degrees, nonsense at 100.
    on_axis = float(form_factor(SQUARE, above(0, 0, 1), DOWN))
    tilt = math.radians(tilt_deg)
    facing = np.array([math.sin(tilt), 0.0, -math.cos(tilt)])
    assert math.cos(tilt) * on_axis == pytest.approx(unclipped, abs=5e-5)
    assert form_factor(SQUARE, above(0, 0, 1), facing) > unclipped + 0.005


def test_beside_a_softbox():
    # Lambert polygon; Monte Carlo 0.10024 ± 0.00015.
    softbox = rectangle([0, 0, 0], UP, 0.6, 0.9)
    assert form_factor(softbox, above(0.5, 0, 1), DOWN) == pytest.approx(0.1000151, abs=1e-6)


def test_two_coaxial_discs():
    # Siegel & Howell, 4th ed., p. 845: r1 0.1, r2 0.2, gap 0.5 gives F12 = 0.1339.
    radii = np.polynomial.legendre.leggauss(12)
    r = (radii[0] + 1) / 2 * 0.1
    share = radii[1] / 2 * 0.1 * 2 * r / 0.1**2
    points = np.stack([r, np.zeros_like(r), np.full_like(r, 0.5)], axis=-1)
    assert form_factor(disc([0, 0, 0], UP, 0.4), points, DOWN) @ share == pytest.approx(0.1339313, abs=1e-6)


@pytest.mark.parametrize(
    ("distance_over_diameter", "percent", "stops"),
    # 1 + (R/d)²: derivation.
    [
        (0.5, 100, 1.000),
        (1, 25, 0.322),
        (1.5, 11.11, 0.152),
        (2, 6.25, 0.0875),
        (3, 2.778, 0.0395),
        (5, 1.000, 0.0144),
        (10, 0.250, 0.0036),
    ],
)
def test_what_inverse_square_over_reads_on_a_disc(distance_over_diameter, percent, stops):
    found = small_face_error(disc([0, 0, 0], UP, 1.0), distance_over_diameter)
    assert (2**found - 1) * 100 == pytest.approx(percent, rel=5e-4)
    assert found == pytest.approx(stops, abs=1e-4)


def test_the_five_times_rule_is_about_the_longest_dimension():
    # IES definition 9.1.1 and CIE e-ILV 17-25-104: within 1 % at five times the maximum dimension.
    assert (2 ** small_face_error(SQUARE, 5.0) - 1) * 100 == pytest.approx(1.332, abs=0.005)
    assert (2 ** small_face_error(SQUARE, 5.0 * SQUARE.across_m) - 1) * 100 == pytest.approx(0.666, abs=0.005)


@pytest.mark.parametrize(("distance", "percent"), [(1, 32.93), (2, 8.30), (3, 3.70)])
def test_what_inverse_square_over_reads_on_a_square(distance, percent):
    # Lambert polygon.
    assert (2 ** small_face_error(SQUARE, distance) - 1) * 100 == pytest.approx(percent, abs=0.01)


@pytest.mark.parametrize(
    ("face", "distance", "stops"),
    # Closed forms; a point would lose 2 stops.
    [
        (disc([0, 0, 0], UP, 1.0), 0.5, 1.3219),
        (disc([0, 0, 0], UP, 1.0), 1, 1.7655),
        (disc([0, 0, 0], UP, 1.0), 2, 1.9349),
        (disc([0, 0, 0], UP, 1.0), 4, 1.9833),
        (SQUARE, 0.5, 1.2105),
        (SQUARE, 1, 1.7044),
        (SQUARE, 2, 1.9147),
    ],
)
def test_twice_as_far_loses_less_than_two_stops_before_a_large_face(face, distance, stops):
    near, far = (form_factor(face, above(0, 0, d), DOWN) for d in (distance, 2 * distance))
    assert math.log2(near / far) == pytest.approx(stops, abs=5e-4)


@pytest.mark.parametrize(("angle_deg", "stops"), [(15, 0.200), (30, 0.830), (45, 2.000), (60, 4.000)])
def test_a_small_face_falls_off_with_the_fourth_power_of_the_cosine(angle_deg, stops):
    # cos⁴, handbooks.
    small = rectangle([0, 0, 0], UP, 0.002, 0.002)
    aside = math.tan(math.radians(angle_deg))
    centre, edge = (form_factor(small, above(x, 0, 1), DOWN) for x in (0.0, aside))
    assert math.log2(centre / edge) == pytest.approx(stops, abs=1e-3)


def test_intensity_and_flux_of_a_flat_even_source():
    # Lambert: I0 = L A, Phi = pi L A, I = I0 cos.
    pane = glowing_face("pane", SQUARE, 100.0)
    assert pane.flux_lm == pytest.approx(math.pi * 100.0, rel=1e-9)
    as_point = Source("far pane", "ambient", PointEmitter(np.zeros(3), UP), pane.flux_lm, LAMBERTIAN)
    angle = math.radians(40)
    there = np.array([math.sin(angle), 0, math.cos(angle)])
    assert as_point.light_at(there, -there) == pytest.approx(100.0 * math.cos(angle), rel=1e-9)


@pytest.mark.parametrize("corners", [5, 6, 8, 12])
@pytest.mark.parametrize("distance_m", [0.3, 1.0, 2.5])
def test_a_polygonal_face_on_its_axis_is_the_integral_over_it(corners, distance_m):
    # In polar coordinates: 1/pi of the integral of h² r / (h² + r²)² out to the side, which lies at a / cos of the
    # angle from its middle; over the radius it is r² / 2 (h² + r²). scipy's quad over the angle.
    half = 0.6

    def over_the_radius(angle):
        reach = half / math.cos(angle)
        return reach**2 / (2.0 * (distance_m**2 + reach**2))

    whole = 2 * corners * quad(over_the_radius, 0.0, math.pi / corners)[0] / math.pi
    face = regular_polygon([0, 0, 0], [0, 1, 0], corners, 2 * half)
    assert form_factor(face, [0, distance_m, 0], [0, -1, 0]) == pytest.approx(whole, rel=1e-9)


def test_an_octagon_lights_between_the_discs_that_it_holds_and_that_hold_it():
    eight = form_factor(regular_polygon([0, 0, 0], [0, 1, 0], 8, 1.2), [0, 1.0, 0], [0, -1, 0])
    assert disc_on_axis(0.6, 1.0) < eight < disc_on_axis(0.6 / math.cos(math.pi / 8), 1.0)


@pytest.mark.parametrize("place", [(0.0, 0.15, 0.0), (0.3, 0.2, -0.2), (0.2, 1.5, 0.4)])
def test_a_gridded_octagon_is_the_sum_over_its_face(place):
    face = regular_polygon([0, 0, 0], [0, 1, 0], 8, 1.2)
    lamp = Source("octagon", "flash", face, 1000.0, beam(40.0))
    x, z = (side.ravel() for side in np.meshgrid(*[(np.arange(1600) + 0.5) / 1600 * 1.4 - 0.7] * 2))
    inside = np.all(
        [np.abs(np.cos(n * np.pi / 4) * x + np.sin(n * np.pi / 4) * z) <= 0.6 for n in range(4)], axis=0
    )
    spots = np.stack([x[inside], 0.0 * x[inside], z[inside]], axis=1)
    summed = lamp.per_lumen(spots, np.array([place]), np.array([[0.0, -1.0, 0.0]])).mean() * 1000.0
    assert float(lamp.light_at(place, [0, -1, 0])) == pytest.approx(summed, rel=0.01)
