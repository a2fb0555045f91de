"""Glass against pvlib and Fresnel's equations."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.glass import CLEAR_DOUBLE, CLEAR_TRIPLE, NO_GLASS, Glass, relative_to_normal


# W. De Soto et al., Solar Energy 80 (2006), n 1.526, KL 0.008: pvlib 0.16 iam.physical.
@pytest.mark.parametrize(
    ("incidence_deg", "expected"),
    [(0, 1.0), (30, 0.998), (45, 0.988), (60, 0.946), (70, 0.860), (80, 0.634), (90, 0.0)],
)
def test_transmittance_relative_to_normal_incidence(incidence_deg, expected):
    assert relative_to_normal(float(incidence_deg)) == pytest.approx(expected, abs=0.002)


def test_fresnel_and_absorption_written_out():
    """An own evaluation of Fresnel's equations and Bouguer's law, as De Soto's equations 13 and 14 combine them."""
    for degrees in (5.0, 25.0, 50.0, 75.0, 85.0):
        outside = np.radians(degrees)
        inside = np.arcsin(np.sin(outside) / 1.526)
        reflected = 0.5 * (
            np.sin(inside - outside) ** 2 / np.sin(inside + outside) ** 2
            + np.tan(inside - outside) ** 2 / np.tan(inside + outside) ** 2
        )
        through = np.exp(-0.008 / np.cos(inside)) * (1 - reflected)
        at_normal = np.exp(-0.008) * (1 - ((1.526 - 1) / (1.526 + 1)) ** 2)
        assert relative_to_normal(degrees) == pytest.approx(through / at_normal, rel=1e-9)


def test_normal_transmittance_of_clear_glass():
    # A window-industry daylighting handbook: double clear about 0.80, triple clear about 0.70, within 0.05.
    assert CLEAR_DOUBLE.transmittance(0.0) == pytest.approx(0.80, abs=0.05)
    assert CLEAR_TRIPLE.transmittance(0.0) == pytest.approx(0.70, abs=0.05)


def test_frame_and_dirt_multiply():
    # Definition: the glazed part of the opening and what the dirt leaves are shares of the same light.
    assert Glass(0.8, frame_factor=0.75, dirt_factor=0.9).transmittance(0.0) == pytest.approx(0.54)


def test_an_open_window_has_no_angle():
    assert NO_GLASS.transmittance(89.0) == 1.0
