"""The standard eye against a colour library, and black bodies against the laws of Planck and Wien."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from recipes.light.observer import MATCHING, WAVELENGTH_NM, V, planck_spectrum, xyz_of_spectrum

with warnings.catch_warnings():
    # It warns of a plotting library that nothing here needs.
    warnings.simplefilter("ignore")
    import colour


def test_observer_table_is_the_library_s():
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    np.testing.assert_array_equal(cmfs.wavelengths[::5], WAVELENGTH_NM)
    np.testing.assert_allclose(cmfs.values[::5], MATCHING, rtol=1e-11)


def test_the_eye_by_day_is_the_second_of_its_functions_and_largest_at_555_nm():
    # CIE 018: V is 1 at 555 nm.
    assert V.max() == V[WAVELENGTH_NM == 555.0] == 1.0
    assert xyz_of_spectrum(np.eye(len(V))) == pytest.approx(MATCHING)
    assert xyz_of_spectrum(np.ones(len(V)))[1] == pytest.approx(V.sum())


@pytest.mark.parametrize("cct_k", [4000.0, 5000.0, 6500.0])
def test_a_black_body_is_brightest_where_wien_says(cct_k):
    # CODATA: wavelength times temperature 2897.772 µm K.
    brightest = WAVELENGTH_NM[np.argmax(planck_spectrum(cct_k))]
    assert brightest == pytest.approx(2_897_772.0 / cct_k, abs=2.5)


def test_black_bodies_of_many_temperatures_are_each_told_and_are_one_at_560_nm():
    several = planck_spectrum(np.array([[2856.0, 5000.0], [6500.0, 20_000.0]]))
    assert several.shape == (2, 2, 95)
    assert several[..., WAVELENGTH_NM == 560.0] == pytest.approx(1.0)
    assert several[0, 1] == pytest.approx(planck_spectrum(5000.0))


def test_illuminant_a_is_a_black_body():
    # CIE 15, as the library has it: Planck at 2848 K with c2 = 0.01435, 100 at 560 nm, to six digits.
    given = colour.SDS_ILLUMINANTS["A"]
    up_to_780 = WAVELENGTH_NM[WAVELENGTH_NM <= 780.0]
    table = [float(given[wavelength]) for wavelength in up_to_780]
    spectrum = 100.0 * planck_spectrum(2848.0 * 0.014388 / 0.01435)
    np.testing.assert_allclose(spectrum[: len(up_to_780)], table, rtol=1e-5)


@pytest.mark.parametrize("wrong_k", [0.0, -5000.0])
def test_there_is_no_body_at_or_below_absolute_zero(wrong_k):
    with pytest.raises(ValueError, match="cct_k is"):
        planck_spectrum(wrong_k)
