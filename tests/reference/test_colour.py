"""Chromaticity, colour temperature and mixtures against published tables and a colour library."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from recipes.light.colour import cct_and_duv, daylight_xy, mix_xy, planck_xy, source_xy, xy_to_uv

with warnings.catch_warnings():
    # It warns of a plotting library that nothing here needs.
    warnings.simplefilter("ignore")
    import colour

# CIE 15, ISO/CIE 11664-2.
ILLUMINANTS = {
    "A": (0.44758, 0.40745),
    "D50": (0.34570, 0.35850),
    "D55": (0.33243, 0.34744),
    "D65": (0.31270, 0.32900),
    "D75": (0.29903, 0.31488),
    "E": (1 / 3, 1 / 3),
}


def mixed(first, second, share_of_first):
    return cct_and_duv(mix_xy(np.array([first, second]), np.array([share_of_first, 1 - share_of_first])))


def black_body_xyz(cct_k):
    """Tristimulus values by the library, with 1 nm steps."""
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    with warnings.catch_warnings():
        # It tells that it aligns the equal-energy illuminant to the observer's wavelengths.
        warnings.simplefilter("ignore")
        return colour.sd_to_XYZ(colour.sd_blackbody(cct_k, cmfs.shape), cmfs)


# Planck with c2 = 0.014388 m K under CIE 1931: colour-science 0.4.7 sd_blackbody.
@pytest.mark.parametrize(
    ("cct_k", "x", "y"),
    [
        (2856, 0.44754, 0.40743),
        (3200, 0.42336, 0.39895),
        (4000, 0.38044, 0.37675),
        (5500, 0.33244, 0.34104),
        (6500, 0.31353, 0.32363),
        (10_000, 0.28063, 0.28829),
    ],
)
def test_planckian_chromaticity(cct_k, x, y):
    np.testing.assert_allclose(planck_xy(float(cct_k)), [x, y], atol=2e-5)


def test_planckian_chromaticity_equals_the_library_s():
    for cct_k in (1500.0, 3200.0, 20_000.0):
        np.testing.assert_allclose(planck_xy(cct_k), colour.XYZ_to_xy(black_body_xyz(cct_k)), atol=2e-5)


def test_daylight_locus():
    # CIE 15; colour-science CCT_to_xy_CIE_D.
    np.testing.assert_allclose(daylight_xy(5600.0), [0.33016, 0.34555], atol=1e-5)
    temperatures = np.array([4000.0, 6504.0, 7000.0, 7001.0, 25_000.0])
    np.testing.assert_allclose(
        daylight_xy(temperatures), colour.temperature.CCT_to_xy_CIE_D(temperatures), atol=1e-12
    )


@pytest.mark.parametrize(("name", "cct_k"), [("D50", 5003), ("D55", 5503), ("D65", 6504)])
def test_standard_illuminants_lie_on_the_daylight_locus(name, cct_k):
    # CIE 15: nominal temperatures times 1.4388 / 1.4380; the locus is a fit, good to 2e-4 at its namesakes.
    np.testing.assert_allclose(daylight_xy(float(cct_k)), ILLUMINANTS[name], atol=2e-4)


# Ohno 2013: colour-science 0.4.7 (D65 also luxpy).
@pytest.mark.parametrize(
    ("name", "cct_k", "duv"),
    [
        ("A", 2855.6, 0.0000),
        ("D50", 5001, 0.0032),
        ("D55", 5502, 0.0033),
        ("D65", 6503, 0.0032),
        ("D75", 7505, 0.0031),
        ("E", 5456, -0.0044),
    ],
)
def test_temperature_and_duv_of_the_illuminants(name, cct_k, duv):
    found = cct_and_duv(np.array(ILLUMINANTS[name]))
    assert found.cct_k == pytest.approx(cct_k, abs=2)
    assert found.duv == pytest.approx(duv, abs=1e-4)


def test_temperature_and_duv_equal_the_library_s_ohno_2013():
    rng = np.random.default_rng(7)
    for cct_k, duv in zip(rng.uniform(2000, 12_000, 20), rng.uniform(-0.02, 0.02, 20), strict=True):
        xy = source_xy(cct_k, "flash", duv)
        theirs = colour.temperature.uv_to_CCT_Ohno2013(xy_to_uv(xy))
        found = cct_and_duv(xy)
        assert found.cct_k == pytest.approx(theirs[0], rel=5e-4)
        assert found.duv == pytest.approx(theirs[1], abs=2e-5)


# XYZ addition and Ohno 2013; colour-science and luxpy agree to 0.1 K.
@pytest.mark.parametrize(
    ("share_of_3200", "cct_k", "duv"),
    [(0.25, 4730.0, -0.0018), (0.50, 4106.3, -0.0025), (0.75, 3603.8, -0.0019), (0.80, 3515.8, -0.0016)],
)
def test_tungsten_with_flash(share_of_3200, cct_k, duv):
    found = mixed(planck_xy(3200.0), planck_xy(5500.0), share_of_3200)
    assert found.cct_k == pytest.approx(cct_k, abs=1)
    assert found.duv == pytest.approx(duv, abs=1e-4)


@pytest.mark.parametrize(
    ("share_of_a", "cct_k", "duv"), [(0.25, 5131, -0.0015), (0.50, 4120, -0.0038), (0.75, 3385, -0.0033)]
)
def test_illuminant_a_with_d65(share_of_a, cct_k, duv):
    found = mixed(ILLUMINANTS["A"], ILLUMINANTS["D65"], share_of_a)
    assert found.cct_k == pytest.approx(cct_k, abs=1)
    assert found.duv == pytest.approx(duv, abs=1e-4)


@pytest.mark.parametrize(("share_of_flash", "cct_k"), [(0.50, 6376), (0.75, 5912), (0.90, 5660)])
def test_flash_with_a_blue_window(share_of_flash, cct_k):
    # XYZ addition of D55 and D75 + Ohno 2013, colour-science.
    assert mixed(ILLUMINANTS["D55"], ILLUMINANTS["D75"], share_of_flash).cct_k == pytest.approx(cct_k, abs=2)


def test_averages_of_mired_and_of_kelvin_are_wrong():
    """Half tungsten, half flash: the mired average is 60 K low, the kelvin average 244 K high; A and D65: 151, 560."""
    first = float(mixed(planck_xy(3200.0), planck_xy(5500.0), 0.5).cct_k)
    assert 2e6 / (1e6 / 3200 + 1e6 / 5500) - first == pytest.approx(-60, abs=1)
    assert (3200 + 5500) / 2 - first == pytest.approx(244, abs=1)
    second = float(mixed(ILLUMINANTS["A"], ILLUMINANTS["D65"], 0.5).cct_k)
    assert 2e6 / (1e6 / 2856 + 1e6 / 6504) - second == pytest.approx(-151, abs=1)
    assert (2856 + 6504) / 2 - second == pytest.approx(560, abs=1)


def test_mixing_by_chromaticity_needs_no_spectra():
    # Kang et al. 2002 locus (colour-science CCT_to_xy_Kang2002) instead of spectra: 4110.9 K, 4.6 K off.
    ends = [np.asarray(colour.temperature.CCT_to_xy_Kang2002(t)) for t in (3200.0, 5500.0)]
    assert mixed(*ends, 0.5).cct_k == pytest.approx(4110.9, abs=1)


def test_mixture_of_whole_spectra_is_the_mixture_of_chromaticities():
    """Spectra added in the library, scaled to equal luminance, against our sum of chromaticities."""
    xyz = [black_body_xyz(2900.0), black_body_xyz(8000.0)]
    together = 0.3 * xyz[0] / xyz[0][1] + 0.7 * xyz[1] / xyz[1][1]
    ours = mix_xy(np.stack([planck_xy(2900.0), planck_xy(8000.0)]), np.array([0.3, 0.7]))
    np.testing.assert_allclose(ours, colour.XYZ_to_xy(together), atol=5e-6)
