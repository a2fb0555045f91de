"""What a silver board throws about the mirror's direction, against the mirror image and a path tracer."""

from __future__ import annotations

import math

import numpy as np
import pytest

from recipes.light.form_factor import form_factor
from recipes.light.geometry import direction, rectangle
from recipes.light.gloss import Gloss, glossy_light
from recipes.light.scene import Source
from tests.reference.panels import mirror, rough_mirror, traced_past

Z = np.array([0.0, 0.0, 1.0])
X = np.array([1.0, 0.0, 0.0])

# A board to the receiver's left and a softbox turned to it.
BOARD = rectangle([0.9, 0, 0], -X, 1.0, 1.4)
LAMP = Source(
    "k", "flash", rectangle([0.1, -0.9, 0], direction([0.1, -0.9, 0], [0.9, -0.3, 0]), 0.5, 0.5), 1000.0
)
PLACES = [(0.0, 0.9, 0.1), (0.0, 0.5, 0.1), (0.1, 1.5, -0.2)]


def lobe_of(point, half_angle_deg):
    """The lobe alone, of a board that sends everything back: a tenth is left for the matt part and made good here."""
    facing = direction(point, [0.9, 0.05, 0])
    gloss = Gloss(0.9, half_angle_deg)
    found = glossy_light([LAMP], BOARD, 1.0, gloss, np.array([point]), facing[None, :])
    return float(found[0, 0]) / 0.9, facing


def traced_lobe(point, facing, bsdf, samples):
    """What the path tracer has by way of the board alone: all of it less what comes straight from the lamp."""
    traced, error = traced_past([LAMP], [(BOARD, bsdf)], np.array(point), facing, 1, samples)
    return traced - float(LAMP.light_at(np.array(point), facing)), error


@pytest.mark.parametrize("point", PLACES)
def test_a_narrow_lobe_is_a_mirror_in_its_frame(point):
    found, facing = lobe_of(point, 3.0)
    traced, error = traced_lobe(point, facing, mirror(), 65_536)
    assert error < 0.04 * traced
    assert math.log2(found / traced) == pytest.approx(0.0, abs=0.1)


@pytest.mark.parametrize("half_angle_deg", [8.0, 15.0, 25.0])
@pytest.mark.parametrize("point", PLACES)
def test_facets_of_a_rough_mirror_do_the_same(point, half_angle_deg):
    """Another model of roughness (Beckmann's slopes on facets), to a fifth of a stop."""
    found, facing = lobe_of(point, half_angle_deg)
    traced, error = traced_lobe(point, facing, rough_mirror(half_angle_deg), 16_384)
    assert error < 0.04 * traced
    assert math.log2(found / traced) == pytest.approx(0.0, abs=0.2)


def test_a_large_lamp_close_to_a_narrow_lobe_is_still_its_own_image():
    # The image of the lamp, seen through the board as through a window: F of the mirrored face.
    board = rectangle([0, 0, 0], Z, 6, 6)
    lamp = Source("a", "flash", rectangle([0, 0, 0.8], -Z, 1.2, 1.2), 1000.0)
    image = rectangle([0, 0, -0.8], Z, 1.2, 1.2)
    points, facing = np.array([[0.5, 0, 1.6], [0.0, 0.8, 2.0]]), np.array([-Z, -Z])
    expected = 1000.0 / 1.44 * form_factor(image, points, facing)
    found = glossy_light([lamp], board, 1.0, Gloss(0.9, 3.0), points, facing)[0] / 0.9
    assert np.log2(found / expected) == pytest.approx(0.0, abs=0.05)
