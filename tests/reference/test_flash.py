"""Flash exposure, guide numbers and flux against outside values.

Flash meters: ISO 10157:1991. Guide number: ISO 1230:1992 (f-number times distance). C: ISO 2720:1974.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from recipes.light import guide_number as gn
from recipes.light.apex import Exposure, MeterProfile
from recipes.light.emission import Emission, cone_intensity_cd
from recipes.light.form_factor import form_factor
from recipes.light.geometry import rectangle
from recipes.light.placement import ambient_share, incident_placement
from recipes.light.source import PointEmitter, Source
from recipes.light.strobe import flux_of_energy_lms, flux_of_reading_lms

EXACT = 1e-9
METER = MeterProfile()
AHEAD = np.array([0.0, 1.0, 0.0])


@pytest.mark.parametrize(("exposure_lxs", "f_number"), [(2.5, 1), (10, 2), (40, 4), (160, 8), (640, 16)])
def test_a_flash_meter_shows_f_8_at_160_lux_seconds(exposure_lxs, f_number):
    # ISO 2720, ISO 10157, at C = 250 and ISO 100.
    assert METER.flash_f_number(exposure_lxs) == pytest.approx(f_number, rel=EXACT)
    assert METER.lxs_of_flash(f_number) == pytest.approx(exposure_lxs, rel=EXACT)


@pytest.mark.parametrize(("c", "f_number"), [(330, 6.963), (340, 6.860)])
def test_the_same_light_under_a_dome_reads_less(c, f_number):
    # ISO 2720 with a hemispherical receptor's C.
    assert MeterProfile(c, receptor="dome").flash_f_number(160) == pytest.approx(f_number, abs=1e-3)


def test_a_hundred_lux_seconds():
    # sqrt(100 · 100 / 250).
    assert METER.flash_f_number(100) == pytest.approx(6.3246, abs=1e-4)


@pytest.mark.parametrize(
    ("intensity", "guide"), [(1000, 20.000), (2500, 31.623), (4000, 40.000), (10_000, 63.246)]
)
def test_guide_number_of_an_intensity(intensity, guide):
    # ISO 1230 with C = 250.
    assert gn.guide_number_m(intensity, METER) == pytest.approx(guide, abs=1e-3)


@pytest.mark.parametrize(("guide", "intensity"), [(36, 3240), (60, 9000)])
def test_intensity_of_a_guide_number(guide, intensity):
    # ISO 1230 with C = 250.
    assert gn.intensity_cds(guide, METER) == pytest.approx(intensity, rel=EXACT)


def test_feet_for_metres_is_3_4_stops():
    # International foot, 0.3048 m.
    assert gn.in_feet(36) == pytest.approx(118.11, abs=0.01)
    assert gn.in_metres(118.11) == pytest.approx(36.0, abs=0.01)
    assert 2 * math.log2(gn.FEET_PER_METRE) == pytest.approx(3.43, abs=0.005)


@pytest.mark.parametrize(("stops", "guide"), [(1, 50.912), (2, 72.0), (-3, 12.728)])
def test_a_guide_number_goes_with_the_root_of_speed_and_power(stops, guide):
    # Square-root law: ISO 200, ISO 400, 1/8 power.
    assert gn.rescaled(36, stops) == pytest.approx(guide, abs=1e-3)


@pytest.mark.parametrize(("guides", "together"), [([40, 30], 50.0), ([36, 36], 50.912)])
def test_two_units_on_one_subject(guides, together):
    # Exposure adds, so guide numbers add by their squares.
    assert gn.combined(guides) == pytest.approx(together, abs=1e-3)


@pytest.mark.parametrize(("guide", "distance", "f_number"), [(80, 20, 4), (80, 10, 8), (45, 5, 9)])
def test_guide_number_over_distance(guide, distance, f_number):
    # Worked examples of encyclopedic pages on guide numbers (80 in feet, 45 in metres).
    assert gn.aperture_at(guide, distance) == pytest.approx(f_number, rel=EXACT)


def test_a_bare_bulb_of_500_watt_seconds():
    # Phi / 4 pi at 35 lm/W.
    flux = flux_of_energy_lms(500)
    bulb = Source("bulb", "flash", PointEmitter(np.zeros(3), AHEAD), flux)
    at_one_metre = bulb.light_at(AHEAD, -AHEAD)
    assert flux == pytest.approx(17_500, rel=EXACT)
    assert at_one_metre == pytest.approx(1392.6, abs=0.05)
    assert gn.guide_number_m(float(at_one_metre), METER) == pytest.approx(23.60, abs=0.01)


def test_the_same_into_a_lambertian_half_space():
    # I0 = Phi / pi.
    lamp = Source("lamp", "flash", PointEmitter(np.zeros(3), AHEAD), 17_500, Emission(1.0))
    at_one_metre = lamp.light_at(AHEAD, -AHEAD)
    assert at_one_metre == pytest.approx(5570.4, abs=0.05)
    assert gn.guide_number_m(float(at_one_metre), METER) == pytest.approx(47.20, abs=0.01)


def test_no_flash_takes_light_away_from_the_others():
    with pytest.raises(ValueError, match="a guide number is -1"):
        gn.combined([40.0, -1.0])


def test_the_same_in_an_even_cone_of_30_degrees():
    # Omega = 2 pi (1 - cos 30°) = 0.8418 sr, reflector efficiency 0.70.
    intensity = cone_intensity_cd(17_500 * 0.70, 30.0)
    assert intensity == pytest.approx(14_552, rel=1e-4)
    assert gn.guide_number_m(intensity, METER) == pytest.approx(76.30, abs=0.01)


@pytest.mark.parametrize(
    ("distance", "exposure_lxs", "f_number", "point_over_reads"),
    # (Phi · eta / A) · F with F by quadrature; scipy 1.17.
    [
        (0.5, 6383.3, 50.53, 0.803),
        (1.0, 2336.7, 30.57, 0.253),
        (1.5, 1139.8, 21.35, 0.119),
        (2.0, 664.07, 16.30, 0.068),
        (3.0, 302.92, 11.01, 0.031),
    ],
)
def test_a_softbox_of_60_by_90_before_500_watt_seconds(distance, exposure_lxs, f_number, point_over_reads):
    softbox = rectangle([0, 0, 0], AHEAD, 0.60, 0.90)
    light = Source("softbox", "flash", softbox, flux_of_energy_lms(500) * 0.50)
    found = float(light.light_at(distance * AHEAD, -AHEAD))
    as_point = light.flux_lm / np.pi / distance**2
    assert found == pytest.approx(exposure_lxs, rel=1e-3)
    assert METER.flash_f_number(found) == pytest.approx(f_number, rel=1e-3)
    assert math.log2(as_point / found) == pytest.approx(point_over_reads, abs=1e-3)


@pytest.mark.parametrize("distance", [0.5, 1.0, 2.0, 3.0])
def test_a_reading_at_any_distance_finds_the_flux_of_that_softbox(distance):
    # The row above, read backwards.
    softbox = rectangle([0, 0, 0], AHEAD, 0.60, 0.90)
    exposure = 8750 / 0.54 * float(form_factor(softbox, distance * AHEAD, -AHEAD))
    f_number = METER.flash_f_number(exposure)
    assert flux_of_reading_lms(f_number, distance, METER, softbox) == pytest.approx(8750, rel=EXACT)


def test_flash_and_window_in_one_frame():
    # H + E t, ISO 2720: 160 lx·s of flash, 2000 lux at 1/125, ISO 100, C = 250.
    total = 160 + 2000 / 125
    assert METER.flash_f_number(total) == pytest.approx(8.390, abs=5e-4)
    exposure = Exposure(8, 1 / 125, 100)
    both = incident_placement(2000, 160, exposure, METER)
    flash = incident_placement(0, 160, exposure, METER)
    ambient = incident_placement(2000, 0, exposure, METER)
    assert both - flash == pytest.approx(0.1375, abs=5e-4)
    assert flash - ambient == pytest.approx(3.322, abs=5e-4)
    assert ambient_share(2000, 160, 1 / 125) == pytest.approx(16 / 176, rel=EXACT)


def test_half_the_time_takes_a_stop_of_ambient_and_no_flash():
    # H + E t.
    short = Exposure(8, 1 / 250, 100)
    flash, ambient = incident_placement(0, 160, short, METER), incident_placement(2000, 0, short, METER)
    assert flash == pytest.approx(0.0, abs=EXACT)
    assert flash - ambient == pytest.approx(4.322, abs=5e-4)


def test_a_300_watt_lamp_gives_6_stops_less_in_a_125th_than_500_watt_seconds_of_flash():
    # 100 lm/W against 35 lm/W.
    assert math.log2(flux_of_energy_lms(500) / (300 * 100 / 125)) == pytest.approx(6.19, abs=0.01)
