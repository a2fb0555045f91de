"""Facts about the exchange of light between the patches of a box."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light.box_factors import PATCHES_A_SIDE, SIDES, box_factors, places_of_patches
from recipes.light.form_factor import form_factor, rectangle_on_axis
from recipes.light.geometry import Polygon
from recipes.light.quadrature import even_nodes

SIZES = [(6.0, 8.0, 3.0), (3.0, 3.0, 3.0), (30.0, 2.0, 2.5), (1.0, 20.0, 50.0)]
SIDE_NAMES = ("floor", "ceiling", "left", "right", "far", "near")


def a_patch(size, number) -> Polygon:
    """The patch looking inwards."""
    axis, end = SIDES[number // PATCHES_A_SIDE**2]
    step = np.array(size) / PATCHES_A_SIDE
    low = places_of_patches()[number] * step
    first, second = (other for other in range(3) if other != axis)
    corners = np.tile(low, (4, 1))
    corners[1:3, first] += step[first]
    corners[2:, second] += step[second]
    corners[:, axis] = size[axis] * end
    patch = Polygon(corners)
    return patch if patch.height_over(np.array(size) / 2) > 0 else patch.turned_over()


def areas(size):
    return np.array([a_patch(size, number).area_m2 for number in range(6 * PATCHES_A_SIDE**2)])


@pytest.mark.parametrize("size", SIZES)
def test_all_that_leaves_a_patch_arrives_somewhere(size):
    np.testing.assert_allclose(box_factors(size).sum(axis=1), 1.0, atol=1e-11)


@pytest.mark.parametrize("size", SIZES)
def test_two_patches_exchange_alike(size):
    flux = areas(size)[:, None] * box_factors(size)
    np.testing.assert_allclose(flux, flux.T, atol=1e-12 * flux.max())


def test_no_patch_sees_its_own_side():
    factors = box_factors((6.0, 8.0, 3.0))
    for side in range(6):
        own = slice(side * PATCHES_A_SIDE**2, (side + 1) * PATCHES_A_SIDE**2)
        assert not factors[own, own].any()


@pytest.mark.parametrize("sender", [0, 21, 37, 50, 70, 95])
def test_each_factor_is_the_mean_of_what_its_points_see(sender):
    # The mean of the point factors (Lambert's boundary integral) over 12 by 12 Gauss points of the sender. Patches that
    # share an edge are left out: there the mean of points is slow to settle.
    size = (6.0, 8.0, 3.0)
    factors, patch = box_factors(size), a_patch(size, sender)
    nodes = even_nodes(patch, 12)
    for receiver in range(6 * PATCHES_A_SIDE**2):
        other = a_patch(size, receiver)
        if np.min(np.linalg.norm(patch.corners[:, None] - other.corners[None], axis=-1)) < 1e-9:
            continue
        mean = form_factor(other, nodes.points, patch.normal) @ nodes.areas_m2 / patch.area_m2
        assert factors[sender, receiver] == pytest.approx(float(mean), abs=1e-6)


def test_a_small_patch_far_away_is_seen_as_from_its_axis():
    # A long thin box: the end opposite, whole, from the middle of the other end.
    size = (1.0, 1.0, 40.0)
    inner = [n for n in range(16) if all(1 <= place <= 2 for place in places_of_patches()[n][:2])]
    to_ceiling = box_factors(size)[inner, 16:32].sum(axis=1).mean()
    assert to_ceiling == pytest.approx(rectangle_on_axis(1.0, 1.0, 40.0), rel=1e-3)
