"""Depth of field against outside values.

Formulae: Ray, Applied Photographic Optics; Greenleaf, Photographic Optics. The limits were confirmed by root finding
on the thin lens's blur.
"""

from __future__ import annotations

import math

import pytest

from recipes.light import depth_of_field as dof


@pytest.mark.parametrize(
    ("focal_mm", "f_number", "coc_mm", "exact_m", "short_form_m"),
    [
        (50, 8, 0.03, 10.467, 10.417),
        (50, 16, 0.03, 5.258, 5.208),
        (35, 11, 0.03, 3.747, 3.712),
        (50, 8, 0.02, 15.675, 15.625),
        (80, 11, 0.06, 9.777, 9.697),
    ],
)
def test_hyperfocal_distance(focal_mm, f_number, coc_mm, exact_m, short_form_m):
    hyperfocal = dof.hyperfocal_m(focal_mm, f_number, coc_mm)
    assert hyperfocal == pytest.approx(exact_m, abs=0.001)
    assert hyperfocal - focal_mm / 1000 == pytest.approx(short_form_m, abs=0.001)


@pytest.mark.parametrize(
    ("focal_mm", "f_number", "coc_mm", "focus_m", "near_m", "far_m"),
    [
        (50, 8, 0.03, 3.0, 2.33791, 4.18527),
        (50, 8, 0.03, 5.0, 3.38937, 9.52744),
        (85, 2.8, 0.03, 2.0, 1.95644, 2.04554),
        (100, 11, 0.03, 0.6, 0.59026, 0.61007),
        (80, 11, 0.045, 1.5, 1.35156, 1.68507),
        (24, 8, 0.03, 3.0, 1.33929, math.inf),
    ],
)
def test_near_and_far_limit(focal_mm, f_number, coc_mm, focus_m, near_m, far_m):
    sharp = dof.depth_of_field(focal_mm, f_number, coc_mm, focus_m)
    assert sharp.near_m == pytest.approx(near_m, abs=1e-5)
    assert sharp.far_m == pytest.approx(far_m, abs=1e-5)


@pytest.mark.parametrize(
    ("focal_mm", "f_number", "coc_mm", "focus_m", "depth_mm", "tolerance_mm"),
    [
        (50, 8, 0.03, 3.0, 1847.36, 0.01),
        (85, 2.8, 0.03, 2.0, 89.1, 0.05),
        (85, 8, 0.03, 2.0, 255.48, 0.01),
        (85, 4.5, 0.03, 2.0, 143.31, 0.01),
        (100, 11, 0.03, 0.6, 19.81, 0.01),
        (80, 11, 0.045, 1.5, 333.51, 0.01),
    ],
)
def test_depth(focal_mm, f_number, coc_mm, focus_m, depth_mm, tolerance_mm):
    sharp = dof.depth_of_field(focal_mm, f_number, coc_mm, focus_m)
    assert sharp.depth_m * 1000 == pytest.approx(depth_mm, abs=tolerance_mm)


def test_focus_at_the_hyperfocal_distance_is_sharp_from_half_of_it_to_the_horizon():
    hyperfocal = dof.hyperfocal_m(50, 8, 0.03)
    sharp = dof.depth_of_field(50, 8, 0.03, hyperfocal)
    assert sharp.near_m * 1000 == pytest.approx(hyperfocal * 500, rel=1e-9)
    assert sharp.near_m * 1000 == pytest.approx(5233.33, abs=0.005)
    assert sharp.far_m == math.inf


@pytest.mark.parametrize(("f_number", "hyperfocal_mm"), [(5.6, 43_091), (2**2.5, 42_659)])
def test_an_engraved_stop_is_not_the_exact_one(f_number, hyperfocal_mm):
    assert dof.hyperfocal_m(85, f_number, 0.03) * 1000 == pytest.approx(hyperfocal_mm, abs=1)


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "divisor", "coc_mm"),
    # Diagonal over 1442, 1500 or 1730: conventions.
    [
        (36, 24, 1442, 0.0300),
        (36, 24, 1500, 0.0288),
        (36, 24, 1730, 0.0250),
        (23.6, 15.6, 1442, 0.0196),
        (17.3, 13, 1442, 0.0150),
        (43.8, 32.9, 1442, 0.0380),
        (53.4, 40, 1442, 0.0463),
    ],
)
def test_circle_of_confusion_by_format(width_mm, height_mm, divisor, coc_mm):
    assert dof.circle_of_confusion_mm(width_mm, height_mm, divisor) == pytest.approx(coc_mm, abs=1e-4)


@pytest.mark.parametrize(
    ("f_number", "micrometres"),
    # Airy disc 2.44 lambda N at 550 nm: physical optics.
    [(8, 10.7), (11, 14.8), (16, 21.5), (22, 29.5)],
)
def test_airy_disc(f_number, micrometres):
    assert dof.airy_disc_mm(f_number) * 1000 == pytest.approx(micrometres, abs=0.1)


def test_at_f_22_diffraction_alone_fills_the_circle_of_confusion():
    assert dof.diffraction_f_number(0.03) == pytest.approx(22.35, abs=0.01)
