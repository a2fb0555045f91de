"""Facts about the lobe of a silver board: it keeps its flux and narrows to the image in a mirror."""

from __future__ import annotations

import math

import numpy as np
import pytest

from recipes.light import gloss as gloss_module
from recipes.light.emission import LAMBERTIAN
from recipes.light.geometry import direction, rectangle, unit
from recipes.light.gloss import Gloss, glossy_light, image_in
from recipes.light.scene import Blocker, Board, PointEmitter, Scene, Source, illuminate

Z = np.array([0.0, 0.0, 1.0])
X = np.array([1.0, 0.0, 0.0])

# A board to the receiver's left and a softbox turned to it.
BOARD = rectangle([0.9, 0, 0], -X, 1.0, 1.4)
LAMP = Source(
    "k", "flash", rectangle([0.1, -0.9, 0], direction([0.1, -0.9, 0], [0.9, -0.3, 0]), 0.5, 0.5), 1000.0
)
BEFORE_IT = (0.0, 0.9, 0.1)


def test_on_a_large_board_a_narrow_lobe_is_the_light_of_the_image():
    # Law of reflection: E = I cos / |r − s'|² with the image s' of the lamp behind the board.
    board = rectangle([0, 0, 0], Z, 4, 4)
    lamp = Source("a", "flash", PointEmitter(np.array([-1.0, 0, 1.5]), -Z), 1000.0 * 4 * math.pi)
    points = np.array([[1.0, 0, 1.5], [0.5, 0.3, 1.0]])
    facing = unit(np.array([[0, 0, -1.0], [0, 0.2, -1.0]]))
    rays = points - image_in(board, lamp.centre)
    expected = 1000.0 * -(rays * facing).sum(axis=1) / (rays**2).sum(axis=1) ** 1.5
    found = glossy_light([lamp], board, 1.0, Gloss(0.9, 3.0), points, facing)[0] / 0.9
    assert np.log2(found / expected) == pytest.approx(0.0, abs=0.005)


@pytest.mark.parametrize("half_angle_deg", [5.0, 15.0, 30.0])
def test_the_lobe_keeps_the_flux(half_angle_deg):
    # Straight down on a small board: all of the lobe leaves into the hemisphere, so its flux is rho g times that on it.
    board = rectangle([0, 0, 0], Z, 0.1, 0.1)
    lamp = Source("a", "flash", PointEmitter(np.array([0.0, 0, 5.0]), -Z), 1000.0 * 4 * math.pi)
    cosine, weights = np.polynomial.legendre.leggauss(200)
    cosine, weights = (cosine + 1.0) / 2.0, weights / 2.0
    outwards = np.stack([np.sqrt(1.0 - cosine**2), np.zeros(200), cosine], axis=-1)
    found = glossy_light([lamp], board, 0.8, Gloss(0.5, half_angle_deg), 20.0 * outwards, -outwards)[0]
    flux = 2.0 * math.pi * 20.0**2 * float(found @ weights)
    assert flux == pytest.approx(0.8 * 0.5 * 1000.0 / 25.0 * 0.01, rel=5e-3)


def test_lobe_and_matt_rest_share_the_reflectance():
    # Looking at the board from where no mirror would show the lamp, only the matt part is left.
    matt = Board("b", BOARD, 0.8)
    silver = Board("b", BOARD, 0.8, gloss=Gloss(0.75, 6.0))
    point, facing = np.array([0.0, -1.9, 0.9]), direction([0.0, -1.9, 0.9], [0.9, -0.3, 0])
    plain, shiny = (
        float(illuminate(Scene((LAMP,), (b,)), point, facing).of_path("k", "b")) for b in (matt, silver)
    )
    assert shiny == pytest.approx(0.25 * plain, rel=0.02)


def test_behind_the_board_and_from_a_lamp_behind_it_there_is_no_lobe():
    facing = direction(BEFORE_IT, [0.9, 0.05, 0])[None, :]
    points = np.array([BEFORE_IT])
    behind = Source("k", "flash", PointEmitter(np.array([1.5, 0.0, 0.0]), -np.eye(3)[0]), 1000.0)
    dark = Source("d", "flash", LAMP.emitter, 0.0)
    found = glossy_light([LAMP, behind, dark], BOARD, 1.0, Gloss(0.9, 8.0), points, facing)
    assert found[0, 0] > 0
    assert found[1:, 0].tolist() == [0.0, 0.0]
    assert glossy_light([LAMP], BOARD, 0.0, Gloss(0.9, 8.0), points, facing)[0, 0] == 0.0
    beyond = np.array([[1.5, 0.0, 0.0]])
    assert glossy_light([LAMP], BOARD, 1.0, Gloss(0.9, 8.0), beyond, -facing)[0, 0] == 0.0


