"""Facts about boards, walls and what stands in the way."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light import bounce as bounce_module
from recipes.light import obstruction as obstruction_module
from recipes.light.bounce import Surface, bounced, lit_surfaces
from recipes.light.emission import beam
from recipes.light.form_factor import form_factor
from recipes.light.geometry import direction, disc, rectangle, unit
from recipes.light.lamps import Lamps
from recipes.light.obstruction import Blocker, passing, visible_share
from recipes.light.quadrature import even_nodes
from tests.recipes.light.scenes import AHEAD, a_bulb, a_softbox, a_turn, moved

WALL = rectangle([0, 0, 0], AHEAD, 6, 3)


def by_brute_force(light, face, reflectance, point, facing) -> float:
    """64 even cells of 32 by 32 Gauss points, each lit and seen by itself."""
    corners, found = face.corners, 0.0
    side, other = (corners[1] - corners[0]) / 8, (corners[3] - corners[0]) / 8
    for i in range(8):
        for j in range(8):
            cell = rectangle(
                corners[0] + (i + 0.5) * side + (j + 0.5) * other,
                face.normal,
                np.linalg.norm(side),
                np.linalg.norm(other),
            )
            nodes = even_nodes(cell, 32)
            rays = point - nodes.points
            square = (rays**2).sum(axis=1)
            seen = np.maximum(rays @ face.normal, 0) * np.maximum(-(rays @ facing), 0) / square**2
            found += float((light.light_at(nodes.points, face.normal) * seen) @ nodes.areas_m2)
    return reflectance * found / np.pi


@pytest.mark.parametrize("seed", range(24))
def test_a_wall_is_sampled_finely_enough_wherever_lamp_and_receiver_stand(seed):
    chance = np.random.default_rng(seed)
    at = np.array([chance.uniform(-2.5, 2.5), chance.uniform(0.25, 3), chance.uniform(-1, 1)])
    axis = direction(at, [chance.uniform(-2, 2), 0, chance.uniform(-1, 1)])
    light = [
        a_bulb(at=at, towards=axis),
        a_bulb(at=at, towards=axis, emission=beam(chance.uniform(30, 90))),
        a_softbox(at=at, towards=axis),
        a_softbox(face=disc(at, axis, 0.5), emission=beam(chance.uniform(40, 90))),
    ][seed % 4]
    point = np.array([chance.uniform(-2.5, 2.5), chance.uniform(0.25, 3), chance.uniform(-1, 1)])
    facing = unit([chance.uniform(-0.7, 0.7), -1.0, chance.uniform(-0.7, 0.7)])
    found = float(bounced(light, WALL, 0.6, point, facing))
    assert abs(np.log2(found / by_brute_force(light, WALL, 0.6, point, facing))) < 0.02


@pytest.mark.parametrize("board", [rectangle([0, 0, 0], AHEAD, 1, 2), disc([0, 0, 0], AHEAD, 1.5)])
@pytest.mark.parametrize("distance", [0.01, 0.3, 2.0])
def test_an_evenly_lit_board_is_a_softbox(board, distance):
    far_away = a_bulb(at=(0, 1000, 0), towards=-AHEAD, flux_lm=4e7 * np.pi)
    found = bounced(far_away, board, 0.8, [0.2, distance, 0.3], -AHEAD)
    assert found == pytest.approx(10 * 0.8 * form_factor(board, [0.2, distance, 0.3], -AHEAD), rel=1e-3)


@given(st.floats(-1, 1), st.floats(0.3, 3), st.floats(0.1, 1.0))
@settings(max_examples=25)
def test_a_board_sends_back_no_more_than_it_got(x, y, reflectance):
    lit = lit_surfaces([Surface(WALL, reflectance)], Lamps([a_bulb(at=(x, y, 0))]))
    assert lit.reflected_lm[0] <= reflectance * 5000 / 2


@given(st.floats(0, 1))
@settings(max_examples=25)
def test_light_off_a_board_goes_with_its_reflectance(reflectance):
    whole, part = (
        bounced(a_softbox(at=(0, 2, 0), towards=-AHEAD), WALL, rho, [1, 2, 0], -AHEAD)
        for rho in (1.0, reflectance)
    )
    assert part == pytest.approx(reflectance * float(whole), abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_moving_and_turning_everything_changes_nothing(seed):
    chance = np.random.default_rng(seed)
    turn, shift = a_turn(chance.normal(size=3), chance.uniform(0, 6)), chance.uniform(-3, 3, 3)
    light = a_softbox(at=(0.5, 1.2, 0.4), towards=(-0.3, -1, -0.2))
    there = a_softbox(face=moved(light.emitter, turn, shift))
    point, facing = np.array([-0.8, 1.5, 0.1]), unit([0.2, -1, 0])
    here = bounced(light, WALL, 0.7, point, facing)
    assert bounced(
        there, moved(WALL, turn, shift), 0.7, turn @ point + shift, turn @ facing
    ) == pytest.approx(float(here), rel=1e-3)


def test_a_lamp_behind_the_board_lights_nothing():
    assert bounced(a_bulb(at=(0, -1, 0)), WALL, 0.9, [0, 1, 0], -AHEAD) == 0.0


def test_a_lamp_turned_away_from_the_board_lights_nothing():
    assert bounced(a_softbox(at=(0, 1, 0), towards=AHEAD), WALL, 0.9, [0, 1, 0], -AHEAD) == 0.0


def test_a_receiver_that_looks_away_gets_nothing():
    assert bounced(a_bulb(at=(0, 1, 0)), WALL, 0.9, [0, 1, 0], AHEAD) == 0.0


def test_shapes_are_kept():
    places = np.broadcast_to([0, 1.0, 0], (2, 3, 3))
    assert bounced(a_bulb(at=(0, 2, 0)), WALL, 0.5, places, -AHEAD).shape == (2, 3)


def test_many_receivers_get_nearly_what_each_gets_alone():
    x, y = np.meshgrid(np.linspace(-2, 2, 12), np.linspace(0.5, 3, 8))
    places = np.stack([x, y, 0 * x], axis=-1).reshape(-1, 3)
    light = a_softbox(at=(0.5, 1.0, 0.4), towards=(-0.3, -1, -0.2))
    together = bounced(light, WALL, 0.7, places, -AHEAD)
    alone = np.array([float(bounced(light, WALL, 0.7, place, -AHEAD)) for place in places])
    assert np.max(np.abs(np.log2(together / alone))) < 0.02


def test_receivers_in_portions_get_the_same(monkeypatch):
    places = np.array([[0, 1.0, 0], [0.5, 1.0, 0], [1.0, 1.0, 0]])
    at_once = bounced(a_bulb(at=(0, 2, 0)), WALL, 0.5, places, -AHEAD)
    monkeypatch.setattr(bounce_module, "_PAIRS_AT_ONCE", 1)
    np.testing.assert_allclose(bounced(a_bulb(at=(0, 2, 0)), WALL, 0.5, places, -AHEAD), at_once)


def test_a_reflectance_is_a_part_of_one():
    with pytest.raises(ValueError, match=r"reflectance is 1\.2; give a part from 0 to 1"):
        bounced(a_bulb(at=(0, 1, 0)), WALL, 1.2, [0, 1, 0], -AHEAD)


FLAG = Blocker(rectangle([0, 1, 0], AHEAD, 1, 1), label="flag")


def ray(start, end, *blockers):
    passed = passing(np.array([start], dtype=float), np.array([end], dtype=float), blockers)
    return 1.0 if passed is None else float(passed[0, 0])


@pytest.mark.parametrize(
    ("start", "end", "passes"),
    [
        ((0, 0, 0), (0, 2, 0), 0.0),
        ((0, 2, 0), (0, 0, 0), 0.0),
        ((2, 0, 0), (2, 2, 0), 1.0),
        ((0.6, 0, 0), (0.6, 2, 0), 1.0),
        ((-1.5, 0, 0), (1.5, 1.8, 0), 0.0),
        ((-1.5, 0, 0), (1.1, 1.2, 0), 1.0),
        ((0, 0, 0), (0, 0.9, 0), 1.0),
        ((0, 1, 0), (0, 2, 0), 1.0),
        ((0, 0, 0), (0, 1, 0), 1.0),
    ],
    ids=[
        "through",
        "from the other side",
        "beside",
        "past",
        "slanting",
        "slanting past",
        "short",
        "from it",
        "onto it",
    ],
)
def test_a_flag_stops_what_crosses_it(start, end, passes):
    assert ray(start, end, FLAG) == passes


def test_two_nets_let_a_quarter_through():
    net = Blocker(FLAG.face, 0.5)
    behind = Blocker(rectangle([0, 1.5, 0], AHEAD, 1, 1), 0.5)
    assert ray((0, 0, 0), (0, 2, 0), net, behind) == 0.25


def test_a_flag_that_covers_half_of_a_softbox_takes_half():
    light = a_softbox(at=(0, 0, 0))
    half = Blocker(rectangle([0.5, 0.5, 0], AHEAD, 1.0, 3.0))
    share = visible_share(light, np.array([[0, 1.0, 0]]), np.array([-AHEAD]), [half])
    assert share[0] == pytest.approx(0.5, abs=1e-9)


def test_rays_in_portions_tell_the_same(monkeypatch):
    light, places = a_softbox(at=(0, 0, 0)), np.array([[0, 2.0, 0], [0.4, 2.0, 0], [3, 2.0, 0]])
    normals = np.broadcast_to(-AHEAD, places.shape)
    at_once = visible_share(light, places, normals, [FLAG])
    monkeypatch.setattr(obstruction_module, "_PAIRS_AT_ONCE", 1)
    np.testing.assert_allclose(visible_share(light, places, normals, [FLAG]), at_once)
    assert at_once[2] == 1.0


def test_a_receiver_the_light_does_not_reach_anyway_is_not_shaded():
    shares = visible_share(a_softbox(), np.array([[0, 2.0, 0]]), np.array([AHEAD]), [FLAG])
    assert shares[0] == 1.0


def test_a_flag_before_the_board_shades_it_and_one_after_it_too():
    light = a_softbox(at=(1.5, 1.5, 0), towards=(-1, -1, 0))
    board, there, facing = rectangle([0, 0, 0], AHEAD, 1, 1), [-1.5, 1.5, 0], unit([1, -1, 0])
    free = float(bounced(light, board, 0.8, there, facing))
    before = Blocker(rectangle([0.8, 0.8, 0], [1, 1, 0], 0.2, 3))
    after = Blocker(rectangle([-0.8, 0.8, 0], [-1, 1, 0], 0.2, 3))
    for flag in (before, after):
        assert 0.0 < float(bounced(light, board, 0.8, there, facing, [flag])) < 0.95 * free
    closed = Blocker(rectangle([-1.0, 1.0, 0], [-1, 1, 0], 9, 9))
    assert float(bounced(light, board, 0.8, there, facing, [closed])) == pytest.approx(0.0, abs=1e-9)


def test_a_scrim_after_the_board_takes_its_part():
    light, board = a_softbox(at=(1.5, 1.5, 0), towards=(-1, -1, 0)), rectangle([0, 0, 0], AHEAD, 1, 1)
    there, facing = [-1.5, 1.5, 0], unit([1, -1, 0])
    scrim = Blocker(rectangle([-1.0, 1.0, 0], [-1, 1, 0], 2.5, 9), 0.4)
    free = float(bounced(light, board, 0.8, there, facing))
    assert bounced(light, board, 0.8, there, facing, [scrim]) == pytest.approx(0.4 * free, rel=1e-6)


def test_a_blocker_lets_through_a_part_of_one():
    with pytest.raises(ValueError, match="transmittance of flag is 2; give a part from 0 to 1"):
        Blocker(FLAG.face, 2.0, "flag")
    with pytest.raises(ValueError, match="transmittance of a blocker"):
        Blocker(FLAG.face, -1.0)


def test_what_hangs_on_a_wall_covers_as_much_of_it_also_from_a_hand_s_breadth_away():
    lamp = Lamps([a_bulb(at=(0, 1.5, 0))])
    free = lit_surfaces([Surface(WALL, 0.5)], lamp).reflected_lm
    poster = rectangle([0.7, 0.04, 0.2], AHEAD, 1.0, 1.2)
    flush = rectangle([0.7, 0.0, 0.2], AHEAD, 1.0, 1.2)
    hung, on_it = (
        lit_surfaces([Surface(WALL, 0.5, covered_by=(face,))], lamp).reflected_lm for face in (poster, flush)
    )
    assert hung == pytest.approx(on_it)
    assert hung < 0.9 * free


@pytest.mark.parametrize("many", [1, 80])
@pytest.mark.parametrize("before_m", [0.003, 0.02])
def test_right_before_a_wall_one_sees_what_is_right_before_one(many, before_m):
    """F is 1 there, so it is the wall's own exitance: rho I cos / d², in the spot and far out of it."""
    bulb = a_bulb(at=(-1.5, 1.0, 0))
    for x in (-1.5, 0.0, 1.5):
        place = np.tile([x, before_m, 0.0], (many, 1))
        exitance = 0.6 * 5000 / (4 * np.pi) / ((x + 1.5) ** 2 + 1.0) ** 1.5
        assert bounced(bulb, WALL, 0.6, place, -AHEAD) == pytest.approx(exitance, rel=0.05)


