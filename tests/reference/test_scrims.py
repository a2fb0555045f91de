"""A scrim as a source of its own, against closed forms, integrals worked elsewhere and a path tracer."""

from __future__ import annotations

import math

import numpy as np
import pytest

from recipes.light.geometry import direction, disc, rectangle, unit
from recipes.light.scene import DIRECT, Board, PointEmitter, Scene, Source, illuminate
from recipes.light.scrim import Scrim
from tests.reference.panels import cloth, matt, traced_past

Y = np.array([0.0, 1.0, 0.0])
X = np.array([1.0, 0.0, 0.0])


def a_bulb(at, intensity_cds=1000.0, axis=Y):
    """A point that throws the same all round."""
    return Source("bulb", "flash", PointEmitter(np.array(at), axis), 4.0 * math.pi * intensity_cds)


def through(lamps, scrim, point, facing, **more):
    return illuminate(Scene(tuple(lamps), scrims=(scrim,), **more), np.array(point), np.array(facing))


def test_a_small_piece_of_cloth():
    # E = I / d1² · tau · A / (pi d2²) = 1000 / 4 · 0.5 · 0.0004 / pi: Lambert's law, both legs at right angles.
    cloth_piece = Scrim("silk", rectangle([0, 0, 0], Y, 0.02, 0.02), 0.5)
    lit = through([a_bulb((0, -2, 0))], cloth_piece, (0, 1, 0), -Y)
    assert lit.of_path("bulb", "silk") == pytest.approx(250.0 * 0.5 * 0.0004 / math.pi, rel=1e-3)


def test_a_round_cloth_that_is_lit_evenly():
    # Howell, element to parallel disc: F = R² / (R² + h²) = 0.25 / 1.25 = 0.2; a lamp 100 m off lights it evenly.
    disc_of_silk = Scrim("silk", disc([0, 0, 0], Y, 1.0), 0.6)
    lit = through([a_bulb((0, -100, 0), 1e7)], disc_of_silk, (0, 1, 0), -Y)
    assert lit.of_path("bulb", "silk") == pytest.approx(1000.0 * 0.6 * 0.2, rel=1e-3)


# ∫∫ I cos1 cos2 cos3 rho / (pi d1² d2²) dA by quadrature and by a path tracer, for a board of 0.9 in x = 0, the lamp at
# (1, −0.6, 0) and the receiver at (1.5, 0.8, 0); see test_bounce. A cloth that lets 0.9 through sends the receiver the
# same when the lamp stands at its mirror image.
@pytest.mark.parametrize(("side", "exposure_lxs"), [(0.5, 13.0638), (1.0, 44.8203), (2.0, 109.0932)])
def test_what_a_board_sends_back_a_cloth_lets_through(side, exposure_lxs):
    silk = Scrim("silk", rectangle([0, 0, 0], X, side, side), 0.9)
    facing = direction([1.5, 0.8, 0.0], [0, 0, 0])
    lit = through([a_bulb((-1.0, -0.6, 0.0))], silk, (1.5, 0.8, 0.0), facing)
    assert lit.of_path("bulb", "silk") == pytest.approx(exposure_lxs, rel=1e-3)


def test_what_goes_straight_on_keeps_to_the_inverse_square():
    net = Scrim("net", rectangle([0, 0, 0], Y, 3, 3), 0.8, direct_share=0.75)
    lit = through([a_bulb((0, -1, 0))], net, (0, 2, 0), -Y)
    assert lit.of_path("bulb", DIRECT) == pytest.approx(1000.0 / 9.0 * 0.6)


def test_a_clear_film_changes_nothing():
    film = Scrim("film", rectangle([0, 0, 0], Y, 1, 1), 1.0, direct_share=1.0)
    lit = through([a_bulb((0, -1, 0))], film, (0, 1, 0), -Y)
    assert lit.of_source("bulb") == pytest.approx(250.0)


def test_no_flux_is_lost_or_made():
    # All that leaves the far side of a cloth passes through a hemisphere about it: tau · the flux on it.
    silk = Scrim("silk", rectangle([0, 0, 0], Y, 1.0, 1.0), 0.7)
    lamp = a_bulb((0.2, -0.8, 0.1))
    on_it = 4 * math.pi * 1000.0 * _solid_angle_share(lamp.centre)
    z, z_weights = np.polynomial.legendre.leggauss(24)
    angles = np.pi * (np.arange(48) + 0.5) / 48.0
    cosine, around = np.meshgrid(z, angles, indexing="ij")
    level = np.sqrt(1.0 - cosine**2)
    outwards = np.stack([level * np.cos(around), level * np.sin(around), cosine], axis=-1)
    lit = through([lamp], silk, 30.0 * outwards, -outwards)
    weights = np.broadcast_to(z_weights[:, None] * np.pi / 48.0, cosine.shape)
    total = float((lit.of_path("bulb", "silk") * weights).sum() * 30.0**2)
    assert total == pytest.approx(0.7 * on_it, rel=3e-3)


