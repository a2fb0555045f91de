"""What must hold for framing, and for the room behind the camera."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import framing

FOCALS = st.floats(14.0, 200.0)
SENSORS = st.floats(5.0, 60.0)


@given(SENSORS, FOCALS, st.floats(0.3, 40.0))
def test_the_distance_for_a_frame_gives_that_frame(sensor, focal, frame):
    distance = framing.distance_for_frame_m(sensor, focal, frame)
    assert framing.frame_size_m(sensor, focal, distance) == pytest.approx(frame, rel=1e-9)


@given(SENSORS, FOCALS, st.floats(0.3, 40.0))
def test_the_frame_times_the_magnification_is_the_sensor(sensor, focal, distance):
    frame_mm = framing.frame_size_m(sensor, focal, distance) * 1000
    assert frame_mm * framing.magnification(focal, distance) == pytest.approx(sensor, rel=1e-9)


@given(FOCALS, st.floats(0.41, 40.0))
def test_a_distance_from_the_sensor_is_carried_to_the_lens(focal, lens_m):
    image_m = focal / 1000 * (1 + framing.magnification(focal, lens_m))
    assert framing.distance_from_lens_m(lens_m + image_m, focal) == pytest.approx(lens_m, rel=1e-9)


def test_under_four_focal_lengths_nothing_is_sharp():
    with pytest.raises(ValueError, match="four focal lengths"):
        framing.distance_from_lens_m(0.39, 100)


def test_a_camera_on_its_side_swaps_width_and_height():
    lying = framing.frame_at_mark(36, 24, 50, 4.0)
    upright = framing.frame_at_mark(36, 24, 50, 4.0, upright=True)
    assert (upright.width_m, upright.height_m) == (lying.height_m, lying.width_m)
    assert lying.width_m == pytest.approx(2.844)


def test_a_tall_dancer_needs_air_above_and_below():
    assert framing.tallest_subject_m(2.0, 0.1) == pytest.approx(1.6)


def test_air_that_leaves_no_subject_is_refused():
    with pytest.raises(ValueError, match="air_share leaves no room"):
        framing.tallest_subject_m(2.0, 0.5)


@pytest.mark.parametrize(("available_m", "fits"), [(7.0, True), (6.6, True), (6.5, False)])
def test_the_room_must_hold_backdrop_mark_camera_and_photographer(available_m, fits):
    depth = framing.room_depth(available_m, camera_distance_m=4.0, behind_mark_m=2.0, behind_camera_m=0.6)
    assert depth.fits is fits
    assert depth.margin_m == pytest.approx(available_m - 6.6)


def test_a_distance_within_the_focal_length_is_refused():
    with pytest.raises(ValueError, match="not beyond the focal length"):
        framing.magnification(85, 0.05)
    with pytest.raises(ValueError, match="not beyond the focal length"):
        framing.magnification(50.0, 0.05)


def test_house_policy_on_room_and_air():
    # No source: 0.6 m behind the camera, a twentieth of the frame free above and below.
    assert framing.room_depth(5.0, 4.0, 0.0).needed_m == pytest.approx(4.6)
    assert framing.tallest_subject_m(2.0) == pytest.approx(1.8)


def test_four_focal_lengths_from_the_sensor_are_life_size():
    # At 1:1 lens and sensor are two focal lengths apart, and so are lens and subject.
    assert framing.distance_from_lens_m(0.4, 100.0) == pytest.approx(0.2)


def test_one_distance_that_cannot_be_spoils_the_column():
    with pytest.raises(ValueError, match="distance_m"):
        framing.frame_size_m(36.0, 85.0, np.array([3.0, 0.05]))
    with pytest.raises(ValueError, match="under four focal lengths"):
        framing.distance_from_lens_m(np.array([3.0, 0.2]), 85.0)
    with pytest.raises(ValueError, match=r"less than 0\.5"):
        framing.tallest_subject_m(2.0, np.array([0.1, 0.5]))
