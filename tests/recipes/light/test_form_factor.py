"""Facts about how much of a receiver's view a face fills."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from recipes.light import form_factor as module
from recipes.light.boundary import inside_circle
from recipes.light.form_factor import form_factor, form_factors
from recipes.light.geometry import Disc, Polygon, direction, disc, rectangle, regular_polygon, unit
from recipes.light.quadrature import even_nodes
from tests.recipes.light.scenes import UP, a_turn, directions, faces, moved, points

SQUARE = rectangle([0, 0, 0], UP, 1.0, 1.0)


def by_sampling(face, point, facing) -> float:
    """The definition, on 96 by 96 Gauss points."""
    nodes = even_nodes(face, 96)
    rays = nodes.points - point
    square = (rays**2).sum(axis=1)
    seen = np.maximum(rays @ facing, 0) * np.maximum(-(rays @ face.normal), 0) / square**2
    return float(seen @ nodes.areas_m2 / np.pi)


@given(faces(), points(), directions())
def test_a_face_fills_between_nothing_and_all_of_the_view(face, point, facing):
    assert 0.0 <= form_factor(face, point, facing) <= 1.0


@given(faces(), points(), directions())
def test_the_closed_form_agrees_with_the_definition(face, point, facing):
    if abs(face.height_over(point)) > 0.3:
        assert form_factor(face, point, facing) == pytest.approx(by_sampling(face, point, facing), abs=2e-4)


@given(faces(), points(), directions(), directions(), st.floats(0, 6), points())
def test_moving_and_turning_everything_changes_nothing(face, point, facing, axis, angle, shift):
    turn = a_turn(axis, angle)
    if abs(face.height_over(point)) > 1e-6:
        there = form_factor(moved(face, turn, shift), turn @ point + shift, turn @ facing)
        assert there == pytest.approx(form_factor(face, point, facing), abs=1e-7)


@pytest.mark.parametrize("seed", range(24))
def test_a_disc_aimed_at_a_receiver_that_looks_past_it_is_the_part_above_the_horizon(seed):
    """Which way the receiver lies off the axis is what rounding leaves, in whatever direction the lamp is aimed."""
    chance = np.random.default_rng(seed)
    stands, point = chance.uniform(-3, 3, 3), chance.uniform(-1, 1, 3)
    lamp = disc(stands, direction(stands, point), chance.uniform(0.2, 1.0))
    facing = unit(np.cross(lamp.normal, chance.normal(size=3)) - 0.1 * lamp.normal)
    found = float(form_factor(lamp, point, facing))
    many = regular_polygon(stands, lamp.normal, 720, 2 * lamp.radius_m)
    assert found > 1e-5
    assert found == pytest.approx(float(form_factor(many, point, facing)), rel=1e-4)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("aside", [3e-12, 1e-10, 1e-8])
def test_a_receiver_a_hair_off_the_axis_of_a_slanted_disc_gets_what_one_on_it_gets(aside, seed):
    chance = np.random.default_rng(seed)
    lamp = disc(chance.uniform(-3, 3, 3), unit(chance.normal(size=3)), 0.8)
    point = lamp.centre + 2.0 * lamp.normal
    off = unit(np.cross(lamp.normal, chance.normal(size=3)))
    facing = unit(np.cross(lamp.normal, chance.normal(size=3)) - 0.1 * lamp.normal)
    there = float(form_factor(lamp, point + aside * off, facing))
    assert there == pytest.approx(float(form_factor(lamp, point, facing)), rel=1e-6)


def test_of_an_axis_that_is_one_digit_short_of_a_unit_nothing_is_left_aside():
    # What rounding leaves lies along the axis itself, and would point nowhere in the plane of the disc.
    found = [
        inside_circle(
            np.array([[0, 0, -1.0]]),
            np.array([[0, 0, length]]),
            np.array([0.25]),
            np.array([[1.0, 0, 0]]),
            unit([[1.0, 0.2, -0.1]]),
        )
        for length in (1.0, 1.0 - 2.0**-53)
    ]
    assert found[1] == pytest.approx(found[0])
    assert found[0] > 1e-3


@given(faces(), points(), directions(), st.floats(0.1, 10))
def test_size_and_distance_together_change_nothing(face, point, facing, scale):
    if isinstance(face, Disc):
        larger = Disc(face.centre * scale, face.normal, face.radius_m * scale)
    else:
        larger = Polygon(face.corners * scale)
    if abs(face.height_over(point)) > 1e-6:
        assert form_factor(larger, point * scale, facing) == pytest.approx(
            form_factor(face, point, facing), abs=1e-7
        )


@given(points(), directions())
def test_four_quarters_make_the_whole(point, facing):
    whole = rectangle([0, 0, 0], UP, 2, 2)
    quarters = [rectangle([x, y, 0], UP, 1, 1) for x in (-0.5, 0.5) for y in (-0.5, 0.5)]
    if abs(point[2]) > 1e-6:
        together = sum(form_factor(quarter, point, facing) for quarter in quarters)
        assert together == pytest.approx(form_factor(whole, point, facing), abs=1e-9)


@given(points(), directions())
def test_a_face_with_an_inward_corner_is_its_two_parts(point, facing):
    whole = Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [2, 1, 0], [1, 1, 0], [1, 2, 0], [0, 2, 0]]))
    parts = [rectangle([1, 0.5, 0], UP, 2, 1), rectangle([0.5, 1.5, 0], UP, 1, 1)]
    if abs(point[2]) > 1e-3:
        together = sum(form_factor(part, point, facing) for part in parts)
        assert form_factor(whole, point, facing) == pytest.approx(together, abs=1e-9)


def test_a_corner_in_line_with_another_adds_nothing():
    arrow = Polygon(np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0], [2, 1, 0], [1, 0.5, 0], [0, 1, 0]]))
    point, facing = np.array([0.7, 0.3, 0.8]), -UP
    assert not arrow.is_convex
    assert form_factor(arrow, point, facing) == pytest.approx(by_sampling(arrow, point, facing), abs=1e-6)


@given(st.floats(0.05, 5), st.floats(0, 4))
@example(0.125, 3.6897565323031584e-162)
def test_a_disc_of_many_corners_is_a_disc(height, aside):
    angles = np.linspace(0, 2 * np.pi, 721)[:-1]
    radius = 0.5 * np.sqrt(2 * np.pi / 720 / np.sin(2 * np.pi / 720))
    many = Polygon(np.stack([radius * np.cos(angles), radius * np.sin(angles), 0 * angles], axis=-1))
    point, facing = np.array([aside, 0, height]), unit([0.4, 0.3, -1])
    assert form_factor(disc([0, 0, 0], UP, 1.0), point, facing) == pytest.approx(
        float(form_factor(many, point, facing)), abs=1e-5
    )


@pytest.mark.parametrize("aside", [0.0, 1e-14, 1e-12, 1e-7, 1e-5, 1e-4, 3e-4])
@pytest.mark.parametrize("facing", [-UP, unit([0.6, 0.2, -0.5]), unit([0.9, 0.1, 0.4])])
def test_near_its_axis_a_disc_has_no_jump(aside, facing):
    glowing = disc([0, 0, 0], UP, 1.0)
    on_axis = form_factor(glowing, np.array([0, 0, 1.0]), facing)
    assert form_factor(glowing, np.array([aside, 0, 1.0]), facing) == pytest.approx(
        float(on_axis), abs=aside + 1e-9
    )


@pytest.mark.parametrize("face", [SQUARE, disc([0, 0, 0], UP, 1.0)], ids=["square", "disc"])
def test_nothing_comes_from_behind(face):
    assert form_factor(face, np.array([0, 0, -1.0]), UP) == 0.0
    assert form_factor(face, np.array([0, 0, 1.0]), UP) == 0.0


@pytest.mark.parametrize("face", [SQUARE, disc([0, 0, 0], UP, 1.0)], ids=["square", "disc"])
@pytest.mark.parametrize(("facing", "factor"), [(-UP, 1.0), (np.array([1.0, 0, 0]), 0.5), (UP, 0.0)])
def test_on_the_face_it_is_half_of_the_world(face, facing, factor):
    assert form_factor(face, np.array([0.1, 0.1, 0.0]), facing) == pytest.approx(factor)


@pytest.mark.parametrize("face", [SQUARE, disc([0, 0, 0], UP, 1.0)], ids=["square", "disc"])
def test_a_breath_over_the_face_is_as_on_it(face):
    assert form_factor(face, np.array([0.1, 0.1, 1e-6]), -UP) == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize("facing", [-UP, UP, np.array([1.0, 0, 0])])
def test_in_the_plane_beside_the_face_there_is_nothing(facing):
    for face in (SQUARE, disc([0, 0, 0], UP, 1.0)):
        assert form_factor(face, np.array([2.0, 0, 0]), facing) == 0.0


@given(directions())
def test_a_receiver_on_a_corner_or_over_one_is_no_trouble(facing):
    on_it = form_factor(SQUARE, SQUARE.corners[0], facing)
    over_it = form_factor(SQUARE, SQUARE.corners[0] + 1e-9 * UP, facing)
    assert np.isfinite(on_it)
    assert np.isfinite(over_it)


def test_a_corner_on_the_horizon_is_no_trouble():
    # The receiver's horizon runs through the middle of the square, and through two of its corners.
    through_the_middle = form_factor(SQUARE, np.array([0, 0, 1.0]), np.array([1.0, 0, 0]))
    through_corners = form_factor(SQUARE, np.array([0, 0, 1.0]), unit([1.0, 1.0, 0]))
    assert through_the_middle == pytest.approx(
        by_sampling(SQUARE, [0, 0, 1.0], np.array([1.0, 0, 0])), abs=1e-4
    )
    assert through_corners == pytest.approx(by_sampling(SQUARE, [0, 0, 1.0], unit([1.0, 1.0, 0])), abs=1e-4)


@given(directions(), st.floats(0.2, 3))
def test_further_away_along_the_axis_it_fills_less(normal, distance):
    face = rectangle([0, 0, 0], normal, 0.6, 0.9)
    nearer, further = (form_factor(face, d * normal, -normal) for d in (distance, 1.01 * distance))
    assert further < nearer


def test_shapes_broadcast():
    grid = np.broadcast_to([0, 0, 1.0], (3, 4, 3))
    assert form_factor(SQUARE, grid, -UP).shape == (3, 4)
    assert form_factor(SQUARE, [0, 0, 1.0], np.stack([UP, -UP])).shape == (2,)


@given(st.lists(points(), min_size=1, max_size=5), directions())
def test_many_faces_at_once_are_each_of_them(places, facing):
    rectangles = [SQUARE, rectangle([1, 1, 1], [1, 0, 0], 2, 1), rectangle([0, 2, 0], [0, -1, 1], 1, 3)]
    receivers, normals = np.array(places), np.tile(facing, (len(places), 1))
    clear = np.stack([np.abs(face.height_over(receivers)) > 1e-9 for face in rectangles])
    each = np.stack([form_factor(face, receivers, normals) for face in rectangles])
    np.testing.assert_allclose(form_factors(rectangles, receivers, normals)[clear], each[clear], atol=1e-9)


def test_many_faces_and_many_receivers_go_one_face_at_a_time(monkeypatch):
    receivers, normals = np.array([[0, 0, 1.0], [0, 0, 2.0]]), np.array([-UP, -UP])
    at_once = form_factors([SQUARE, SQUARE], receivers, normals)
    monkeypatch.setattr(module, "_MOST_AT_ONCE", 3)
    np.testing.assert_allclose(form_factors([SQUARE, SQUARE], receivers, normals), at_once)


def test_no_faces_and_no_receivers_give_no_factors():
    somewhere = np.array([[0.0, 1.0, 0.0]])
    assert form_factors([], somewhere, somewhere).shape == (0, 1)
    assert form_factors([rectangle([0, 0, 0], [0, 1, 0], 1, 1)], somewhere[:0], somewhere[:0]).shape == (1, 0)


def test_of_a_small_face_half_under_the_horizon_the_upper_half_is_seen():
    # A receiver that looks along the face's edge: its highest corner stands 5 cm over the horizon, and it counts.
    face = rectangle([0, 0, 0], [0, 1, 0], 0.1, 0.1)
    seen = float(form_factor(face, [0, 1.0, 0], [0, 0, 1.0]))
    upper = rectangle([0, 0, 0.025], [0, 1, 0], 0.1, 0.05)
    assert seen == pytest.approx(float(form_factor(upper, [0, 1.0, 0], [0, 0, 1.0])))
    # Far away: cos at the face 1, at the receiver z / d, over the upper half: 0.1 * integral of z from 0 to 0.05.
    assert seen == pytest.approx(0.1 * 0.05**2 / 2 / np.pi, rel=0.01)


@pytest.mark.parametrize("aside_m", [0.0, 1e-6, 3e-5])
@pytest.mark.parametrize("tilt_deg", [0, 20, 45, 70])
def test_on_the_axis_of_a_disc_a_tilted_receiver_sees_it_by_the_cosine(tilt_deg, aside_m):
    # Wholly over the horizon: F = cos(tilt) R² / (R² + h²). A hair beside the axis it is the same to a hair.
    tilt = np.radians(tilt_deg)
    for radius, distance in ((0.5, 2.0), (0.1, 0.4), (1.0, 3.0)):
        normal = [np.sin(tilt), -np.cos(tilt), 0.0]
        found = float(form_factor(disc([0, 0, 0], [0, 1, 0], 2 * radius), [aside_m, distance, 0], normal))
        assert found == pytest.approx(np.cos(tilt) * radius**2 / (radius**2 + distance**2), rel=3e-4)


@pytest.mark.parametrize("tilt_deg", [80, 90, 100, 110])
def test_of_a_disc_that_the_horizon_cuts_the_part_above_it_is_seen(tilt_deg):
    # Against a polygon of many corners, which is cut edge by edge.
    tilt = np.radians(tilt_deg)
    normal = [np.sin(tilt), -np.cos(tilt), 0.0]
    round_the_rim = np.arange(720) * (2 * np.pi / 720)
    corners = 0.8 * np.stack([np.cos(round_the_rim), 0 * round_the_rim, -np.sin(round_the_rim)], axis=1)
    for place in ([0, 1.0, 0], [0.3, 1.0, 0.2], [1.5, 0.7, 0]):
        seen = float(form_factor(disc([0, 0, 0], [0, 1, 0], 1.6), place, normal))
        assert seen == pytest.approx(float(form_factor(Polygon(corners), place, normal)), abs=2e-5)


def test_one_receiver_on_the_face_among_others_before_it():
    """On the face it has it for half of its world, or for all of it where it looks down on it."""
    plate = rectangle([0, 0, 1], [0, 0, 1], 2.0, 2.0)
    points = np.array([[0.3, 0.2, 1.0], [0.3, 0.2, 1.5], [5.0, 0.0, 1.0]])
    looking = np.array([[1.0, 0, 0], [0, 0, -1], [-1, 0, 0]])
    on_it, before, beside = form_factor(plate, points, looking)
    assert on_it == pytest.approx(0.5)
    assert 0 < before < 1
    assert beside == 0


def test_faces_of_three_four_six_and_eight_corners_at_once_are_each_as_alone():
    aside = [0.3, -0.2, 0.1]
    inward = Polygon(np.array([[0, 0, 0], [2, 0, 0], [2, 1, 0], [1, 1, 0], [1, 2, 0], [0, 2, 0.0]]) + aside)
    three = Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [0, 2, 0]]))
    some = [three, rectangle([0, 0, 0], UP, 2, 1), regular_polygon([0, 0, 0], UP, 8, 1.0)]
    places = np.array([[0.4, 0.3, 1.2], [-0.7, 0.2, 0.4], [0.5, 0.5, -1.0]])
    looking = np.array([[0.0, 0, -1], [0.6, 0, -0.8], [0, 0, -1]])
    for faces_at_once in (some, [*some[::-1], inward]):
        together = form_factors(faces_at_once, places, looking)
        alone = [form_factor(face, places, looking) for face in faces_at_once]
        np.testing.assert_allclose(together, alone, rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("first", range(6))
def test_a_face_with_an_inward_corner_is_its_two_rectangles_wherever_its_outline_begins(first):
    """Far from the origin, and for receivers whose horizon cuts it too."""
    aside = np.array([30.0, -20.0, 0.1])
    corners = np.array([[0, 0, 0], [2, 0, 0], [2, 1, 0], [1, 1, 0], [1, 2, 0], [0, 2, 0.0]])
    inward = Polygon(np.roll(corners, first, axis=0) + aside)
    places = np.array([[0.4, 0.3, 1.2], [-0.7, 0.2, 0.4], [1.1, 1.2, 0.5], [0.8, 0.3, 0.3]])
    looking = np.array([[0.0, 0, -1], [0.6, 0, -0.8], [-1, 0, 0], [0.6, 0.8, 0]])
    parts = (rectangle([1, 0.5, 0], UP, 2, 1), rectangle([0.5, 1.5, 0], UP, 1, 1))
    by_parts = sum(form_factor(face, places, looking) for face in parts)
    np.testing.assert_allclose(form_factor(inward, places + aside, looking), by_parts, rtol=1e-9, atol=1e-12)
