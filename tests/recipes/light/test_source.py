"""Facts about beams and about what one source throws straight."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light import source as module
from recipes.light.emission import ISOTROPIC, LAMBERTIAN, Emission, beam, cone_intensity_cd
from recipes.light.geometry import Polygon, disc, rectangle, unit
from recipes.light.quadrature import even_nodes, graded_nodes
from recipes.light.scene import PointEmitter, Source, glowing_face
from tests.recipes.light.scenes import (
    AHEAD,
    UP,
    a_bulb,
    a_softbox,
    a_turn,
    all_round,
    directions,
    faces,
    moved,
    points,
)

beam_angles = st.floats(20, 360)


NODES = np.polynomial.legendre.leggauss(400)


def flux_of(emission: Emission) -> float:
    """One lumen, counted again over the sphere."""
    cosine, weights = NODES
    front, back = (cosine + 1) / 2, (cosine - 1) / 2
    both = emission.cd_per_lm(front) @ weights / 2 + emission.cd_per_lm(back) @ weights / 2
    return float(2 * np.pi * both)


@given(beam_angles)
def test_what_leaves_a_beam_is_what_was_put_in(angle):
    assert flux_of(beam(angle)) == pytest.approx(1.0, rel=1e-3)


@given(st.floats(1, 359))
def test_at_the_beam_angle_there_is_half_of_the_axis(angle):
    emission = beam(angle)
    at_edge = emission.cd_per_lm(np.array([np.cos(np.radians(angle / 2)), 1.0]))
    assert at_edge[0] == pytest.approx(at_edge[1] / 2, rel=1e-6)
    assert emission.half_angle_deg == pytest.approx(angle / 2, abs=1e-6)


def test_the_two_known_beams():
    assert beam(120) is LAMBERTIAN
    assert beam(360) is ISOTROPIC
    assert [ISOTROPIC.half_angle_deg, Emission(0.0).half_angle_deg] == [180.0, 90.0]
    assert [LAMBERTIAN.is_lambertian, ISOTROPIC.is_lambertian, beam(60).is_lambertian] == [True, False, False]


@given(beam_angles, beam_angles)
def test_a_narrower_beam_is_brighter_on_its_axis(first, second):
    narrow, wide = sorted([first, second])
    if wide - narrow > 0.1 and (wide < 179 or narrow > 181):
        assert beam(narrow).cd_per_lm(np.ones(1)) > beam(wide).cd_per_lm(np.ones(1))


@pytest.mark.parametrize("angle", [0.5, 361, float("nan")])
def test_a_beam_angle_is_between_1_and_360(angle):
    with pytest.raises(ValueError, match="give a number from 1 to 360"):
        beam(angle)


def test_a_beam_of_half_the_way_round_has_half_of_its_light_to_the_side():
    # 180 degrees is the first that no face can have: a cardioid, (1 + cos) / 2.
    side, ahead, behind = beam(180).cd_per_lm(np.array([0.0, 1.0, -1.0]))
    assert (side, behind) == (pytest.approx(ahead / 2), pytest.approx(0))


def test_a_cone_may_be_as_narrow_as_half_a_degree():
    # Its solid angle is that of a disc: pi a².
    assert cone_intensity_cd(1.0, 0.5) == pytest.approx(1 / (np.pi * np.radians(0.5) ** 2), rel=1e-4)


def test_a_cone_of_180_degrees_either_side_is_a_sphere():
    assert cone_intensity_cd(4 * np.pi, 180) == pytest.approx(1.0)
    with pytest.raises(ValueError, match="half_angle_deg"):
        cone_intensity_cd(1.0, 200)


@pytest.mark.parametrize(
    "light",
    [
        a_bulb(),
        a_bulb(emission=beam(60)),
        a_bulb(emission=beam(220)),
        a_softbox(),
        a_softbox(face=disc([0, 0, 0], AHEAD, 0.8)),
        a_softbox(emission=beam(50)),
    ],
    ids=["bulb", "narrow bulb", "wide bulb", "softbox", "octabox", "softbox with grid"],
)
def test_what_arrives_all_round_is_what_left(light):
    receivers, inwards, areas = all_round(2.0)
    assert light.light_at(receivers, inwards) @ areas == pytest.approx(light.flux_lm, rel=2e-3)


@given(faces(), points(), directions(), beam_angles)
@settings(max_examples=60)
def test_twice_the_power_is_one_stop(face, point, facing, angle):
    narrow = beam(min(angle, 170))
    once, twice = (Source("a", "flash", face, flux, narrow).light_at(point, facing) for flux in (100, 200))
    assert twice == pytest.approx(2 * float(once), rel=1e-9)


@given(faces(), points(), directions(), directions(), st.floats(0, 6), points())
@settings(max_examples=60)
def test_moving_and_turning_a_gridded_face_and_its_receiver_changes_nothing(
    face, point, facing, axis, angle, shift
):
    turn = a_turn(axis, angle)
    light = Source("a", "flash", face, 1000, beam(80))
    there = Source("a", "flash", moved(face, turn, shift), 1000, beam(80))
    here = light.light_at(point, facing)
    # The points sampled on a disc hang on its own axes, so a disc may differ by what sampling is good for.
    assert there.light_at(turn @ point + shift, turn @ facing) == pytest.approx(
        float(here), rel=1e-2, abs=0.05
    )


@given(directions(), st.floats(12, 100), st.floats(30, 170))
@settings(max_examples=40)
def test_far_away_a_face_is_a_point_and_falls_with_the_square(normal, distance, angle):
    light = a_softbox(at=(0, 0, 0), towards=normal, emission=beam(angle))
    as_point = a_bulb(towards=normal, emission=beam(angle))
    found = light.light_at(distance * normal, -normal)
    assert found == pytest.approx(float(as_point.light_at(distance * normal, -normal)), rel=0.01)
    assert light.light_at(2 * distance * normal, -normal) == pytest.approx(float(found) / 4, rel=0.01)


@pytest.mark.parametrize("distance", [0.1, 0.3, 1.0, 3.0])
@pytest.mark.parametrize("face", [rectangle([0, 0, 0], AHEAD, 0.6, 0.9), disc([0, 0, 0], AHEAD, 0.9)])
def test_sampling_a_face_that_spreads_almost_evenly_agrees_with_the_closed_form(face, distance):
    nearly = Source("a", "flash", face, 1000, Emission(1.0 + 1e-9))
    exact = Source("a", "flash", face, 1000)
    points_ = np.array([[0.0, distance, 0.0], [0.2, distance, 0.1], [1.0, distance, 0.5]])
    np.testing.assert_allclose(nearly.light_at(points_, -AHEAD), exact.light_at(points_, -AHEAD), rtol=5e-3)


@pytest.mark.parametrize("angle", [15, 25, 40, 80])
@pytest.mark.parametrize("distance", [0.4, 1.0, 2.5])
def test_a_narrow_grid_on_a_large_face_is_sampled_finely_enough(angle, distance):
    light = a_softbox(face=rectangle([0, 0, 0], AHEAD, 1.2, 1.2), emission=beam(angle))
    assert isinstance(light.emitter, Polygon)
    places = np.array([[0.0, distance, 0.0], [0.5, distance, -0.2]])
    nodes = even_nodes(light.emitter, 150)
    fine = light.per_lumen(nodes.points, places, np.broadcast_to(-AHEAD, places.shape))
    exact = fine @ nodes.areas_m2 * light.flux_lm / light.emitter.area_m2
    np.testing.assert_allclose(light.light_at(places, -AHEAD), exact, rtol=0.005, atol=1e-3)


@pytest.mark.parametrize("distance_m", [0.01, 0.5, 3.0])
def test_a_bulb_anywhere_follows_the_inverse_square_as_near_as_a_centimetre(distance_m):
    stands, away = np.array([1.0, -2.0, 1.7]), unit([0.3, 0.5, -0.6])
    found = a_bulb(at=stands).light_at(stands + distance_m * away, -away)
    assert found == pytest.approx(5000.0 / (4 * np.pi * distance_m**2))


@pytest.mark.parametrize(
    ("angle", "distance_m", "a_side"),
    # A face 1.2 m high. The spot of a beam of 53 degrees is half as large as the distance, and half of the face's side
    # asks for twice the points; of a beam beyond 90 degrees it is taken as large as the distance.
    [
        *(
            (53.13, distance_m, a_side)
            for distance_m, a_side in ((6, 6), (2.5, 6), (2.3, 12), (1.3, 12), (1.1, 24))
        ),
        *(
            (53.13, distance_m, a_side)
            for distance_m, a_side in ((0.5, 48), (0.28, 96), (0.05, 96), (0.001, 96))
        ),
        *(
            (140, distance_m, a_side)
            for distance_m, a_side in ((1.25, 6), (1.15, 12), (0.65, 12), (0.55, 24))
        ),
    ],
)
def test_a_face_with_a_beam_is_sampled_as_finely_as_its_spot_asks_for_and_no_finer(
    angle, distance_m, a_side, monkeypatch
):
    asked = []

    def noted(face, order):
        asked.append(order)
        return even_nodes(face, order)

    monkeypatch.setattr(module, "even_nodes", noted)
    stands = np.array([2.0, -1.0, 1.0])
    light = a_softbox(face=rectangle(stands, AHEAD, 0.7, 1.2), emission=beam(angle))
    light.light_at(stands + distance_m * AHEAD, -AHEAD)
    assert asked == [a_side]
    light.light_at(stands - distance_m * AHEAD, AHEAD)
    assert asked == [a_side]


def test_a_grid_narrows_what_a_face_gives_aside_and_leaves_more_ahead():
    plain, gridded = a_softbox(), a_softbox(emission=beam(40))
    ahead, aside = 2 * AHEAD, np.array([2.0, 1.5, 0])
    assert gridded.light_at(ahead, -AHEAD) > plain.light_at(ahead, -AHEAD)
    assert gridded.light_at(aside, -unit(aside)) < plain.light_at(aside, -unit(aside))


def test_a_window_lights_one_side():
    pane = glowing_face("pane", rectangle([0, 0, 0], AHEAD, 1, 1), 100.0)
    assert (pane.kind, pane.spread_stops) == ("ambient", 0.0)
    assert pane.light_at(AHEAD, -AHEAD) > 0
    assert pane.light_at(-AHEAD, AHEAD) == 0


def test_a_flux_that_nobody_doubts_has_no_spread():
    assert Source("a", "flash", PointEmitter(np.zeros(3), AHEAD), 1.0).spread_stops == 0.0


def test_a_point_is_one_node_of_one_face():
    nodes = a_bulb().nodes(6)
    assert nodes.points.shape == (1, 3)
    assert (nodes.areas_m2.tolist(), nodes.faces.tolist()) == ([1.0], [0])


def test_many_receivers_keep_their_shape():
    grid = np.broadcast_to(2 * AHEAD, (3, 5, 3))
    for light in (a_softbox(), a_bulb(), a_softbox(emission=beam(40))):
        assert light.light_at(grid, -AHEAD).shape == (3, 5)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (lambda: a_softbox(flux_lm=-1), "flux of key is -1; give 0 or a number above it"),
        (lambda: a_softbox(kind="sun"), "kind of key is 'sun'; give 'flash' or 'ambient'"),
        (lambda: a_softbox(spread_stops=-0.1), "spread_stops of key"),
        (lambda: a_softbox(emission=beam(300)), "a face has light on one side only"),
        (lambda: Emission(-1.0), "exponent is -1"),
        (lambda: PointEmitter(np.zeros(3), np.zeros(3)), "say which way it faces"),
        (lambda: glowing_face("pane", rectangle([0, 0, 0], UP, 1, 1), -5.0), "luminance_cd_m2 is -5"),
    ],
)
def test_a_source_that_cannot_be_is_refused(wrong, sentence):
    with pytest.raises(ValueError, match=sentence):
        wrong()


ODD_FACES = [
    rectangle([0, 0, 0], UP, 2, 3, 20),
    disc([0, 0, 0], UP, 1.4),
    Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [1.5, 1, 0], [0.5, 1, 0]])),
    Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [2, 1, 0], [1, 1, 0], [1, 2, 0], [0, 2, 0]])),
]


@pytest.mark.parametrize("face", ODD_FACES, ids=["rectangle", "disc", "trapezium", "inward corner"])
def test_areas_of_the_samples_sum_to_the_face_and_balance_at_its_centre(face):
    def near_a_corner(centres, sizes, faces):
        return 0.3 * np.linalg.norm(centres - face.corners_round()[0], axis=1) + 0.05

    for nodes in (even_nodes(face, 6), graded_nodes([face], near_a_corner)):
        assert nodes.areas_m2.sum() == pytest.approx(face.area_m2)
        np.testing.assert_allclose(nodes.areas_m2 @ nodes.points / face.area_m2, face.centre, atol=1e-9)


def test_cutting_stops_even_where_the_detail_is_endless():
    def endless(centres, sizes, faces):
        return 1e-9 + 0.5 * np.linalg.norm(centres, axis=1)

    assert len(graded_nodes([ODD_FACES[0]], endless).points) < 20_000


def test_faces_are_cut_together_as_each_alone():
    def detail(centres, sizes, faces):
        return 0.4 * np.linalg.norm(centres, axis=1) + 0.1 * (faces + 1)

    together = graded_nodes(ODD_FACES, detail)
    for row, face in enumerate(ODD_FACES):
        alone = graded_nodes([face], lambda centres, sizes, _, row=row: detail(centres, sizes, row))
        np.testing.assert_allclose(together.points[together.on(row)], alone.points)
        np.testing.assert_allclose(together.areas_m2[together.on(row)], alone.areas_m2)