# --- a small silver board on the floor, lit from a slant ---

SMALL = rectangle([0, 0, 0], Z, 0.02, 0.02)
FROM = unit([-0.6, 0, 0.8])
MIRRORED = unit([0.6, 0, 0.8])
SLANT = Source("s", "flash", PointEmitter(4.0 * FROM, -FROM), 1000.0 * 4 * math.pi)


def off_the_small_board(ways, gloss, blockers=(), lamp=SLANT, reflectance=0.8):
    """What receivers 5 m away get that look back at it."""
    ways = np.atleast_2d(ways)
    return glossy_light([lamp], SMALL, reflectance, gloss, 5.0 * ways, -ways, blockers)[0]


@pytest.mark.parametrize("half_angle_deg", [3.0, 8.0, 20.0])
def test_half_an_angle_beside_the_mirror_s_direction_half_of_the_lobe_is_left(half_angle_deg):
    turn = np.radians(half_angle_deg)
    across = np.array([0.0, 1.0, 0.0])
    beside = [np.cos(turn) * MIRRORED + side * np.sin(turn) * across for side in (1.0, -1.0)]
    peak, *halves = off_the_small_board([MIRRORED, *beside], Gloss(0.9, half_angle_deg))
    assert halves == pytest.approx([peak / 2.0] * 2, rel=0.01)
    # At the peak I = (m + 1) / 2 pi of the flux on the board, with cos^m of the half angle a half.
    exponent = math.log(0.5) / math.log(math.cos(turn))
    on_it = 1000.0 * 0.8 / 16.0 * 0.02**2
    assert peak == pytest.approx(0.8 * 0.9 * on_it * (exponent + 1.0) / (2 * math.pi) / 25.0, rel=0.01)


def test_a_receiver_gets_the_lobe_by_the_cosine_at_which_it_looks():
    lobe = Gloss(0.5, 10.0)
    (straight,) = off_the_small_board(MIRRORED, lobe)
    for turn_deg in (30.0, 60.0, 89.0, 100.0):
        turn = np.radians(turn_deg)
        looking = -np.cos(turn) * MIRRORED + np.sin(turn) * np.array([0.0, 1.0, 0.0])
        found = glossy_light([SLANT], SMALL, 0.8, lobe, 5.0 * MIRRORED[None], looking[None])[0, 0]
        assert found == pytest.approx(max(math.cos(turn), 0.0) * straight, rel=0.02, abs=1e-3 * straight)


def test_behind_a_lobe_there_is_nothing_of_it_however_wide_it_is():
    # Lit at 80 degrees from upright; back towards the lamp it is 160 degrees off the mirror's direction.
    low, back = unit([-0.985, 0, 0.174]), unit([0.985, 0, 0.174])
    lamp = Source("s", "flash", PointEmitter(4.0 * low, -low), 1000.0)
    peak, behind = off_the_small_board([back, low], Gloss(0.9, 60.0), lamp=lamp)
    assert peak > 0
    assert behind < 1e-9 * peak


def test_nets_in_either_leg_take_their_part_and_one_across_both_takes_it_twice():
    lobe = Gloss(0.9, 8.0)
    (free,) = off_the_small_board(MIRRORED, lobe)
    before, after = (Blocker(rectangle(2.0 * way, way, 1.0, 1.0), 0.5) for way in (FROM, MIRRORED))
    over_it = Blocker(rectangle([0, 0, 0.5], Z, 9.0, 9.0), 0.5)
    flag = Blocker(rectangle(2.0 * FROM, FROM, 1.0, 1.0))
    for blockers, left in (((before,), 0.5), ((after,), 0.5), ((before, after), 0.25), ((over_it,), 0.25)):
        assert off_the_small_board(MIRRORED, lobe, blockers) == pytest.approx(left * free, rel=1e-6)
    assert off_the_small_board(MIRRORED, lobe, (flag,)) == pytest.approx(0.0, abs=1e-12)


