"""Facts about the lobe of a silver board: it keeps its flux and narrows to the image in a mirror."""

from __future__ import annotations

import math

import numpy as np
import pytest

from recipes.light.geometry import direction, rectangle, unit
from recipes.light.gloss import Gloss, glossy_light, image_in
from recipes.light.scene import Board, PointEmitter, Scene, Source, illuminate

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
