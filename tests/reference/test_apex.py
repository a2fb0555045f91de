"""Exposure values, meter constants and engraved series against outside values.

Meters: ISO 2720:1974 (K 10.6 to 13.4, C 240 to 400 flat and 320 to 540 hemispherical). APEX: ASA PH2.5-1960. Marked
apertures: ISO 517:2008; marked times: ISO 516:2019; speeds: ISO 12232.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from recipes.light import apex, lens_loss, series
from recipes.light.apex import Exposure, MeterProfile
from recipes.light.placement import add_stops, incident_placement, key_and_fill_ratio

EXACT = 1e-9
FLAT = MeterProfile()
DOME = MeterProfile(c_incident=340, receptor="dome")


@pytest.mark.parametrize(("iso", "speed_value"), [(100, 5), (200, 6), (400, 7), (3200, 10)])
def test_iso_100_is_speed_value_5(iso, speed_value):
    # ASA PH2.5-1960, scaling 3.125.
    assert apex.speed_value(iso) == pytest.approx(speed_value, rel=EXACT)
    assert apex.iso_speed(speed_value) == pytest.approx(iso, rel=EXACT)


def test_exposure_value_at_iso_100_of_a_setting():
    # colour-hdri 0.2.6, exposure_value_100 (ISO 12232:2006).
    assert apex.ev100(8, 1 / 250, 400) == pytest.approx(11.9657842847, abs=1e-6)
    assert Exposure(8, 1 / 250, 400).ev100 == pytest.approx(11.9657842847, abs=1e-6)


def test_luminance_of_an_exposure_value_at_k_12_5():
    # ISO 2720:1974; colour-hdri 0.2.6, average_luminance.
    ev = np.array([-4, 0, 3, 5, 10, 12, 15, 16])
    cd_m2 = np.array([0.0078125, 0.125, 1, 4, 128, 512, 4096, 8192])
    np.testing.assert_allclose(FLAT.cd_m2(ev), cd_m2, rtol=EXACT)
    np.testing.assert_allclose(FLAT.ev100_of_cd_m2(cd_m2), ev, atol=EXACT)


def test_illuminance_of_an_exposure_value_at_c_250():
    # ISO 2720:1974; colour-hdri 0.2.6, average_illuminance.
    ev = np.array([-4, 0, 3, 5, 8, 10, 12, 15, 16])
    lux = np.array([0.15625, 2.5, 20, 80, 640, 2560, 10240, 81920, 163840])
    np.testing.assert_allclose(FLAT.lux(ev), lux, rtol=EXACT)
    np.testing.assert_allclose(FLAT.ev100_of_lux(lux), ev, atol=EXACT)


@pytest.mark.parametrize(("ev", "lux"), [(0, 3.4), (8, 870.4), (15, 111411.2)])
def test_illuminance_of_an_exposure_value_under_a_dome(ev, lux):
    # colour-hdri 0.2.6 with C = 340.
    assert DOME.lux(ev) == pytest.approx(lux, rel=EXACT)


@pytest.mark.parametrize(
    ("first", "second", "stops"),
    # Ratios of constants inside ISO 2720 (K 14: in use, outside the range).
    [
        (FLAT, MeterProfile(c_incident=330, receptor="dome"), 0.4005),
        (FLAT, DOME, 0.4436),
    ],
)
def test_a_dome_asks_for_more_light_than_a_flat_receptor(first, second, stops):
    assert math.log2(second.lux(10) / first.lux(10)) == pytest.approx(stops, abs=5e-4)


def test_k_14_lies_0_16_stop_over_k_12_5():
    assert math.log2(MeterProfile(k_reflected=14).cd_m2(10) / FLAT.cd_m2(10)) == pytest.approx(
        0.1635, abs=5e-4
    )


@pytest.mark.parametrize(
    ("k", "c", "reflectance"),
    # pi K / C, from the two equations of ISO 2720.
    [(12.5, 250, 0.1571), (12.5, 330, 0.1190), (12.5, 340, 0.1155), (14, 340, 0.1294)],
)
def test_the_two_constants_agree_on_a_surface_that_is_not_18_percent(k, c, reflectance):
    meter = MeterProfile(c_incident=c, k_reflected=k)
    assert meter.implied_reflectance == pytest.approx(reflectance, abs=1e-4)


def test_a_grey_card_and_an_incident_reading_at_c_250_are_a_fifth_of_a_stop_apart():
    # log2(0.18 / 0.1571): ISO 2720.
    assert math.log2(0.18 / FLAT.implied_reflectance) == pytest.approx(0.197, abs=5e-4)


def test_sunny_16():
    # ANSI PH2.7 exposure guide; 3200 cd/m² at K = 12.5 also in discussions of ANSI PH3.49.
    assert apex.ev100(16, 1 / 100, 100) == pytest.approx(14.644, abs=1e-3)
    assert FLAT.cd_m2_of_triple(16, 1 / 100, 100) == pytest.approx(3200, rel=EXACT)
    assert FLAT.lux_of_triple(16, 1 / 100, 100) == pytest.approx(64_000, rel=EXACT)
    assert MeterProfile(330, receptor="dome").lux_of_triple(16, 1 / 100, 100) == pytest.approx(
        84_480, rel=EXACT
    )
    assert apex.ev100(16, 1 / 125, 100) == pytest.approx(14.966, abs=1e-3)


@pytest.mark.parametrize(
    ("meter", "is_inside"),
    # ISO 2720:1974, both ends of each range and just past them.
    [
        (MeterProfile(240, 10.6), True),
        (MeterProfile(400, 13.4), True),
        (MeterProfile(239, 12.5), False),
        (MeterProfile(401, 12.5), False),
        (MeterProfile(320, 12.5, "dome"), True),
        (MeterProfile(540, 12.5, "dome"), True),
        (MeterProfile(319, 12.5, "dome"), False),
        (MeterProfile(541, 12.5, "dome"), False),
        (MeterProfile(250, 10.5), False),
        (MeterProfile(250, 14.0), False),
    ],
)
def test_the_ranges_of_iso_2720(meter, is_inside):
    assert (meter.beyond_iso_2720 == ()) == is_inside


def error(mark: series.Mark) -> float:
    return mark.engraving_error_stops


@pytest.mark.parametrize(
    ("engraved", "of", "exact", "stops", "within"),
    # 2**(n/2) of ISO 517 against the numbers marked.
    [
        ("5.6", "full", 5.65685, -0.0291, 5e-4),
        ("11", "full", 11.31371, -0.0811, 5e-4),
        ("22", "full", 22.62742, -0.0811, 5e-4),
        ("1.1", "third", 1.12246, -0.058, 1e-3),
        ("1.2", "third", 1.25992, -0.141, 1e-3),
        ("2.2", "third", 2.24492, -0.058, 1e-3),
        ("3.5", "third", 3.56359, -0.052, 1e-3),
        ("13", "third", 12.69921, 0.068, 1e-3),
        ("14", "third", 14.25438, -0.052, 1e-3),
        ("25", "third", 25.39842, -0.046, 1e-3),
        ("29", "third", 28.50876, 0.049, 1e-3),
        ("4.5", "third", 4.48985, 0.0065, 5e-4),
        ("9", "third", 8.97970, 0.0065, 5e-4),
        ("18", "third", 17.95939, 0.0065, 5e-4),
        ("13", "half", 13.4543, -0.099, 1e-3),
        ("1.2", "half", 1.1892, 0.026, 1e-3),
    ],
)
def test_a_marked_aperture_is_not_the_exact_one(engraved, of, exact, stops, within):
    mark = series.parse_aperture(engraved, of)
    assert mark.value == pytest.approx(exact, rel=1e-5)
    assert error(mark) == pytest.approx(stops, abs=within)


def test_f_13_and_f_1_2_mean_different_openings_in_the_half_and_third_series():
    for engraved in ("13", "1.2"):
        third, half = (series.parse_aperture(engraved, of) for of in ("third", "half"))
        assert abs(2 * math.log2(third.value / half.value)) == pytest.approx(1 / 6, abs=1e-9)


@pytest.mark.parametrize(
    ("engraved", "of", "exact_s", "stops", "within"),
    # 2**n of ISO 516 against the times marked; positive is more light than the exact time.
    [
        ("1/15", "full", 1 / 16, 0.0931, 5e-4),
        ("1/30", "full", 1 / 32, 0.0931, 5e-4),
        ("1/60", "full", 1 / 64, 0.0931, 5e-4),
        ("1/125", "full", 1 / 128, 0.0342, 5e-4),
        ("1/250", "full", 1 / 256, 0.0342, 5e-4),
        ("1/500", "full", 1 / 512, 0.0342, 5e-4),
        ("1/1000", "full", 1 / 1024, 0.0342, 5e-4),
        ("1/8000", "full", 1 / 8192, 0.0342, 5e-4),
        ("1/6", "third", 1 / 6.350, 0.0817, 1e-3),
        ("0.6", "third", 0.630, -0.0703, 1e-3),
        ("0.3", "third", 0.315, -0.0703, 1e-3),
        ("1/10", "half", 1 / 11.314, 0.178, 1e-3),
        ("1/20", "half", 1 / 22.627, 0.178, 1e-3),
        ("1/10", "third", 1 / 10.0794, 0.0114, 1e-3),
        ("1/20", "third", 1 / 20.1587, 0.0114, 1e-3),
    ],
)
def test_a_marked_time_is_not_the_exact_one(engraved, of, exact_s, stops, within):
    mark = series.parse_shutter(engraved, of)
    assert mark.value == pytest.approx(exact_s, rel=1e-3)
    assert error(mark) == pytest.approx(stops, abs=within)


def test_the_largest_error_among_times_is_in_the_half_series_at_a_tenth():
    # ISO 516 series: 0.178 stop at 1/10 and 1/20.
    largest = max(
        abs(error(mark)) for of in ("full", "half", "third") for mark in series.marks("shutter", of)
    )
    assert largest == pytest.approx(0.178, abs=1e-3)


@pytest.mark.parametrize(
    ("engraved", "exact"),
    # ISO 12232, ISO 3 (R10).
    [(64, 63.00), (80, 79.37), (125, 125.99), (160, 158.74), (250, 251.98), (320, 317.48), (1250, 1269.92)],
)
def test_third_stop_speeds(engraved, exact):
    mark = series.parse_iso(engraved)
    assert mark.value == pytest.approx(exact, abs=0.005)
    assert abs(error(mark)) <= 0.0231


def test_reckoning_with_f_11_and_a_60th_as_engraved_is_off_by_a_sixth_of_a_stop():
    # -0.0811 of aperture and -0.0931 of time value.
    aperture, time = series.parse_aperture("f/11"), series.parse_shutter("1/60")
    engraved, exact = apex.ev100(11, 1 / 60), apex.ev100(aperture.value, time.value)
    assert engraved - exact == pytest.approx(-0.174, abs=1e-3)


@pytest.mark.parametrize(
    ("stops", "sum_stops"),
    # log2 of the sum of powers of two.
    [([0, 0], 1.0), ([0, -1], 0.585), ([0, -2], 0.322), ([0, -3], 0.170), ([0, 0, 0, 0], 2.0)],
)
def test_lights_add_as_light(stops, sum_stops):
    assert add_stops(stops) == pytest.approx(sum_stops, abs=5e-4)


def test_key_one_stop_over_fill_makes_three_to_one_on_the_face():
    # Common convention, named in the function: both reach the lit side.
    assert key_and_fill_ratio(1.0) == pytest.approx(3.0, rel=EXACT)
    assert math.log2(key_and_fill_ratio(1.0)) == pytest.approx(1.585, abs=1e-3)


@pytest.mark.parametrize(("transmittance", "t_number", "stops"), [(0.80, 3.130, 0.322), (0.90, 2.951, 0.152)])
def test_a_lens_passes_less_than_its_f_number_says(transmittance, t_number, stops):
    # T = N / sqrt(tau).
    assert lens_loss.t_number(2.8, transmittance) == pytest.approx(t_number, abs=1e-3)
    assert -math.log2(transmittance) == pytest.approx(stops, abs=1e-3)


@pytest.mark.parametrize(
    ("magnification", "stops"), [(0.1, 0.275), (0.25, 0.644), (0.5, 1.170), (1.0, 2.000)]
)
def test_extension_takes_two_stops_at_life_size(magnification, stops):
    # (1 + m)², standard optics.
    assert lens_loss.extension_loss_stops(magnification) == pytest.approx(stops, abs=1e-3)


def test_a_zone_at_the_meter_s_own_exposure_lies_at_placement_0():
    # The equation of ISO 2720 solved for P.
    exposure = Exposure(8, 1 / 128, 100)
    lux = FLAT.lux_of_triple(8, 1 / 128, 100)
    assert incident_placement(lux, 0.0, exposure, FLAT) == pytest.approx(0.0, abs=EXACT)