def test_many_receivers_get_what_each_gets_alone():
    ways = unit(np.stack([np.linspace(-0.2, 1.2, 150), np.full(150, 0.1), np.full(150, 0.8)], axis=1))
    lobe = Gloss(0.9, 12.0)
    together = off_the_small_board(ways, lobe)
    alone = np.concatenate([off_the_small_board(way, lobe) for way in ways[::7]])
    assert together[::7] == pytest.approx(alone, rel=2e-3, abs=1e-6 * together.max())


def test_receivers_in_portions_get_the_same(monkeypatch):
    ways = unit(np.array([[0.6, 0, 0.8], [0.5, 0.1, 0.8], [0.7, 0, 0.6]]))
    at_once = off_the_small_board(ways, Gloss(0.9, 12.0))
    for pairs in (1, 40):
        monkeypatch.setattr(gloss_module, "_PAIRS_AT_ONCE", pairs)
        assert off_the_small_board(ways, Gloss(0.9, 12.0)) == pytest.approx(at_once)


@pytest.mark.parametrize(("half_angle_deg", "apart_m"), [(5.0, 1.5), (10.0, 0.8), (25.0, 1.5)])
def test_a_large_lamp_is_all_of_its_parts(half_angle_deg, apart_m):
    # 10 by 10 bulbs that shine as a face does; each throws its own lobe.
    face = rectangle([-0.5 * apart_m, 0, 0.9 * apart_m], unit([0.5, 0, -0.9]), 0.6, 0.6)
    board = rectangle([0, 0, 0], Z, 1.2, 1.2)
    steps = (np.arange(10) + 0.5) / 10
    sides = face.corners[1] - face.corners[0], face.corners[3] - face.corners[0]
    bulbs = [
        Source(
            f"{i} {j}",
            "flash",
            PointEmitter(face.corners[0] + i * sides[0] + j * sides[1], face.normal),
            1000.0 / 100.0,
            LAMBERTIAN,
        )
        for i in steps
        for j in steps
    ]
    points = np.array([[0.8, 0.1, 1.0], [0.3, -0.4, 1.2], [1.4, 0.0, 0.5]])
    looking = direction(points, [0, 0, 0])
    lobe = Gloss(0.9, half_angle_deg)
    whole = glossy_light([Source("k", "flash", face, 1000.0)], board, 1.0, lobe, points, looking)[0]
    parts = glossy_light(bulbs, board, 1.0, lobe, points, looking).sum(axis=0)
    assert whole == pytest.approx(parts, rel=0.005, abs=0.002 * parts.max())


def test_each_lamp_has_its_own_row_and_its_own_flux():
    other = Source("o", "flash", PointEmitter(4.0 * MIRRORED, -MIRRORED), 300.0)
    ways = np.array([MIRRORED, FROM])
    both = glossy_light([SLANT, other], SMALL, 0.8, Gloss(0.9, 8.0), 5.0 * ways, -ways)
    for row, lamp in enumerate((SLANT, other)):
        assert both[row] == pytest.approx(off_the_small_board(ways, Gloss(0.9, 8.0), lamp=lamp))
    assert both[0, 0] / both[1, 1] == pytest.approx(1000.0 * 4 * math.pi / 300.0, rel=1e-6)
    assert both[0, 1] < 1e-3 * both[0, 0]


def test_of_a_lamp_that_stands_half_behind_the_board_the_half_before_it_counts():
    face = rectangle([-1.0, 0, 0], [1, 0, 0], 1.0, 0.6)
    upper = rectangle([-1.0, 0, 0.15], [1, 0, 0], 1.0, 0.3)
    points = np.array([[0.8, 0.1, 0.3]])
    looking = direction(points, [0, 0, 0])
    board = rectangle([0, 0, 0], Z, 1.0, 1.0)
    whole, half = (
        glossy_light([Source("k", "flash", one, flux)], board, 1.0, Gloss(0.9, 20.0), points, looking)[0, 0]
        for one, flux in ((face, 1000.0), (upper, 500.0))
    )
    assert half > 0
    assert whole == pytest.approx(half, rel=0.05)