def nodes_of(surface=None, lamps=(), **seen) -> int:
    """How many points a wall is sampled at."""
    lit = lit_surfaces([surface or Surface(WALL, 0.5)], Lamps(lamps or [a_bulb(at=(0, 3, 0))]), **seen)
    return len(lit.nodes.points)


def test_a_wall_is_sampled_more_finely_for_a_few_close_by_than_for_many():
    # House rule, no source: 64 are a few.
    close = np.array([[0.5, 0.15, 0.2]])
    few = nodes_of(seen_from=close)
    many = nodes_of(seen_from=np.tile(close, (65, 1)))
    assert nodes_of(seen_from=np.tile(close, (64, 1))) == few > many > nodes_of()
    assert nodes_of(roughly_from=close) == many
    assert nodes_of(seen_from=close + 20.0 * AHEAD) == nodes_of()


def test_without_anybody_who_looks_only_the_lamps_say_how_finely_and_not_where_the_origin_is():
    aside = np.array([40.0, -30.0, 20.0])
    away = Surface(rectangle(aside, AHEAD, 6, 3), 0.5)
    assert nodes_of(away, [a_bulb(at=aside + 3.0 * AHEAD)]) == nodes_of()
    assert nodes_of(away, [a_bulb(at=aside + 0.5 * AHEAD)]) > nodes_of()


