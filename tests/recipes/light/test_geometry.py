"""Facts about where things stand and how large they are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light.geometry import (
    Disc,
    Face,
    Polygon,
    TowardsNowhere,
    direction,
    disc,
    facing,
    position,
    rectangle,
    regular_polygon,
    unit,
)
from tests.recipes.light.scenes import AHEAD, UP, directions, faces, points

SIX_CORNERS = Polygon(np.array([[0, 0, 0], [2, 0, 0], [2, 1, 0], [1, 1, 0], [1, 2, 0], [0, 2, 0]]))
"""A floor with an inward corner."""


@pytest.mark.parametrize(
    ("bearing", "place"),
    [(0, (0, 2, 1)), (90, (2, 0, 1)), (180, (0, -2, 1)), (270, (-2, 0, 1)), (-90, (-2, 0, 1))],
)
def test_bearings_run_clockwise_from_the_camera(bearing, place):
    np.testing.assert_allclose(position(bearing, 2, 1), place, atol=1e-12)


def test_a_subject_that_faces_the_camera_faces_plus_y():
    np.testing.assert_allclose(facing(0), AHEAD, atol=1e-12)
    np.testing.assert_allclose(facing(0, 90), UP, atol=1e-12)


def test_many_positions_at_once():
    assert position(np.array([0, 90, 180]), 2.0, 1.0).shape == (3, 3)
    assert facing(np.zeros((2, 4)), 10).shape == (2, 4, 3)


def test_two_things_in_one_place_have_no_direction():
    with pytest.raises(TowardsNowhere, match="the two points are one; move one of them"):
        direction([1, 1, 1], [1, 1, 1])


def test_one_vector_without_length_spoils_the_column():
    with pytest.raises(TowardsNowhere, match="the two points are one"):
        direction([[0, 0, 0], [1, 1, 1]], [1, 1, 1])


@given(directions())
def test_a_rectangle_looks_where_it_is_told_and_stands_upright(normal):
    face = rectangle([1, 2, 3], normal, 0.6, 0.9)
    np.testing.assert_allclose(face.normal, normal, atol=1e-9)
    np.testing.assert_allclose(face.centre, [1, 2, 3], atol=1e-9)
    assert face.area_m2 == pytest.approx(0.54)
    assert abs((face.corners[1] - face.corners[0])[2]) < 1e-6


def test_width_is_level_and_roll_turns_anticlockwise_from_the_front():
    standing = rectangle([0, 0, 0], AHEAD, 0.6, 0.9)
    lying = rectangle([0, 0, 0], AHEAD, 0.6, 0.9, roll_deg=90)
    assert np.ptp(standing.corners[:, 2]) == pytest.approx(0.9)
    assert np.ptp(lying.corners[:, 2]) == pytest.approx(0.6)
    # The first side runs to the right of somebody the face looks at; a little roll lifts that end.
    rolled = rectangle([0, 0, 0], AHEAD, 0.6, 0.9, roll_deg=10).corners
    assert rolled[1][2] > rolled[0][2]


@pytest.mark.parametrize("normal", [UP, -UP])
def test_one_that_looks_straight_up_or_down_has_its_width_along_x(normal):
    assert np.ptp(rectangle([0, 0, 0], normal, 3.0, 1.0).corners[:, 0]) == pytest.approx(3.0)


def test_one_that_leans_by_a_hair_has_its_width_level():
    leaning = rectangle([0, 0, 0], [0.0005, 0, 1], 3.0, 1.0).corners
    assert np.ptp(leaning[:, 1]) == pytest.approx(3.0)


def test_the_longest_dimension_is_the_diagonal():
    assert rectangle([0, 0, 0], UP, 3, 4).across_m == pytest.approx(5.0)
    assert disc([0, 0, 0], UP, 0.7).across_m == pytest.approx(0.7)


@given(faces())
def test_a_face_turned_over_looks_the_other_way(face):
    back = face.turned_over()
    np.testing.assert_allclose(back.normal, -face.normal, atol=1e-9)
    assert back.area_m2 == pytest.approx(face.area_m2)


@given(faces(), points())
def test_the_nearest_point_lies_on_the_face_and_no_corner_is_nearer(face, point):
    nearest = face.nearest_to(point)
    assert abs(face.height_over(nearest)) < 1e-9
    shrunk = face.centre + (nearest - face.centre) * (1 - 1e-9)
    assert face.contains(shrunk)
    to_corners = np.linalg.norm(face.corners_round() - point, axis=1)
    if isinstance(face, Polygon):
        assert np.linalg.norm(nearest - point) <= to_corners.min() + 1e-9


@given(st.floats(-0.5, 2.5), st.floats(-0.5, 2.5))
def test_what_lies_in_an_inward_corner_is_not_on_the_face(x, y):
    on_it = 0 < x < 2 and 0 < y < 2 and not (x > 1 and y > 1)
    edge = min(abs(x - e) for e in (0, 1, 2)) < 1e-9 or min(abs(y - e) for e in (0, 1, 2)) < 1e-9
    if not edge:
        assert bool(SIX_CORNERS.contains(np.array([x, y, 0.0]))) == on_it


def test_area_and_centre_of_a_face_with_an_inward_corner():
    assert SIX_CORNERS.area_m2 == pytest.approx(3.0)
    np.testing.assert_allclose(SIX_CORNERS.centre, [5 / 6, 5 / 6, 0])
    assert [SIX_CORNERS.is_convex, SIX_CORNERS.is_parallelogram] == [False, False]


TRIANGLE = Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [0, 2, 0]]))
TRAPEZIUM = Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [1.5, 1, 0], [0.5, 1, 0]]))


@pytest.mark.parametrize(
    ("face", "point", "nearest"),
    [
        (TRIANGLE, [0.5, 0.5, 1], [0.5, 0.5, 0]),
        (TRIANGLE, [2, 2, 1], [1, 1, 0]),
        (TRIANGLE, [-1, -1, 0], [0, 0, 0]),
        (TRAPEZIUM, [1, 3, 2], [1, 1, 0]),
    ],
)
def test_the_nearest_point_of_a_face_that_is_no_rectangle(face, point, nearest):
    np.testing.assert_allclose(face.nearest_to(np.array(point, dtype=float)), nearest, atol=1e-12)


@pytest.mark.parametrize(
    ("point", "nearest"),
    [
        ([1.2, 2, 4], [1.2, 2, 1]),
        ([2.5, 2, 4], [1.5, 2, 1]),
        ([1, -1, 0], [1, 1.5, 1]),
        ([1.3, 2.4, 1], [1.3, 2.4, 1]),
    ],
)
def test_the_nearest_point_of_a_disc_lies_under_the_point_or_on_its_rim(point, nearest):
    plate = disc([1, 2, 1], UP, 1.0)
    np.testing.assert_allclose(plate.nearest_to(np.array(point, dtype=float)), nearest, atol=1e-12)


def test_a_square_holds_a_disc_and_each_of_its_sides_touches_it():
    plate = disc([1, 2, 1], [0.3, -0.5, 0.7], 0.8)
    corners = plate.corners_round()
    middles = (corners + np.roll(corners, 1, axis=0)) / 2
    np.testing.assert_allclose(corners.mean(axis=0), plate.centre, atol=1e-12)
    np.testing.assert_allclose(plate.height_over(corners), 0, atol=1e-12)
    np.testing.assert_allclose(np.linalg.norm(middles - plate.centre, axis=1), 0.4)
    np.testing.assert_allclose(np.linalg.norm(corners - plate.centre, axis=1), 0.4 * np.sqrt(2))


def test_four_corners_alone_make_no_parallelogram():
    assert not TRAPEZIUM.is_parallelogram


@pytest.mark.parametrize(
    ("middle_m", "convex"),
    [(0.0, True), (-0.0005, True), (0.0005, False)],
    ids=["flush", "outwards", "inwards"],
)
def test_a_corner_half_a_millimetre_inwards_is_inward_and_one_along_a_side_is_not(middle_m, convex):
    shape = Polygon(np.array([[0.0, 0, 0], [0.5, middle_m, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]))
    assert shape.is_convex == convex


def test_a_face_that_leans_by_two_millimetres_holds_what_leans_with_it():
    leaning = Polygon(np.array([[0.0, 0, 0], [1, 0, 0], [1.002, 1, 0], [0.002, 1, 0]]))
    assert leaning.contains(np.array([[1.0015, 0.9, 0], [0.0005, 0.9, 0]])).tolist() == [True, False]


def test_a_face_half_a_millimetre_out_of_true_has_no_sides_alike():
    assert not Polygon(np.array([[0.0, 0, 0], [1, 0, 0], [1.0005, 1, 0], [0, 1, 0]])).is_parallelogram


EIGHT = np.array([[np.cos(angle), np.sin(angle), 0.0] for angle in np.arange(8) * np.pi / 4])
WAVY = EIGHT + 0.01 * np.array([0, 1, 0, -1, 0, 1, 0, -1])[:, None] * UP
"""Every second corner lies in the plane of the whole, the others above it and below."""


@pytest.mark.parametrize(
    ("corners", "sentence"),
    [
        (np.zeros((2, 3)), "three or more rows"),
        (np.zeros((4, 2)), "three or more rows"),
        (np.array([[0, 0, 0], [1, 1, 1], [2, 2, 2.0]]), "span no area"),
        (np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0.3], [0, 1, 0.0]]), "not lie in one plane"),
        (WAVY, "not lie in one plane"),
        (np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0.001], [0, 1, 0.0]]), "not lie in one plane"),
        (np.array([[0, 0, 0], [1, 0, 0], [1, np.nan, 0]]), "give a finite number"),
    ],
)
def test_what_is_no_flat_face_is_refused(corners, sentence):
    with pytest.raises(ValueError, match=sentence):
        Polygon(corners)


def test_a_large_face_measured_to_a_hundredth_of_a_millimetre_is_flat():
    assert Polygon(np.array([[0, 0, 0], [20, 0, 0], [20, 20, 1e-5], [0, 20, 0.0]])).area_m2 == pytest.approx(
        400
    )


def test_a_strip_a_millimetre_wide_is_a_face():
    strip = Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [2, 0.001, 0], [0, 0.001, 0]]))
    assert (strip.area_m2, strip.narrow_m) == (pytest.approx(0.002), pytest.approx(0.001))


def test_a_tenth_of_a_millimetre_square_is_a_face():
    dot = 1e-4 * np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
    assert Polygon(dot).area_m2 == pytest.approx(1e-8)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: rectangle([0, 0, 0], UP, 0, 1),
        lambda: rectangle([0, 0, 0], UP, 1, -1),
        lambda: disc([0, 0, 0], UP, 0),
        lambda: regular_polygon([0, 0, 0], UP, 2, 1.0),
        lambda: regular_polygon([0, 0, 0], UP, 8, 0),
        lambda: Disc(np.zeros(3), np.zeros(3), 1.0),
        lambda: Disc(np.zeros(3), UP, 0.0),
        lambda: position(0, -1, 0),
        lambda: unit([np.inf, 0, 0]),
    ],
)
def test_a_face_has_a_size_and_a_direction(wrong):
    with pytest.raises(ValueError, match=r"give|say"):
        wrong()


def test_a_disc_without_a_size_is_refused_by_its_diameter():
    with pytest.raises(ValueError, match="diameter_m is 0"):
        disc([0, 0, 0], UP, 0)


@pytest.mark.parametrize("ask", ["contains", "nearest_to"])
def test_a_face_is_a_polygon_or_a_disc(ask):
    with pytest.raises(NotImplementedError):
        getattr(Face(), ask)(np.zeros(3))
    with pytest.raises(NotImplementedError):
        Face().corners_round()
    with pytest.raises(NotImplementedError):
        Face().turned_over()
    with pytest.raises(NotImplementedError):
        Face().inside_by_m(np.zeros((2, 1)))


@pytest.mark.parametrize("face", [disc([0, 0, 0], [0, 0, 1], 2.0), rectangle([0, 0, 0], [0, 0, 1], 2.0, 2.0)])
def test_how_far_a_point_lies_inside_the_edge_of_a_face(face):
    # Both faces reach out to 1.
    spots = face.along_axes(np.array([[0.0, 0, 0], [0.8, 0, 0], [0, -0.4, 0], [1.6, 0, 0]]))
    found = face.inside_by_m(spots)
    assert found == pytest.approx([1.0, 0.2, 0.6, -0.6])


def test_with_inward_corners_a_point_is_only_in_or_out():
    arrow = Polygon(np.array([[-1.0, 0, -1], [0, 0, 2], [1, 0, -1], [0, 0, 0]]))
    spots = arrow.along_axes(np.array([[0.0, 0, 1], [0.0, 0, -0.5]]))
    assert arrow.inside_by_m(spots).tolist() == [np.inf, -np.inf]


@given(points(), directions(), st.floats(0.1, 3), st.floats(0.1, 3), st.floats(0, 360))
def test_a_rectangle_knows_of_itself_what_its_corners_say(centre, normal, width, height, roll):
    face = rectangle(centre, normal, width, height, roll)
    told = Polygon(face.corners)
    for name in ("area_m2", "normal", "centre", "across_m", "is_convex", "is_parallelogram", "axes"):
        np.testing.assert_allclose(getattr(face, name), getattr(told, name), atol=1e-9)
    for own, worked_out in zip(face.half_extents, told.half_extents, strict=True):
        np.testing.assert_allclose(own, worked_out, atol=1e-9)


@given(points(), directions(), st.floats(0, 360), st.booleans())
def test_what_a_rectangle_holds_and_what_is_nearest_to_a_point_of_its_plane(centre, normal, roll, told):
    face = rectangle(centre, normal, 0.6, 0.9, roll)
    face = Polygon(face.corners) if told else face
    along, up = face.axes
    places = np.array([[0.0, 0.0], [0.29, -0.44], [0.31, 0.0], [0.1, 0.46], [-0.5, -0.7]])
    at = face.centre + places @ np.array([along, up]) + 0.2 * face.normal
    assert face.contains(at - 0.2 * face.normal).tolist() == [True, True, False, False, False]
    held = np.clip(places, [-0.3, -0.45], [0.3, 0.45])
    np.testing.assert_allclose(face.nearest_to(at), face.centre + held @ np.array([along, up]), atol=1e-9)
    inside = np.minimum(0.3 - np.abs(places[:, 0]), 0.45 - np.abs(places[:, 1]))
    np.testing.assert_allclose(face.inside_by_m(face.along_axes(at)), inside, atol=1e-9)


def test_of_several_points_each_has_its_own_nearest_one():
    over, aside = [0.5, 0.5, 1.0], [2.0, 2.0, 1.0]
    nearest = TRIANGLE.nearest_to(np.array([over, aside]))
    np.testing.assert_allclose(nearest, [[0.5, 0.5, 0], [1, 1, 0]], atol=1e-12)


def test_how_far_inside_a_triangle_a_point_lies():
    # 3-4-5, from (1, 1): the circle inside has a radius of 1 about (2, 2).
    shape = Polygon(np.array([[1.0, 1, 0], [5, 1, 0], [1, 4, 0]]))
    spots = shape.along_axes(np.array([[2.0, 2, 0], [1.5, 1.2, 0], [0.5, 2, 0]]))
    assert shape.inside_by_m(spots) == pytest.approx([1.0, 0.2, -0.5])


def test_a_shape_with_an_inward_corner_away_from_the_origin_holds_what_it_should():
    shape = Polygon(SIX_CORNERS.corners + np.array([3, 4, 0]))
    spots = shape.along_axes(np.array([[3.5, 5.5, 0], [4.5, 5.5, 0], [4.5, 4.5, 0]]))
    assert shape.inside_by_m(spots).tolist() == [np.inf, -np.inf, np.inf]


def test_an_octagon_stands_on_a_side_and_is_as_wide_as_it_says():
    eight = regular_polygon([1.0, 2.0, 1.5], [0, 1, 0], 8, 1.2)
    assert eight.centre == pytest.approx([1.0, 2.0, 1.5])
    assert eight.normal == pytest.approx([0, 1, 0])
    assert eight.is_convex
    assert eight.area_m2 == pytest.approx(2 * (np.sqrt(2) - 1) * 1.2**2)
    low, high = eight.corners.min(axis=0), eight.corners.max(axis=0)
    assert (high - low)[[0, 2]] == pytest.approx([1.2, 1.2])
    assert (eight.corners[:, 2] < low[2] + 1e-9).sum() == 2
    assert eight.across_m == pytest.approx(1.2 / np.cos(np.pi / 8))


def test_the_narrow_side_of_a_strip_is_its_width_and_of_a_disc_its_diameter():
    assert rectangle([0, 0, 0], [1, 2, 0.3], 1.8, 0.05, roll_deg=25).narrow_m == pytest.approx(0.05)
    assert disc([0, 0, 0], [0, 0, 1], 0.7).narrow_m == pytest.approx(0.7)


@given(st.integers(3, 7), st.integers(0, 10_000))
def test_the_rectangle_round_a_polygon_holds_it_and_touches_it(count, seed):
    chance = np.random.default_rng(seed)
    angles = np.sort(chance.uniform(0, 2 * np.pi, count))
    if np.diff(angles, append=angles[0] + 2 * np.pi).max() > 3.0:
        return
    flat = np.stack([np.cos(angles), chance.uniform(0.3, 1.0) * np.sin(angles), 0 * angles], axis=1)
    shape = Polygon(flat + chance.uniform(-2, 2, 3))
    out = shape.corners - shape.centre
    for half in shape.half_extents:
        length = np.linalg.norm(half)
        assert np.abs(out @ (half / length)).max() == pytest.approx(length)
