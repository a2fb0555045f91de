"""Where the sun's patch lies and when it reaches the mark."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from recipes.light.pane import compass_to_plan
from recipes.light.sun import Site, sun_path
from recipes.light.sun_patch import (
    floor_patch,
    patch_depth_m,
    patch_on_plane,
    profile_angle_deg,
    subject_patch,
    sun_intervals,
    sun_reaches,
)
from tests.recipes.daylight.builders import DEPOT, a_pane

LONDON = Site(51.5074, -0.1278)
EQUINOX_NOON = datetime(2024, 3, 20, 12, tzinfo=UTC)


def to_sun(azimuth_deg, elevation_deg, room_north_deg=0.0):
    a, e = np.radians(azimuth_deg), np.radians(elevation_deg)
    return compass_to_plan(
        np.array([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)]), room_north_deg
    )


# The profile angle.


def test_straight_before_the_window_the_profile_is_the_elevation():
    assert profile_angle_deg(30.0, 180.0, 180.0) == pytest.approx(30)


def test_from_the_side_the_profile_is_steeper():
    assert profile_angle_deg(30.0, 230.0, 180.0) > 40


def test_behind_the_wall_there_is_no_profile():
    assert np.isnan(profile_angle_deg(np.array([30.0, 30.0]), np.array([0.0, 90.0]), 180.0)).all()


def test_azimuths_count_round_the_north():
    assert profile_angle_deg(30.0, 350.0, 10.0) == pytest.approx(profile_angle_deg(30.0, 30.0, 10.0))


# The patch.


def test_patch_ends_where_the_profile_says():
    """2.752 m inside the wall for a head of 2.20 m, London at equinox noon (arithmetic of the profile angle)."""
    sun = sun_path(LONDON, [EQUINOX_NOON])
    pane = a_pane(1.0, 1.4, 0.8)
    patch = floor_patch(pane, to_sun(sun.azimuth_deg[0], sun.elevation_deg[0]), room_north_deg=0.0)
    assert patch[:, 1].max() + 2.0 == pytest.approx(2.752, abs=0.001)
    np.testing.assert_allclose(patch[:, 2], 0, atol=1e-12)


def test_patch_of_a_wall_window_keeps_the_pane_s_width():
    patch = Polygon(floor_patch(a_pane(1.5, 2.0), to_sun(200, 35), room_north_deg=0.0)[:, :2])
    depth = 2.0 * np.cos(np.radians(20)) / np.tan(np.radians(35))
    assert patch.area == pytest.approx(1.5 * depth)


def test_patch_of_a_skylight_is_the_skylight_set_aside():
    patch = Polygon(
        floor_patch(a_pane(1.0, 2.0, 3.0, 0, 0, tilt_deg=90.0), to_sun(180, 45), room_north_deg=0.0)[:, :2]
    )
    assert patch.area == pytest.approx(2.0)
    # Three metres down at 45 degrees, away from the sun in the south: to the north, +y.
    assert patch.centroid.y == pytest.approx(3.0)


@settings(max_examples=80, deadline=None)
@given(
    st.floats(0, 360),
    st.floats(5, 80),
    st.floats(0, 360),
    st.floats(0, 360),
    st.floats(-4, 4),
    st.floats(-4, 4),
)
def test_a_point_on_the_floor_is_in_the_patch_when_it_sees_the_sun(sun_az, sun_el, pane_az, north, x, y):
    pane = a_pane(1.5, 2.0, 0.8, 0.3, -0.7, azimuth_deg=pane_az)
    ray = to_sun(sun_az, sun_el, north)
    corners = floor_patch(pane, ray, room_north_deg=north)
    sees = bool(pane.passes(np.array([x, y, 0.0]), ray[None, :], north)[0])
    if not len(corners):
        assert not sees
        return
    patch, point = Polygon(corners[:, :2]), Point(x, y)
    assume(patch.boundary.distance(point) > 1e-6)
    assert patch.contains(point) == sees


@settings(max_examples=80, deadline=None)
@given(st.floats(0, 360), st.floats(3, 70), st.floats(0, 360), st.floats(-3, 3), st.floats(0.01, 3))
def test_a_point_on_the_subject_s_plane_is_in_the_patch_when_it_sees_the_sun(sun_az, sun_el, pane_az, x, z):
    pane = a_pane(1.5, 2.0, 0.8, 0.3, -0.7, azimuth_deg=pane_az)
    ray = to_sun(sun_az, sun_el)
    assume(abs(ray[1]) > 1e-3)
    corners = subject_patch(pane, ray, room_north_deg=0.0)
    sees = bool(pane.passes(np.array([x, 0.0, z]), ray[None, :], 0.0)[0])
    if not len(corners):
        assert not sees
        return
    patch, point = Polygon(corners[:, [0, 2]]), Point(x, z)
    assume(patch.boundary.distance(point) > 1e-6)
    assert patch.contains(point) == sees


def test_a_window_on_the_camera_s_side_lights_the_subject_from_the_front():
    patch = subject_patch(a_pane(y_m=2.0, azimuth_deg=0.0), to_sun(0, 20), room_north_deg=0.0)
    # 2 m at 20 degrees fall by 0.728 m: a pane from 0.8 to 2.8 m lights from 0.072 to 2.072 m.
    assert np.ptp(patch[:, 2]) == pytest.approx(2.0)
    assert patch[:, 2].min() == pytest.approx(0.8 - 2 * np.tan(np.radians(20)))


def test_the_floor_cuts_the_patch_on_the_subject():
    patch = subject_patch(a_pane(y_m=2.0, azimuth_deg=0.0), to_sun(0, 45), room_north_deg=0.0)
    assert patch[:, 2].min() == pytest.approx(0)
    assert patch[:, 2].max() == pytest.approx(0.8)


@pytest.mark.parametrize(
    ("azimuth", "elevation"),
    [
        pytest.param(0, 40, id="behind the wall"),
        pytest.param(180, -1, id="below the horizon"),
    ],
)
def test_no_patch_without_sun_on_the_glass(azimuth, elevation):
    assert floor_patch(a_pane(), to_sun(azimuth, elevation), room_north_deg=0.0).shape == (0, 3)
    assert subject_patch(a_pane(), to_sun(azimuth, elevation), room_north_deg=0.0).shape == (0, 3)


def test_the_patch_on_a_table_lies_on_the_table():
    table = patch_on_plane(
        a_pane(), to_sun(180, 45), np.array([0.3, 0.0, 0.75]), np.array([0.0, 0, 1]), room_north_deg=0.0
    )
    np.testing.assert_allclose(table[:, 2], 0.75)
    # At 45 degrees 0.75 m less fall is 0.75 m less way into the room.
    floor = floor_patch(a_pane(), to_sun(180, 45), room_north_deg=0.0)
    np.testing.assert_allclose(table[:, 1], floor[:, 1] - 0.75, atol=1e-12)


def test_no_patch_on_a_plane_along_the_rays():
    # The sun shines along the subject's plane.
    assert subject_patch(a_pane(x_m=2, y_m=0, azimuth_deg=90), to_sun(90, 20), room_north_deg=0.0).shape == (
        0,
        3,
    )


def test_no_patch_on_a_plane_outside_the_window():
    outside = patch_on_plane(
        a_pane(), to_sun(180, 40), np.array([0.0, -3.0, 0.0]), np.array([0.0, 1.0, 0.0]), room_north_deg=0.0
    )
    assert outside.shape == (0, 3)


# When it reaches the mark.


def test_sun_crosses_the_mark_in_one_visit_around_noon():
    pane = a_pane(1.0, 1.3, 0.9)
    (visit,) = sun_intervals(
        pane,
        LONDON,
        EQUINOX_NOON.replace(hour=0),
        EQUINOX_NOON.replace(hour=23),
        (0, 0, 0.2),
        room_north_deg=0.0,
    )
    # By hand: the ray to either edge of the pane, 0.5 m aside at 2 m, is 14.04 degrees from south.
    edges = sun_path(LONDON, [visit.start, visit.end]).azimuth_deg
    np.testing.assert_allclose(edges, [180 - 14.036, 180 + 14.036], atol=0.02)


def test_edges_of_a_visit_are_good_to_a_second():
    pane = a_pane(1.0, 1.3, 0.9)
    (visit,) = sun_intervals(
        pane,
        LONDON,
        EQUINOX_NOON.replace(hour=6),
        EQUINOX_NOON.replace(hour=18),
        (0, 0, 0.2),
        room_north_deg=0.0,
    )
    around = [visit.start - timedelta(seconds=2), visit.start + timedelta(seconds=2)]
    assert sun_reaches(pane, sun_path(LONDON, around), (0, 0, 0.2), room_north_deg=0.0).tolist() == [
        False,
        True,
    ]


def test_within_a_few_minutes_the_same_edge_is_found():
    (visit,) = sun_intervals(
        a_pane(),
        LONDON,
        EQUINOX_NOON.replace(hour=6),
        EQUINOX_NOON.replace(hour=18),
        (0, 0, 1),
        room_north_deg=0,
    )
    aside = timedelta(minutes=4)
    (near,) = sun_intervals(
        a_pane(), LONDON, visit.start - aside, visit.start + aside, (0, 0, 1), room_north_deg=0
    )
    assert abs((near.start - visit.start).total_seconds()) <= 1
    assert near.end == visit.start + aside


@pytest.mark.parametrize("height_m", [0.2, 0.35, 0.5])
@pytest.mark.parametrize("more_s", [0, 1, 200])
@pytest.mark.parametrize("side", ["first", "last"])
def test_edges_are_as_good_in_the_first_and_last_step_of_a_span(height_m, more_s, side):
    """In the first or last five minutes of an hour, or of an hour and a short rest; looked at by the second."""
    pane, at = a_pane(1.0, 1.3, 0.9), (0, 0, height_m)
    (whole,) = sun_intervals(
        pane, LONDON, EQUINOX_NOON.replace(hour=6), EQUINOX_NOON.replace(hour=18), at, room_north_deg=0.0
    )
    for edge in (whole.start, whole.end):
        start = edge - timedelta(seconds=130 if side == "first" else 3470 + more_s)
        end = start + timedelta(seconds=3600 + more_s)
        (part,) = sun_intervals(pane, LONDON, start, end, at, room_north_deg=0.0)
        found = part.start if edge == whole.start else part.end
        around = [found - timedelta(seconds=1), found + timedelta(seconds=1)]
        seen = sun_reaches(pane, sun_path(LONDON, around), at, room_north_deg=0.0).tolist()
        assert seen == [edge == whole.end, edge == whole.start]


def test_a_visit_under_way_is_cut_to_the_times_asked_for():
    start = EQUINOX_NOON
    (visit,) = sun_intervals(
        a_pane(1.0, 1.3, 0.9), LONDON, start, start + timedelta(minutes=7), (0, 0, 0.2), room_north_deg=0.0
    )
    assert (visit.start, visit.end) == (start, start + timedelta(minutes=7))


def test_no_sun_reaches_a_high_place_from_below_the_horizon():
    # London, half an hour after sunset at the equinox, seen from a ladder through a west window.
    pane = a_pane(4.0, 2.0, 0.5, azimuth_deg=270.0)
    after_sunset = sun_path(LONDON, [datetime(2024, 3, 20, 18, 45, tzinfo=UTC)])
    assert -6 < after_sunset.elevation_deg[0] < 0
    assert not sun_reaches(pane, after_sunset, (0, 0, 2.6), room_north_deg=90.0)[0]


def test_a_north_window_has_no_visit_in_winter():
    assert (
        sun_intervals(
            a_pane(azimuth_deg=0.0),
            DEPOT,
            datetime(2025, 12, 21, tzinfo=UTC),
            datetime(2025, 12, 22, tzinfo=UTC),
            (0, 0, 1),
            room_north_deg=180.0,
        )
        == ()
    )


def test_each_day_brings_a_visit_of_its_own():
    visits = sun_intervals(
        a_pane(1.0, 1.3, 0.9),
        LONDON,
        EQUINOX_NOON - timedelta(hours=6),
        EQUINOX_NOON + timedelta(hours=54),
        (0, 0, 0.2),
        room_north_deg=0.0,
    )
    assert len(visits) == 3
    for earlier, later in pairwise(visits):
        assert abs((later.start - earlier.start).total_seconds() - 86_400) < 120
        assert abs((later.end - earlier.end).total_seconds() - 86_400) < 120
    assert all(timedelta(0) < visit.end - visit.start < timedelta(hours=3) for visit in visits)


def test_a_north_window_far_in_the_north_has_the_sun_round_midnight_in_one_visit():
    visits = sun_intervals(
        a_pane(4.0, 2.0, 0.5, azimuth_deg=0.0),
        Site(69.65, 18.96),
        datetime(2025, 6, 20, 12, tzinfo=UTC),
        datetime(2025, 6, 21, 12, tzinfo=UTC),
        (0, 0, 1.0),
        room_north_deg=180.0,
    )
    assert len(visits) == 1
    assert visits[0].start < datetime(2025, 6, 20, 22, 46, tzinfo=UTC) < visits[0].end


@pytest.mark.parametrize(("head_m", "profile"), [(0.0, 30.0), (2.2, 0.0), (2.2, float("nan"))])
def test_a_depth_needs_a_window_and_a_sun(head_m, profile):
    with pytest.raises(ValueError, match="give a number above 0"):
        patch_depth_m(head_m, profile)


def test_a_visit_is_followed_to_the_very_end_of_the_time_asked_for():
    # An hour and seven minutes are no whole number of steps of five minutes.
    start = EQUINOX_NOON - timedelta(minutes=30)
    end = start + timedelta(minutes=67, seconds=10)
    (visit,) = sun_intervals(a_pane(4.0, 1.3, 0.9), LONDON, start, end, (0, 0, 0.2), room_north_deg=0.0)
    assert (visit.start, visit.end) == (start, end)


def test_a_sun_that_has_just_risen_reaches_through_a_window_that_looks_at_it():
    # London at the equinox, some minutes after sunrise: the sun stands half a degree high in the east.
    path = sun_path(LONDON, [datetime(2024, 3, 20, 6, 10, tzinfo=UTC)])
    assert 0.1 < path.apparent_elevation_deg[0] < 1.0
    pane = a_pane(3.0, 2.0, 0.5, azimuth_deg=90.0)
    assert sun_reaches(pane, path, (0, 0, 1.5), room_north_deg=270.0)[0]
