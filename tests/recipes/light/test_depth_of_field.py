"""What must hold for depth of field at any lens, stop and distance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from recipes.light import depth_of_field as dof

FOCALS = st.floats(14.0, 200.0)
STOPS = st.floats(1.0, 32.0)
COCS = st.floats(0.005, 0.06)
FOCUSES = st.floats(0.5, 50.0)


@given(FOCALS, STOPS, COCS, FOCUSES)
def test_the_blur_at_either_limit_is_the_circle_of_confusion(focal, stop, coc, focus):
    sharp = dof.depth_of_field(focal, stop, coc, focus)
    assert dof.defocus_blur_mm(focal, stop, focus, sharp.near_m) == pytest.approx(coc, rel=1e-6)
    if sharp.far_m < 1e6:
        assert dof.defocus_blur_mm(focal, stop, focus, sharp.far_m) == pytest.approx(coc, rel=1e-5)


@given(FOCALS, STOPS, COCS, FOCUSES)
def test_the_focus_lies_within_the_sharp_range(focal, stop, coc, focus):
    sharp = dof.depth_of_field(focal, stop, coc, focus)
    assert sharp.near_m < focus < sharp.far_m


@given(FOCALS, st.floats(1.0, 16.0), COCS, FOCUSES)
def test_stopping_down_deepens(focal, stop, coc, focus):
    open_stop = dof.depth_of_field(focal, stop, coc, focus)
    closed = dof.depth_of_field(focal, stop * 2, coc, focus)
    assert closed.near_m < open_stop.near_m
    assert closed.far_m >= open_stop.far_m


@given(FOCALS, COCS, FOCUSES, st.floats(0.05, 0.95), st.floats(1.05, 20.0))
def test_the_f_number_for_a_depth_just_covers_it(focal, coc, focus, nearer, farther):
    front, back = focus * nearer, focus * farther
    assume(front * 1000 > focal * 1.01)
    needed = dof.f_number_for_depth(focal, coc, focus, front, back)
    sharp = dof.depth_of_field(focal, needed, coc, focus)
    assert sharp.margin_m(front, back) == pytest.approx(0.0, abs=1e-6 * back**2)


def test_a_subject_that_sticks_out_has_a_negative_margin():
    sharp = dof.Sharp(1.9, 2.1)
    assert sharp.margin_m(1.95, 2.05) == pytest.approx(0.05)
    assert sharp.margin_m(1.95, 2.3) == pytest.approx(-0.2)
    assert sharp.margin_m(1.8, 2.0) == pytest.approx(-0.1)


def test_a_subject_given_back_to_front_is_refused():
    with pytest.raises(ValueError, match="front of the subject first"):
        dof.Sharp(1.9, 2.1).margin_m(2.0, 1.9)


def test_a_focus_within_the_focal_length_is_refused():
    with pytest.raises(ValueError, match="focus_m is not beyond the focal length"):
        dof.near_limit_m(85, 8, 0.03, 0.085)


def test_a_column_of_distances_gives_a_column_of_limits():
    far = dof.far_limit_m(24, 8, 0.03, np.array([1.0, 3.0]))
    assert far[0] < 3.0
    assert far[1] == math.inf


@given(COCS, st.floats(0.0, 2.0))
def test_at_the_diffraction_stop_the_disc_fills_the_circle(coc, ratio):
    assert dof.airy_disc_mm(dof.diffraction_f_number(coc, ratio), ratio) == pytest.approx(coc, rel=1e-9)


def test_one_focus_within_the_focal_length_spoils_the_column():
    with pytest.raises(ValueError, match="focus_m"):
        dof.near_limit_m(85.0, 5.6, 0.03, np.array([3.0, 0.05]))


def test_at_life_size_diffraction_is_twice_as_wide():
    # 2.44 · 0.00055 mm · 16 = 0.02147 mm far away, twice that at magnification 1.
    assert dof.airy_disc_mm(16.0, wavelength_nm=550.0) == pytest.approx(0.021472)
    assert dof.airy_disc_mm(16.0, 1.0, wavelength_nm=550.0) == pytest.approx(0.042944)


def test_a_flat_subject_has_one_distance_to_spare_on_either_side():
    sharp = dof.Sharp(2.0, 3.0)
    assert sharp.margin_m(2.4, 2.4) == pytest.approx(0.4)
    with pytest.raises(ValueError, match="back_m is nearer than front_m"):
        sharp.margin_m(2.4, 2.39)