@pytest.mark.parametrize("aside", [[0.0, 0, 0], [40.0, -30.0, 20.0]])
@pytest.mark.parametrize("others", [0, 1, 90])
def test_close_to_a_board_a_narrow_lobe_is_the_image_too_whoever_else_looks(aside, others):
    # Law of reflection again, from 40 cm; the others stand 10 m away, or with many at a metre.
    aside = np.array(aside)
    board = rectangle(aside, Z, 1.6, 1.6)
    lamp = Source("a", "flash", PointEmitter(aside + np.array([-0.3, 0, 0.4]), -Z), 1000.0 * 4 * math.pi)
    one = np.array([[0.3, 0, 0.4]]) if others < 64 else np.array([[0.6, 0, 0.8]])
    there = aside + np.concatenate([one, np.tile([[6.0, 0.5, 8.0]], (others, 1))])
    looking = -unit(there - aside)
    rays = there - image_in(board, lamp.centre)
    expected = 1000.0 * -(rays * looking).sum(axis=1) / (rays**2).sum(axis=1) ** 1.5
    found = glossy_light([lamp], board, 1.0, Gloss(0.9, 3.0), there, looking)[0] / 0.9
    assert found[0] == pytest.approx(expected[0], rel=0.01)


def test_a_lamp_a_million_times_as_dim_throws_a_millionth():
    (bright,) = off_the_small_board(MIRRORED, Gloss(0.9, 8.0))
    dim = Source("d", "flash", SLANT.emitter, 1e-6 * SLANT.flux_lm)
    assert off_the_small_board(MIRRORED, Gloss(0.9, 8.0), lamp=dim)[0] == pytest.approx(1e-6 * bright)


def test_in_the_plane_of_a_board_nothing_of_its_lobe_is_seen():
    assert off_the_small_board([1.0, 0, 0], Gloss(0.9, 60.0)).tolist() == [0.0]


def test_in_a_mirror_a_point_lies_as_far_behind_as_it_stands_before():
    level = rectangle([7, 5, 1], Z, 1, 1)
    assert image_in(level, np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 0.0]])) == pytest.approx(
        np.array([[1.0, 2.0, -1.0], [4.0, 5.0, 2.0]])
    )


@pytest.mark.parametrize(("share", "half_angle_deg"), [(0.0, 2.0), (0.95, 60.0)])
def test_the_least_and_the_most_of_gloss_is_taken(share, half_angle_deg):
    assert Gloss(share, half_angle_deg).lobe.half_angle_deg == pytest.approx(half_angle_deg)


@pytest.mark.parametrize(
    ("share", "half_angle_deg", "sentence"),
    [
        (-0.01, 10.0, r"share of the gloss is -0\.01; give a number from 0 to 0\.95"),
        (0.96, 10.0, r"share of the gloss is 0\.96"),
        (0.5, 1.9, r"half_angle_deg of the gloss is 1\.9; give a number from 2 to 60"),
        (0.5, 60.5, r"half_angle_deg of the gloss is 60\.5"),
    ],
)
def test_a_gloss_that_no_board_has_is_refused(share, half_angle_deg, sentence):
    with pytest.raises(ValueError, match=sentence):
        Gloss(share, half_angle_deg)


def test_a_reflectance_is_a_part_of_one():
    with pytest.raises(ValueError, match=r"reflectance is 1\.2"):
        off_the_small_board(MIRRORED, Gloss(0.5, 10.0), reflectance=1.2)


@pytest.mark.parametrize("others", [0, 80], ids=["a few", "a map"])
@pytest.mark.parametrize("edge_m", [-0.2, -0.1, 0.0, 0.1, 0.2])
def test_in_the_half_shadow_of_a_flag_a_lobe_has_the_part_of_the_lamp_that_the_board_sees(edge_m, others):
    """A flag before the lamp, up to an edge beside its middle. A lamp in 16 upright strips is as good as it is seen."""
    board = rectangle([0, 0, 0], Z, 2.0, 2.0)
    flag = Blocker(rectangle([edge_m - 1.0, 0, 1.5], Z, 2.0, 4.0))
    strips = [
        Source(f"{n}", "flash", rectangle([(n - 7.5) / 16, 0, 2.0], -Z, 1 / 16, 1.0), 1000.0 / 16)
        for n in range(16)
    ]
    lamp = Source("whole", "flash", rectangle([0, 0, 2.0], -Z, 1.0, 1.0), 1000.0)
    points = np.repeat([[0.1, 0.0, 1.3]], 1 + others, axis=0)
    down = np.broadcast_to(-Z, points.shape)
    found = glossy_light([lamp], board, 0.8, Gloss(0.8, 25.0), points, down, [flag])[0]
    parts = glossy_light(strips, board, 0.8, Gloss(0.8, 25.0), points[:1], down[:1], [flag])
    assert np.log2(found / parts.sum()) == pytest.approx(0.0, abs=0.12)
