"""Mixed colour: what must hold for any lights."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.colour import (
    cct_and_duv,
    daylight_xy,
    mired_spread,
    mix_xy,
    planck_xy,
    source_xy,
    uv_to_xy,
    xy_at,
    xy_to_uv,
)

temperatures = st.floats(1500, 20_000)
small_duv = st.floats(-0.02, 0.02)


@settings(deadline=None)
@given(temperatures, small_duv)
def test_what_is_stated_is_found_again(cct_k, duv):
    found = cct_and_duv(xy_at(cct_k, duv))
    assert found.cct_k == pytest.approx(cct_k, rel=1e-6)
    assert found.duv == pytest.approx(duv, abs=1e-9)


@settings(deadline=None)
@given(temperatures)
def test_a_black_body_lies_on_its_own_locus(cct_k):
    assert cct_and_duv(planck_xy(cct_k)).duv == pytest.approx(0, abs=1e-7)


@settings(deadline=None)
@given(st.floats(0.2, 0.5), st.floats(0.2, 0.5))
def test_both_diagrams_undo_each_other(x, y):
    np.testing.assert_allclose(uv_to_xy(xy_to_uv(np.array([x, y]))), [x, y], rtol=1e-12)


def test_positive_duv_is_green():
    green = xy_at(5000.0, 0.02)
    assert green[1] > planck_xy(5000.0)[1]


@settings(deadline=None)
@given(temperatures, st.floats(0.01, 1000))
def test_a_light_alone_keeps_its_colour(cct_k, lux):
    np.testing.assert_allclose(
        mix_xy(planck_xy(cct_k)[None, :], np.array([lux])), planck_xy(cct_k), rtol=1e-12
    )


@settings(deadline=None)
@given(temperatures, temperatures, st.floats(0.02, 0.98))
def test_a_mixture_lies_between_its_lights(first, second, share):
    mixture = cct_and_duv(
        mix_xy(np.stack([planck_xy(first), planck_xy(second)]), np.array([share, 1 - share]))
    )
    low, high = sorted((first, second))
    assert low * 0.9999 <= mixture.cct_k <= high * 1.0001
    # The locus is hollow towards magenta, so a chord lies below it.
    assert mixture.duv <= 1e-7


@settings(deadline=None)
@given(st.lists(st.tuples(temperatures, st.floats(0.1, 10)), min_size=2, max_size=5), st.randoms())
def test_order_and_unit_do_not_matter(lights, shuffler):
    shuffled = list(lights)
    shuffler.shuffle(shuffled)

    def mixture(some, unit):
        return mix_xy(np.stack([planck_xy(t) for t, _ in some]), np.array([w for _, w in some]) * unit)

    np.testing.assert_allclose(mixture(lights, 1.0), mixture(shuffled, 1000.0), rtol=1e-10)


def test_more_flash_pulls_towards_the_flash():
    shares = np.linspace(0.05, 0.95, 10)
    mixture = mix_xy(
        np.stack([planck_xy(5500.0), planck_xy(3200.0)]), np.stack([shares, 1 - shares], axis=-1)
    )
    assert (np.diff(cct_and_duv(mixture).cct_k) > 0).all()


def test_a_dark_zone_has_no_colour():
    mixture = mix_xy(np.stack([planck_xy(5500.0), planck_xy(3200.0)]), np.array([[0.0, 0.0], [1.0, 0.0]]))
    found = cct_and_duv(mixture)
    assert np.isnan(found.cct_k[0])
    assert np.isnan(found.duv[0])
    assert found.cct_k[1] == pytest.approx(5500)


@pytest.mark.parametrize(
    "xy",
    [
        pytest.param((0.30, 0.60), id="leaf green"),
        pytest.param((0.45, 0.20), id="magenta"),
        pytest.param((0.15, 0.06), id="deep blue"),
        pytest.param((0.69, 0.31), id="deep red"),
    ],
)
def test_a_strong_colour_has_no_temperature(xy):
    assert np.isnan(cct_and_duv(np.array(xy)).cct_k)


def test_beyond_the_ends_of_the_scale_there_is_no_temperature():
    # Redder than 1000 K on the locus' own line; bluer than 100 000 K.
    assert np.isnan(cct_and_duv(np.array([0.6705, 0.3288])).cct_k)
    assert np.isnan(cct_and_duv(np.array([0.235, 0.23])).cct_k)


def test_many_zones_are_the_single_ones():
    xy = np.random.default_rng(5).uniform(0.28, 0.45, (4, 3, 2))
    together = cct_and_duv(xy)
    assert together.cct_k.shape == (4, 3)
    single = cct_and_duv(xy[2, 1])
    np.testing.assert_array_equal([together.cct_k[2, 1], together.duv[2, 1]], [single.cct_k, single.duv])


def test_mired_of_a_zone():
    assert cct_and_duv(planck_xy(5000.0)).mired == pytest.approx(200, abs=0.01)


def test_spread_is_the_widest_pair():
    assert mired_spread(np.array([5000.0, 4000.0, 4500.0])) == pytest.approx(50)
    assert mired_spread(np.array([5000.0])) == 0


# Sources by their sheet.


def test_daylight_keeps_to_its_own_locus_and_a_lamp_to_planck_s():
    assert cct_and_duv(source_xy(5500.0, "daylight")).duv == pytest.approx(0.0033, abs=2e-4)
    assert cct_and_duv(source_xy(5500.0, "lamp")).duv == pytest.approx(0, abs=1e-6)
    assert cct_and_duv(source_xy(5500.0, "flash")).duv == pytest.approx(0, abs=1e-6)


def test_evening_light_below_4000_kelvin_is_planckian():
    np.testing.assert_allclose(source_xy(3000.0, "daylight"), xy_at(3000.0, 0.0))


def test_the_daylight_locus_counts_from_its_first_to_its_last_temperature():
    # CIE 15 gives it from about 4000 to 25 000 K.
    for cct_k in (4000.0, 25_000.0):
        np.testing.assert_array_equal(source_xy(cct_k, "daylight"), daylight_xy(cct_k))
    np.testing.assert_array_equal(source_xy(25_001.0, "daylight"), xy_at(25_001.0, 0.0))


def test_a_measured_duv_goes_before_the_locus():
    found = cct_and_duv(source_xy(5600.0, "daylight", duv=-0.002))
    assert found.duv == pytest.approx(-0.002, abs=1e-6)


def test_a_gel_moves_the_temperature_and_leaves_duv():
    found = cct_and_duv(source_xy(5600.0, "daylight", shift_mired=131.0))
    bare = cct_and_duv(daylight_xy(5600.0))
    assert found.cct_k == pytest.approx(1e6 / (float(bare.mired) + 131), abs=0.5)
    assert found.duv == pytest.approx(float(bare.duv), abs=1e-6)


def test_a_gel_of_one_mired_moves_by_one_mired():
    found = cct_and_duv(source_xy(5000.0, "flash", shift_mired=1.0))
    assert found.mired == pytest.approx(201, abs=1e-3)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(lambda: daylight_xy(3999.0), "cct_k is 3999", id="no daylight locus"),
        pytest.param(lambda: daylight_xy(25_001.0), "cct_k is 25001", id="no daylight locus so blue"),
        pytest.param(lambda: planck_xy(100_001.0), "cct_k is 100001", id="too blue"),
        pytest.param(lambda: planck_xy(900.0), "cct_k is 900", id="too red"),
        pytest.param(lambda: source_xy(200.0, "lamp"), "cct_k is 200", id="source"),
        pytest.param(lambda: source_xy(5500.0, "flash", shift_mired=-182.0), "weaker blue gel", id="gel"),
        pytest.param(lambda: xy_at(5000.0, 0.06), "duv is 0.06", id="duv"),
        pytest.param(
            lambda: mix_xy(np.array([[0.3, 0.3]]), np.array([-1.0])), "luminance is -1", id="negative"
        ),
        pytest.param(lambda: mired_spread(np.array([np.nan])), "cct_k is nan", id="zone without colour"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()


def test_a_column_of_temperatures_has_the_colours_of_each():
    cct_k, duv = np.array([2700.0, 3200.0, 5600.0]), np.array([0.004, 0.0, -0.003])
    each = np.array([xy_at(k, d) for k, d in zip(cct_k, duv, strict=True)])
    np.testing.assert_allclose(xy_at(cct_k, duv), each, rtol=1e-12)


def test_very_blue_and_very_red_light_still_has_a_temperature():
    for kelvin in (1000.5, 1010.0, 1100.0, 60_000.0, 95_000.0):
        found = cct_and_duv(planck_xy(kelvin))
        assert float(found.cct_k) == pytest.approx(kelvin, rel=2e-3)
        assert float(found.duv) == pytest.approx(0.0, abs=1e-5)
