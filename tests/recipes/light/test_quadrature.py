"""Facts about the points at which a face is sampled: moments in closed form, and cells counted by hand."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.geometry import Polygon, disc, rectangle
from recipes.light.quadrature import even_nodes, graded_nodes
from tests.recipes.light.scenes import UP

TRAPEZIUM = Polygon(np.array([[0.0, 0, 0], [2, 0, 0], [1.5, 1, 0], [0.5, 1, 0]]))
INWARD = Polygon(np.array([[1.0, 1, 0], [3, 1, 0], [3, 2, 0], [2, 2, 0], [2, 3, 0], [1, 3, 0]]))
STRIP = rectangle([0.5, 0.2, 0], UP, 2.0, 1.0, roll_deg=30)


def moments_of_polygon(face):
    """Integrals of x², y² and x y over a polygon in the plane z = 0 (Green's theorem)."""
    x, y = face.corners[:, 0], face.corners[:, 1]
    u, v = np.roll(x, -1), np.roll(y, -1)
    turn = x * v - u * y
    return [
        np.sum(turn * (x**2 + x * u + u**2)) / 12,
        np.sum(turn * (y**2 + y * v + v**2)) / 12,
        np.sum(turn * (x * v + 2 * x * y + 2 * u * v + u * y)) / 24,
    ]


def moments_of(nodes):
    x, y = nodes.points[:, 0], nodes.points[:, 1]
    return [float(nodes.areas_m2 @ both) for both in (x * x, y * y, x * y)]


@pytest.mark.parametrize("face", [TRAPEZIUM, INWARD, STRIP], ids=["trapezium", "inward corner", "strip"])
def test_second_moments_of_a_polygon(face):
    exact = pytest.approx(moments_of_polygon(face), rel=1e-9, abs=1e-12)
    assert moments_of(even_nodes(face, 3)) == exact
    assert moments_of(graded_nodes([face], lambda centres, *_: 0.2 + 0.3 * np.abs(centres[:, 0]))) == exact


def test_moments_of_a_disc():
    # With R = 0.5: of x² and y² pi R⁴ / 4, of x y nothing, of x² y² pi R⁶ / 24.
    for nodes in (
        even_nodes(disc([0, 0, 0], UP, 1.0), 8),
        graded_nodes([disc([0, 0, 0], UP, 1.0)], fixed(0.3)),
    ):
        along, up, both = moments_of(nodes)
        assert (along, up) == pytest.approx((np.pi / 64, np.pi / 64), rel=1e-6)
        assert both == pytest.approx(0, abs=1e-12)
        fourth = nodes.areas_m2 @ (nodes.points[:, 0] ** 2 * nodes.points[:, 1] ** 2)
        assert fourth == pytest.approx(np.pi * 0.5**6 / 24, rel=1e-4)


def fixed(size_m):
    return lambda centres, *_: np.full(len(centres), size_m)


@pytest.mark.parametrize(
    ("face", "detail_m", "cells"),
    [
        # 2 m in eight, 1 m in four; a quarter is as fine as wanted.
        (STRIP, 0.25, 32),
        (STRIP, 0.3, 32),
        (STRIP, 1.0, 2),
        (STRIP, 2.0, 1),
        # A quarter of the disc is 1 m wide, and 0.71 m along the chord in its middle; then 0.5 m, 0.19 and 0.57 m.
        (disc([0, 0, 0], UP, 2.0), 0.6, 16),
        (disc([0, 0, 0], UP, 2.0), 0.5, 24),
        (disc([0, 0, 0], UP, 2.0), 1.0, 4),
        # Its triangles are 1.82 by 0.56 m and 1.41 by 0.50 m in their middles.
        (TRAPEZIUM, 1.0, 4),
        (TRAPEZIUM, 0.6, 12),
        (TRAPEZIUM, 2.0, 2),
    ],
)
def test_a_face_is_halved_until_no_cell_is_larger_than_the_detail(face, detail_m, cells):
    assert len(graded_nodes([face], fixed(detail_m)).points) == cells * len(even_nodes(STRIP, 4).points)


def test_cells_are_told_by_their_middle_and_diagonal():
    told = []

    def detail(centres, sizes, faces):
        told.append((centres.copy(), sizes.copy(), faces.copy()))
        return np.full(len(centres), 1.0)

    graded_nodes([disc([5, 0, 0], UP, 1.0), STRIP], detail)
    centres, sizes, faces = told[0]
    np.testing.assert_allclose(centres[-1], STRIP.centre)
    assert sizes[-1] == pytest.approx(np.hypot(2.0, 1.0))
    # Half way out along the middle of each quarter: radius by chord.
    assert faces.tolist() == [0, 0, 0, 0, 1]
    np.testing.assert_allclose(np.linalg.norm(centres[:4] - [5, 0, 0], axis=1), 0.25)
    np.testing.assert_allclose(sizes[:4], np.hypot(0.5, 0.5 * np.sin(np.pi / 4)))
    assert len(told[1][0]) == 2
