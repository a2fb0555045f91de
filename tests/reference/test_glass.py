"""Glass against Fresnel's equations, a textbook and a published fit."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.glass import CLEAR_DOUBLE, CLEAR_TRIPLE, NO_GLASS, Glass, relative_to_normal


def test_two_covers_without_absorption():
    # J. A. Duffie, W. A. Beckman, Solar Engineering of Thermal Processes, example 5.1.2 (from memory): n 1.526, two
    # covers, 0.85 at normal incidence, 0.76 at 60 degrees.
    assert relative_to_normal(60.0, panes=2) == pytest.approx(0.76 / 0.85, abs=0.01)


# E. U. Finlayson et al., WINDOW 4.0: Documentation of Calculation Procedures, LBL-33943 (1993): the fit for uncoated
# clear glass, as a public lighting simulator carries it in its glazing.cal. It is one for all thicknesses, within 0.04.
@pytest.mark.parametrize("incidence_deg", [0, 30, 45, 60, 70, 75, 80, 85])
def test_a_single_clear_pane_against_a_published_fit(incidence_deg):
    cosine = np.cos(np.radians(incidence_deg))
    fit = -0.0015 + cosine * (3.355 + cosine * (-3.840 + cosine * (1.460 + cosine * 0.0288)))
    assert relative_to_normal(float(incidence_deg), panes=1) == pytest.approx(fit, abs=0.04)


def stack(r, t, panes):
    """Panes one behind the other, each with its reflectance and transmittance, added one at a time (Stokes 1862)."""
    back, through = r, t
    for _ in range(panes - 1):
        again = 1.0 - back * r
        back, through = r + t**2 * back / again, through * t / again
    return through


@pytest.mark.parametrize("panes", [1, 2, 3])
@pytest.mark.parametrize("degrees", [5.0, 25.0, 50.0, 75.0, 85.0])
def test_fresnel_and_absorption_summed_face_by_face(panes, degrees):
    """An own evaluation: each pane with all that goes to and fro in it, then the panes with each other."""

    def through(angle):
        outside = np.radians(angle)
        inside = np.arcsin(np.sin(outside) / 1.526)
        both = (
            (np.sin(inside - outside) / np.sin(inside + outside)) ** 2,
            (np.tan(inside - outside) / np.tan(inside + outside)) ** 2,
        )
        left = np.exp(-0.008 / np.cos(inside))
        found = []
        for face in both:
            rounds = 1.0 - (face * left) ** 2
            t = (1 - face) ** 2 * left / rounds
            found.append(stack(face + face * (1 - face) ** 2 * left**2 / rounds, t, panes))
        return np.mean(found)

    assert relative_to_normal(degrees, panes) == pytest.approx(through(degrees) / through(1e-4), abs=0.012)


def test_more_panes_lose_more_at_a_slant():
    assert CLEAR_TRIPLE.transmittance(75.0) == pytest.approx(0.70 * relative_to_normal(75.0, 3))
    assert CLEAR_DOUBLE.transmittance(75.0) == pytest.approx(0.80 * relative_to_normal(75.0, 2))
    assert relative_to_normal(75.0, 3) < relative_to_normal(75.0, 2) < relative_to_normal(75.0, 1)


def test_normal_transmittance_of_clear_glass():
    # A window-industry daylighting handbook: double clear about 0.80, triple clear about 0.70, within 0.05.
    assert CLEAR_DOUBLE.transmittance(0.0) == pytest.approx(0.80, abs=0.05)
    assert CLEAR_TRIPLE.transmittance(0.0) == pytest.approx(0.70, abs=0.05)


def test_frame_and_dirt_multiply():
    # Definition: the glazed part of the opening and what the dirt leaves are shares of the same light.
    assert Glass(0.8, frame_factor=0.75, dirt_factor=0.9).transmittance(0.0) == pytest.approx(0.54)


def test_an_open_window_has_no_angle():
    assert NO_GLASS.transmittance(89.0) == 1.0
