"""Facts about shadow: outside of half-shadow nothing is drawn, and it comes to the same."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light import shadow as module
from recipes.light.emission import beam
from recipes.light.form_factor import form_factor
from recipes.light.geometry import Polygon, disc, rectangle, unit
from recipes.light.lamps import Lamps
from recipes.light.obstruction import Blocker, passing, visible_share
from recipes.light.quadrature import even_nodes
from recipes.light.shadow import visible_shares
from tests.recipes.light.scenes import AHEAD, UP, a_bulb, a_softbox, hinged

LAMP = a_softbox(at=(0, 0, 0))
FLAG = Blocker(rectangle([0, 1, 0], AHEAD, 1, 1), label="flag")
NET = Blocker(rectangle([0, 1, 0], AHEAD, 9, 9), 0.4, label="net")
ARROW = Polygon(np.array([[-1.0, 1, -1], [0, 1, 2], [1, 1, -1], [0, 1, 0]]))


def seen(points, *blockers, lamps=(LAMP,)):
    places = np.array(points, dtype=float)
    normals = np.broadcast_to(-AHEAD, places.shape)
    known = np.ones((len(lamps), len(places)), dtype=bool)
    return visible_shares(Lamps(lamps), places, normals, blockers, known)


@pytest.mark.parametrize("seed", range(30))
def test_every_share_is_what_rays_tell(seed):
    chance = np.random.default_rng(seed)
    lamps = [
        a_softbox("box", at=chance.uniform(-1, 1, 3), towards=unit(chance.normal(size=3))),
        a_softbox("dish", face=disc(chance.uniform(-1, 1, 3), unit(chance.normal(size=3)), 0.7)),
        a_bulb("bulb", at=chance.uniform(-1, 1, 3)),
    ]
    flags = [
        Blocker(rectangle(chance.uniform(-1, 1, 3), unit(chance.normal(size=3)), 1.2, 0.7)),
        Blocker(disc(chance.uniform(-1, 1, 3), unit(chance.normal(size=3)), 1.0), 0.5),
        Blocker(ARROW, 0.1),
    ]
    points, normals = chance.uniform(-2, 2, (40, 3)), unit(chance.normal(size=(40, 3)))
    lit = Lamps(lamps).light_at(points, normals) > 5.0
    shares = visible_shares(Lamps(lamps), points, normals, flags, lit)
    for row, lamp in enumerate(lamps):
        rays = visible_share(lamp, points[lit[row]], normals[lit[row]], flags, rays_a_side=40)
        # Where rays are drawn, 64 of them are: steps of a fiftieth, and more with three blockers.
        np.testing.assert_allclose(shares[row, lit[row]], rays, atol=0.1)


@pytest.mark.parametrize("seed", range(20))
def test_half_shadow_of_one_flag_is_exact(seed):
    chance = np.random.default_rng(seed)
    face = disc([0, 0, 0], AHEAD, 0.7) if seed % 2 else rectangle([0, 0, 0], AHEAD, 0.6, 0.9)
    lamp = a_softbox(face=face)
    flag = Blocker(rectangle([0, 1, 0], unit([0.3, 1, chance.uniform(-0.3, 0.3)]), 0.8, 0.6), 0.25)
    points = np.stack(
        [chance.uniform(-1, 1, 60), chance.uniform(1.8, 3, 60), chance.uniform(-1, 1, 60)], axis=1
    )
    normals = unit(-points + chance.normal(size=points.shape))
    lit = Lamps([lamp]).light_at(points, normals) > 1e-3
    shares = visible_shares(Lamps([lamp]), points, normals, [flag], lit)[0, lit[0]]
    rays = visible_share(lamp, points[lit[0]], normals[lit[0]], [flag], rays_a_side=120)
    half_shadow = (shares > 0.2501) & (shares < 0.9999)
    assert half_shadow.sum() > 5
    # The rays themselves are good to about a hundredth; a disc is cast as a polygon of sixteen corners.
    np.testing.assert_allclose(shares, rays, atol=0.012)


@pytest.fixture
def drawn(monkeypatch):
    """The points that rays were drawn to."""
    found = []

    def noted(lamp, points, normals, blockers):
        found.extend(points[:, 0])
        return visible_share(lamp, points, normals, blockers)

    monkeypatch.setattr(module, "visible_share", noted)
    return found


def test_one_flag_needs_no_rays(drawn):
    shares = seen([[0, 1.2, 0], [1.0, 2.0, 0], [4.0, 2.0, 0]], FLAG)
    assert drawn == []
    assert shares[0, 0] == 0.0
    right = rectangle([0.15, 0, 0], AHEAD, 0.3, 0.9)
    place = np.array([1.0, 2.0, 0])
    assert shares[0, 1] == pytest.approx(
        float(form_factor(right, place, -AHEAD) / form_factor(LAMP.emitter, place, -AHEAD))
    )
    assert shares[0, 2] == 1.0


BESIDE = Blocker(rectangle([1.0, 0.8, 0], AHEAD, 0.9, 1), label="beside")
BELOW = Blocker(rectangle([0.6, 0.9, -0.5], AHEAD, 1.5, 0.9), label="below")


def test_however_many_flags_are_on_one_lamp_no_rays_are_needed(drawn):
    seen([[0, 1.2, 0], [1.0, 2.0, 0], [4.0, 2.0, 0]], FLAG, BESIDE, BELOW)
    assert drawn == []


@pytest.mark.parametrize("seed", range(12))
def test_what_three_and_four_hide_between_them_is_exact(seed, drawn):
    chance = np.random.default_rng(seed)
    flags = [
        Blocker(
            rectangle(
                chance.uniform([-0.5, 0.7, -0.5], [0.5, 1.3, 0.5]), unit([0.2, 1, -0.3]), 0.6, 0.6, 90 * turn
            ),
            float(through),
        )
        for turn, through in zip(chance.uniform(0, 1, 4), (0.0, 0.3, 0.0, 0.6), strict=True)
    ]
    flags[seed % 4] = Blocker(disc(flags[seed % 4].face.centre, AHEAD, 0.7), flags[seed % 4].transmittance)
    points = chance.uniform([-0.6, 2, -0.4], [0.6, 3, 0.4], (20, 3))
    shares = seen(points, *flags)[0]
    rays = visible_share(LAMP, points, np.broadcast_to(-AHEAD, points.shape), flags, rays_a_side=120)
    assert ((rays > 0.05) & (rays < 0.95)).sum() > 5
    np.testing.assert_allclose(shares, rays, atol=0.01)
    assert not drawn


def test_what_is_seen_of_a_ceiling_past_a_board_is_exact_beside_a_round_lamp_too(drawn):
    """Of so wide a face 64 rays know little, and a lamp before a corner of it must not make them be drawn."""
    ceiling = a_softbox(face=rectangle([0, 0, 1.7], -UP, 6.0, 8.0))
    board = Blocker(rectangle([0, 0.6, 0], AHEAD, 1.0, 2.0))
    lamp = Blocker(disc([1.4, 0.8, 0.5], unit([-0.7, -0.7, -0.2]), 0.6))
    place = np.array([[0.0, 0, 0]])
    shares = visible_shares(Lamps([ceiling]), place, AHEAD[None], [board, lamp], np.ones((1, 1), bool))
    nodes = even_nodes(ceiling.emitter, 300)
    weights = ceiling.per_lumen(nodes.points, place, AHEAD[None]) * nodes.areas_m2
    passed = passing(nodes.points, place, [board, lamp])
    assert shares[0, 0] == pytest.approx(float((weights * passed).sum() / weights.sum()), abs=0.003)
    assert not drawn


def test_rays_are_drawn_for_a_lamp_with_a_narrow_beam_and_past_inward_corners(drawn):
    narrow = a_softbox(at=(0, 0, 0), emission=beam(40))
    seen([[1.0, 2.0, 0]], FLAG, lamps=(narrow,))
    seen([[0.6, 2.0, 0.1]], Blocker(ARROW))
    assert drawn == [1.0, 0.6]
    # Beside the flag all of it arrives, right behind it nothing does.
    assert seen([[4.0, 2.0, 0], [0, 1.2, 0]], FLAG, lamps=(narrow,)).tolist() == [[1.0, 0.0]]
    assert seen([[0, 1.2, 0]], FLAG, Blocker(disc([0.3, 0.5, 0], AHEAD, 0.5)))[0, 0] == 0.0
    assert drawn == [1.0, 0.6]


@pytest.mark.parametrize("face", [FLAG.face, FLAG.face.turned_over()], ids=["its back", "its front"])
def test_what_falls_on_a_flag_is_not_hidden_by_it(face):
    assert seen([[0.1, 1.0, 0.2], [0.9, 1.0, 0.0]], Blocker(face))[0].tolist() == [1.0, 1.0]


def test_a_flag_far_aside_changes_nothing_of_what_another_hides():
    place, aside = [[1.0, 2.0, 0]], Blocker(rectangle([9, 1, 0], AHEAD, 1, 1))
    half = seen(place, FLAG)[0, 0]
    assert 0.1 < half < 0.9
    assert seen(place, aside, FLAG)[0, 0] == seen(place, FLAG, aside)[0, 0] == pytest.approx(half)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_flag_a_third_of_a_millimetre_before_the_lamp_or_the_receiver_hides_it(side):
    for depth_m in (0.0003, 1.9997):
        flag = Blocker(rectangle([0, depth_m, 0], side * AHEAD, 2, 2))
        assert seen([[0, 2.0, 0]], flag)[0, 0] == 0.0


@pytest.mark.parametrize("seed", range(12))
def test_half_shadow_of_two_flags_is_exact(seed):
    chance = np.random.default_rng(seed)
    lamp = a_softbox(face=rectangle([0, 0, 0], AHEAD, 0.6, 0.9))

    def a_flag(depth, turned, width, through):
        middle = [chance.uniform(-0.3, 0.3), depth, chance.uniform(-0.3, 0.3)]
        return Blocker(rectangle(middle, unit([turned, 1, chance.uniform(-0.3, 0.3)]), width, 0.6), through)

    flags = [a_flag(1.0, 0.3, 0.8, 0.25), a_flag(chance.uniform(0.7, 1.1), -0.3, 0.5, 0.1)]
    points = np.stack(
        [chance.uniform(-1, 1, 60), chance.uniform(1.8, 3, 60), chance.uniform(-1, 1, 60)], axis=1
    )
    normals = unit(-points + chance.normal(size=points.shape))
    lit = Lamps([lamp]).light_at(points, normals)[0] > 1e-3
    points, normals = points[lit], normals[lit]
    shares = visible_shares(Lamps([lamp]), points, normals, flags, np.ones((1, len(points)), bool))[0]
    rays = visible_share(lamp, points, normals, flags, rays_a_side=100)
    assert ((shares > 0.03) & (shares < 0.99)).sum() > 5
    np.testing.assert_allclose(shares, rays, atol=0.012)


@pytest.mark.parametrize("turned_deg", [0, 45, -45])
def test_two_flags_hinged_to_each_other_are_exact(turned_deg):
    lamp = a_softbox(face=rectangle([0, 0, 0], AHEAD, 0.6, 0.9))
    points = np.array([[x, 2.4, z] for x in np.linspace(-0.5, 0.5, 7) for z in (0.0, 0.3)])
    normals = unit(-points)
    flags = [Blocker(face) for face in hinged(turned_deg)]
    shares = visible_shares(Lamps([lamp]), points, normals, flags, np.ones((1, len(points)), bool))[0]
    rays = visible_share(lamp, points, normals, flags, rays_a_side=100)
    assert (rays < 0.9).sum() > 5
    np.testing.assert_allclose(shares, rays, atol=0.012)


def test_a_glowing_board_is_not_hidden_by_the_one_hinged_to_its_back():
    one, other = hinged(-30)
    lamp = a_softbox(face=one if one.normal[1] > 0 else one.turned_over())
    # Seen from the other side of that one, past the edge they share.
    point = np.array([[-0.6, 1.9, 0.0]])
    share = visible_shares(Lamps([lamp]), point, -AHEAD[None], [Blocker(other)], np.ones((1, 1), bool))
    assert share[0, 0] == pytest.approx(1.0, abs=1e-9)


def test_of_a_half_shadow_behind_a_net_as_much_is_left_as_the_net_lets_through():
    far = Blocker(rectangle([0, 1.5, 0], AHEAD, 9, 9), 0.4)
    place = [[1.0, 2.0, 0]]
    half = seen(place, FLAG)[0, 0]
    assert 0.1 < half < 0.9
    assert seen(place, FLAG, far)[0, 0] == pytest.approx(0.4 * half)


def test_a_net_before_all_of_the_lamp_takes_its_part():
    assert seen([[0, 2.0, 0]], NET)[0, 0] == 0.4


def test_two_nets_take_their_parts_one_after_the_other():
    behind = Blocker(rectangle([0, 1.5, 0], AHEAD, 9, 9), 0.5)
    assert seen([[0, 2.0, 0]], NET, behind)[0, 0] == pytest.approx(0.2)


@pytest.mark.parametrize("flag", [LAMP.emitter, LAMP.emitter.turned_over()], ids=["its front", "its back"])
def test_a_lamp_that_lies_in_the_plane_of_a_flag_is_not_shaded_by_it(flag):
    assert seen([[0, 1.0, 0]], Blocker(flag))[0, 0] == 1.0


def test_a_flag_that_cuts_through_the_lamp_takes_what_is_behind_it():
    # The left half of the face lies behind the flag, seen from straight before it.
    flag = Blocker(rectangle([-1.0, 0.05, 0.0], unit([0.05, 1.0, 0.0]), 2.0, 3.0))
    share = seen([[0, 2.0, 0]], flag)[0, 0]
    assert share == pytest.approx(0.5, abs=0.1)


@pytest.mark.parametrize("seed", range(10))
def test_what_a_flag_that_cuts_through_the_lamp_takes_is_exact_and_needs_no_rays(seed, drawn):
    chance = np.random.default_rng(seed)
    across = unit([np.cos(seed), chance.uniform(-0.5, 0.5), np.sin(seed)])
    flag = Blocker(rectangle(chance.uniform(-0.1, 0.1, 3), across, 1.5, 1.2), 0.25)
    points = chance.uniform([-1, 0.6, -1], [1, 3, 1], (60, 3))
    shares = seen(points, flag)[0]
    rays = visible_share(LAMP, points, np.broadcast_to(-AHEAD, points.shape), [flag], rays_a_side=120)
    heights = flag.face.height_over(LAMP.emitter.corners)
    assert heights.min() < 0 < heights.max()
    assert ((shares > 0.2501) & (shares < 0.9999)).sum() > 5
    np.testing.assert_allclose(shares, rays, atol=0.012)
    assert not drawn


def test_two_flags_that_both_cut_through_the_lamp_are_exact_too(drawn):
    left = Blocker(rectangle([-0.1, 0.05, 0.0], unit([0.3, 1.0, 0.0]), 0.5, 3.0), label="left")
    right = Blocker(rectangle([0.05, 0.0, 0.1], unit([-0.5, 1.0, 0.2]), 0.5, 0.6), 0.3, label="right")
    points = np.array([[0.0, 2.0, 0.0], [0.8, 1.5, 0.2], [-0.7, 1.2, -0.3]])
    shares = seen(points, left, right)[0]
    rays = visible_share(LAMP, points, np.broadcast_to(-AHEAD, points.shape), [left, right], rays_a_side=150)
    assert shares == pytest.approx(rays, abs=0.01)
    assert np.all((shares > 0.1) & (shares < 0.9))
    assert not drawn


def test_two_flags_that_cut_through_either_side_of_the_lamp_leave_its_middle(drawn):
    # Hinged to it 0.1 m off its middle: nothing of it lies behind both.
    row = np.array([[0.1, 0, -2], [0.6, 0.15, -2], [0.6, 0.15, 2], [0.1, 0, 2]])
    flags = [Blocker(Polygon(row * [way, 1, 1])) for way in (1.0, -1.0)]
    middle = rectangle([0, 0, 0], AHEAD, 0.2, 0.9)
    point = np.array([0.0, 2.0, 0.3])
    left = float(form_factor(middle, point, -AHEAD) / form_factor(LAMP.emitter, point, -AHEAD))
    assert seen([point], *flags)[0, 0] == pytest.approx(left)
    assert not drawn


def test_what_shines_through_the_notch_of_a_flag_between_the_corners_of_a_lamp_is_seen():
    # All corners of the lamp are behind the arrow, and its lower middle is not.
    corners = 2.0 * np.array([[-0.7, 0, -0.6], [0.7, 0, -0.6], [0.4, 0, 0.2], [-0.4, 0, 0.2]])
    face = Polygon(corners[::-1])
    lamp = a_softbox(face=face if face.normal[1] > 0 else face.turned_over())
    found = seen([[0, 2.0, 0]], Blocker(ARROW), lamps=(lamp,))[0, 0]
    assert 0.2 < found < 0.8
    assert found == pytest.approx(
        visible_share(lamp, np.array([[0, 2.0, 0]]), -AHEAD[None], [Blocker(ARROW)], rays_a_side=60)[0],
        abs=0.03,
    )


def test_what_is_not_lit_anyway_is_not_asked_for():
    points, normals = np.array([[0, 2.0, 0]]), np.array([-AHEAD])
    shares = visible_shares(Lamps([LAMP]), points, normals, [NET], np.zeros((1, 1), dtype=bool))
    assert shares[0, 0] == 1.0
