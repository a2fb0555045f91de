"""Facts about exposure values and meters that hold for any figures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import apex
from recipes.light.apex import Exposure, MeterProfile

METER = MeterProfile()
stops = st.floats(-20, 20)


@given(stops)
def test_each_additive_value_comes_back(value):
    assert apex.aperture_value(apex.f_number(value)) == pytest.approx(value, abs=1e-9)
    assert apex.time_value(apex.time_s(value)) == pytest.approx(value, abs=1e-9)
    assert apex.speed_value(apex.iso_speed(value)) == pytest.approx(value, abs=1e-9)


@given(stops)
def test_a_reading_comes_back_from_lux_and_from_luminance(ev):
    assert METER.ev100_of_lux(METER.lux(ev)) == pytest.approx(ev, abs=1e-9)
    assert METER.ev100_of_cd_m2(METER.cd_m2(ev)) == pytest.approx(ev, abs=1e-9)


@given(st.floats(0.5, 128), st.floats(1, 1e6))
def test_a_flash_reading_comes_back_at_any_speed(f_number, iso):
    assert METER.flash_f_number(METER.lxs_of_flash(f_number, iso), iso) == pytest.approx(f_number, rel=1e-9)


@given(st.floats(0.5, 64), st.floats(1e-5, 60), st.floats(1, 1e6))
def test_twice_the_speed_is_one_exposure_value_less(f_number, time_s, iso):
    assert apex.ev100(f_number, time_s, 2 * iso) == pytest.approx(
        apex.ev100(f_number, time_s, iso) - 1, abs=1e-9
    )


def test_a_filter_of_three_stops_takes_seven_eighths():
    assert Exposure(8, 0.01, 100, nd_stops=3).gain == pytest.approx(Exposure(8, 0.01, 100).gain / 8)


def test_arrays_go_through():
    exposure = Exposure(np.array([4.0, 8.0]), 0.01, 100)
    np.testing.assert_allclose(np.diff(exposure.ev100), [2.0])


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: apex.aperture_value(0),
        lambda: apex.ev100(8, -1),
        lambda: METER.ev100_of_lux(0),
        lambda: METER.ev100_of_cd_m2(0),
        lambda: METER.ev100_of_cd_m2(-1),
        lambda: METER.flash_f_number(0),
        lambda: METER.flash_f_number(100, 0),
        lambda: METER.flash_f_number(-100, -100),
        lambda: METER.lxs_of_flash(-8),
        lambda: METER.lxs_of_flash(8, -100),
        lambda: Exposure(8, 0.01, 0),
        lambda: Exposure(8, 0.01, 100, nd_stops=-1),
        lambda: MeterProfile(c_incident=0),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(wrong):
    with pytest.raises(ValueError, match=r"is .*; give .*\."):
        wrong()


def test_a_receptor_is_flat_or_a_dome():
    with pytest.raises(ValueError, match="receptor is 'round'; give 'flat' or 'dome'"):
        MeterProfile(receptor="round")


def test_a_constant_outside_the_standard_is_named():
    sentences = MeterProfile(c_incident=100, k_reflected=20).beyond_iso_2720
    assert ["C 100" in sentences[0], "K 20" in sentences[1]] == [True, True]


def test_without_a_speed_the_exposure_value_is_that_of_iso_100():
    assert apex.ev100(8.0, 1 / 250) == apex.ev100(8.0, 1 / 250, 100.0)