def _solid_angle_share(at):
    """Share of the sphere that the square metre fills, by midpoints."""
    steps = (np.arange(400) + 0.5) / 400.0 - 0.5
    x, z = np.meshgrid(steps, steps)
    square = (x - at[0]) ** 2 + at[1] ** 2 + (z - at[2]) ** 2
    return float((abs(at[1]) / square**1.5).sum() / 400.0**2 / (4.0 * np.pi))


def test_only_the_part_of_the_beam_that_meets_the_frame_comes_through():
    # A small frame in the middle of the beam: what passes beside it goes straight to a receiver beside its axis.
    silk = Scrim("silk", rectangle([0, 0, 0], Y, 0.4, 0.4), 0.5)
    beside = through([a_bulb((0, -1, 0))], silk, (1.5, 1, 0), unit(np.array([-1.5, -2, 0])))
    assert beside.of_path("bulb", DIRECT) == pytest.approx(1000.0 / 6.25)
    behind = through([a_bulb((0, -1, 0))], silk, (0.1, 1, 0), -Y)
    assert behind.of_path("bulb", DIRECT) == 0.0


@pytest.mark.parametrize("point", [(0.3, 1.2, 0.1), (-0.7, 0.6, 0.2), (0.0, 0.35, -0.5)])
def test_a_softbox_through_a_silk_as_the_path_tracer_has_it(point):
    lamp = Source("k", "flash", rectangle([0.1, -0.9, 0.1], Y, 0.3, 0.6), 1000.0)
    face = rectangle([0, 0, 0], Y, 1.2, 1.2)
    facing = direction(point, [0.1, 0.0, 0.0])
    traced, error = traced_past([lamp], [(face, cloth(0.45))], np.array(point), facing, 1)
    core = float(through([lamp], Scrim("silk", face, 0.45), point, facing).of_source("k"))
    assert error < 0.02 * traced
    assert math.log2(core / traced) == pytest.approx(0.0, abs=0.05)


def test_off_a_board_and_through_a_silk():
    """A lamp turned away from the subject to a board, whose light comes through a silk: two legs before the subject."""
    board, silk = rectangle([0, -1.6, 0], Y, 1.2, 1.8), rectangle([0.5, 0, 0], Y, 1.2, 1.8)
    at = np.array([1.6, -0.4, 0.3])
    lamp = Source("k", "flash", rectangle(at, direction(at, [0, -1.6, 0]), 0.3, 0.3), 1000.0)
    point, facing = np.array([0.6, 1.0, 0.0]), -Y
    things = [(board, matt(0.85)), (silk, cloth(0.5))]
    traced, error = traced_past([lamp], things, point, facing, 6, 8192)
    scene = Scene((lamp,), (Board("white", board, 0.85),), scrims=(Scrim("silk", silk, 0.5),))
    core = illuminate(scene, point, facing)
    assert error < 0.02 * traced
    assert core.of_path("k", "silk") > 0.9 * core.of_source("k")
    assert math.log2(float(core.of_source("k")) / traced) == pytest.approx(0.0, abs=0.1)


def test_two_boards_that_stand_as_a_corner_light_each_other():
    left, right = rectangle([-0.5, -0.5, 0], unit(np.array([1.0, 1, 0])), 1.2, 2), None
    # The two meet at right angles along an upright edge, half a side of each from its middle.
    edge = np.array([-0.5, -0.5, 0]) + 0.6 * unit(np.array([1.0, -1, 0]))
    other = unit(np.array([1.0, 1.0, 0]))
    right = rectangle(edge + 0.6 * other, unit(np.array([-1.0, 1.0, 0])), 1.2, 2)
    at = np.array([0.1, 1.0, 0.6])
    lamp = Source("k", "flash", rectangle(at, direction(at, [0.0, -0.7, 0]), 0.3, 0.3), 1000.0)
    point, facing = np.array([-0.1, 0.9, 0.0]), direction([-0.1, 0.9, 0], [0.0, -0.7, 0])
    traced, error = traced_past([lamp], [(left, matt(0.85)), (right, matt(0.85))], point, facing, 12, 8192)
    boards = (Board("left", left, 0.85), Board("right", right, 0.85))
    together = float(illuminate(Scene((lamp,), boards), point, facing).of_source("k"))
    apart = sum(float(illuminate(Scene((lamp,), (b,)), point, facing).of_path("k", b.label)) for b in boards)
    assert error < 0.02 * traced
    assert math.log2(together / traced) == pytest.approx(0.0, abs=0.1)
    # What they send each other is not little: a fifth of a stop and more.
    assert math.log2(together / apart) > 0.2
