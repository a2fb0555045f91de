"""Gel arithmetic against the definition of the mired and computed spectra."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.gels import (
    GelSheet,
    density_stops,
    ideal_transmittance,
    mired,
    shift_between_mired,
    shifted_cct_k,
    stack,
    stops_lost,
)


# Wyszecki and Stiles, Color Science; encyclopedic "mired" pages.
@pytest.mark.parametrize(
    ("from_k", "to_k", "shift"),
    [
        (5500, 3200, 130.68),
        (5600, 3200, 133.93),
        (6500, 3200, 158.65),
        (3200, 5600, -133.93),
        (6504, 2856, 196.39),
    ],
)
def test_mired_shift(from_k, to_k, shift):
    assert shift_between_mired(float(from_k), float(to_k)) == pytest.approx(shift, abs=0.01)


# Same source.
@pytest.mark.parametrize(
    ("cct_k", "shift", "expected"),
    [(5500, 131, 3196.7), (6500, 159, 3196.5), (3200, -131, 5509.6), (3200, -78, 4264.4), (5600, 81, 3852.5)],
)
def test_shift_applied(cct_k, shift, expected):
    assert shifted_cct_k(float(cct_k), float(shift)) == pytest.approx(expected, abs=0.1)


def test_strong_blue_on_daylight_is_extreme_but_possible():
    # Arithmetic of the definition.
    assert shifted_cct_k(5500.0, -131.0) == pytest.approx(19_678, abs=1)


def test_a_shift_past_zero_mired_is_refused():
    # 5500 K is 181.8 mired: at -182 nothing physical is left.
    with pytest.raises(ValueError, match="weaker blue gel"):
        shifted_cct_k(5500.0, -182.0)


# Definition: stops = -log2 tau = D / 0.30103.
@pytest.mark.parametrize(("tau", "stops"), [(0.5, 1), (0.36, 1.474), (0.25, 2), (0.125, 3)])
def test_transmittance_in_stops(tau, stops):
    assert stops_lost(tau) == pytest.approx(stops, abs=0.001)


@pytest.mark.parametrize(
    ("density", "stops"), [(0.15, 0.498), (0.3, 0.997), (0.6, 1.993), (0.9, 2.990), (1.2, 3.986)]
)
def test_density_in_stops(density, stops):
    assert density_stops(density) == pytest.approx(stops, abs=0.001)


def test_density_0_3_is_not_one_stop():
    assert density_stops(0.3) == pytest.approx(0.9966, abs=5e-5)


def test_stacked_gels():
    # Definition: transmittances multiply, mireds add; 0.73 twice is 0.533 or 0.908 stop, twice +65 is +130.
    pair = stack([GelSheet("half orange", 65, 0.73)] * 2)
    assert pair.transmittance == pytest.approx(0.533, abs=0.0005)
    assert pair.loss_stops == pytest.approx(0.908, abs=0.001)
    assert pair.mired_shift == 130


# Planck spectra and V(lambda), filter scaled to its peak in the range: computed with colour-science.
@pytest.mark.parametrize(
    ("source_k", "target_k", "expected", "narrower"),
    [
        pytest.param(3200, 5500, 0.261, 0.327, id="full blue"),
        pytest.param(5500, 3200, 0.522, 0.563, id="full orange"),
        pytest.param(5600, 3200, 0.513, 0.555, id="full orange, 5600 K"),
    ],
)
def test_most_light_an_exact_conversion_can_pass(source_k, target_k, expected, narrower):
    assert ideal_transmittance(source_k, target_k) == pytest.approx(expected, abs=0.01)
    assert ideal_transmittance(source_k, target_k, 420, 680) == pytest.approx(narrower, abs=0.01)


def test_mired_of_a_round_temperature():
    np.testing.assert_allclose(mired(np.array([2500.0, 5000.0, 10_000.0])), [400, 200, 100])