def test_a_surface_that_may_be_coarser_takes_fewer_points_and_unless_told_none_may():
    close = {"seen_from": np.array([[0.5, 0.3, 0.2]])}
    plainly, alike, coarser = (
        nodes_of(surface, **close)
        for surface in (Surface(WALL, 0.5), Surface(WALL, 0.5, coarser=1.0), Surface(WALL, 0.5, coarser=3.0))
    )
    assert plainly == alike > coarser


def test_a_flag_shades_a_board_from_a_dim_lamp_as_from_a_bright_one():
    board, there, facing = rectangle([0, 0, 0], AHEAD, 1, 1), [-1.5, 1.5, 0], unit([1, -1, 0])
    flag = Blocker(rectangle([0.8, 0.8, 0], [1, 1, 0], 0.2, 3))
    bright, dim = (
        bounced(
            a_softbox(at=(1.5, 1.5, 0), towards=(-1, -1, 0), flux_lm=flux), board, 0.8, there, facing, [flag]
        )
        for flux in (5000.0, 5e-3)
    )
    assert dim == pytest.approx(1e-6 * float(bright))


def test_light_that_is_told_past_all_that_stands_in_the_way_is_not_shaded_again():
    flag = Blocker(rectangle([0, 0.5, 0], AHEAD, 9, 9))
    lamps, wall = Lamps([a_bulb(at=(0, 1, 0))]), [Surface(WALL, 0.5)]
    told = lit_surfaces(wall, lamps, [flag], falling=lambda points, _: np.full((1, len(points)), 200.0))
    assert told.exitance == pytest.approx(100.0)
    assert lit_surfaces(wall, lamps, [flag]).exitance == pytest.approx(0.0)
