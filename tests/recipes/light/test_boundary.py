"""Facts about how much of a receiver's world lies inside an outline, worked by hand and from the catalogue."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light.boundary import inside_circle, inside_polygon
from recipes.light.geometry import unit
from tests.recipes.light.scenes import directions

X, Y, Z = np.eye(3)
OCTANT = np.array([X, Y, Z])
"""The corners of an eighth of the world."""


def inside(corners, *normals):
    """F of one outline for receivers at the origin."""
    looking = np.array(normals, dtype=float)
    arms = np.repeat(np.asarray(corners, dtype=float).T[:, :, None], len(looking), axis=2)
    return inside_polygon(arms, looking.T)


@pytest.mark.parametrize(
    ("normal", "factor"),
    [
        # Nusselt: the projection of the eighth onto the receiver's base, over pi.
        (Z, 0.25),
        (X, 0.25),
        (unit([1, 1, 1]), np.sqrt(3.0) / 4.0),
        (unit([1, 1, 0]), np.sqrt(2.0) / 4.0),
        (-Z, 0.0),
        (unit([-1, -1, -0.1]), 0.0),
        # The horizon halves it: edges of 90 and 45 degrees, of which the one along the horizon counts in full.
        (unit([1, 0, -1]), (1.0 - np.sqrt(0.5)) / 4.0),
        (unit([-1, 0, 1]), (1.0 - np.sqrt(0.5)) / 4.0),
        (unit([0, -1, 1]), (1.0 - np.sqrt(0.5)) / 4.0),
        # Only one corner above: edges of 45, 60 and 45 degrees, the one of 60 along the horizon.
        (unit([-1, -1, 1]), 1.0 / 6.0 - 1.0 / (4.0 * np.sqrt(3.0))),
    ],
)
@pytest.mark.parametrize("first", range(3))
def test_an_eighth_of_the_world_wherever_its_outline_begins(normal, factor, first):
    assert inside(np.roll(OCTANT, first, axis=0), normal)[0] == pytest.approx(factor, abs=1e-7)
    assert inside(np.roll(OCTANT, first, axis=0)[::-1], normal)[0] == pytest.approx(factor, abs=1e-7)


def test_one_after_another_or_all_at_once_is_the_same():
    # Above the horizon, cut by it, below it, and touching it from either side.
    looking = [unit(n) for n in ([1, 1, 1], [1, 0, -1], [-1, -1, -1], [0, 0, 1], [0, 0, -1], [-1, 0.2, 0.3])]
    together = inside(OCTANT, *looking)
    assert together == pytest.approx([float(inside(OCTANT, one)[0]) for one in looking], abs=1e-15)
    assert np.count_nonzero(together > 0) == 4


@given(directions(), st.floats(0.1, 10.0), st.floats(0.1, 10.0))
def test_how_far_away_the_corners_are_changes_nothing_and_two_halves_make_the_whole(normal, far, further):
    whole = inside(OCTANT * [[far], [1.0], [further]], normal)[0]
    assert whole == pytest.approx(inside(OCTANT, normal)[0], abs=1e-9)
    between = X + far * Z
    halves = inside([X, Y, between], normal)[0] + inside([between, Y, Z], normal)[0]
    assert halves == pytest.approx(whole, abs=1e-9)


def test_an_endless_wall_fills_all_of_the_view_before_it_and_half_of_it_beside_it():
    wall = [[-1e6, 1, -1e6], [1e6, 1, -1e6], [1e6, 1, 1e6], [-1e6, 1, 1e6]]
    assert inside(wall, Y, Z, X, -Y, unit([0, 1, 1])) == pytest.approx(
        [1.0, 0.5, 0.5, 0.0, (1.0 + np.sqrt(0.5)) / 2.0], abs=1e-5
    )


def test_a_corner_given_twice_adds_nothing():
    looking = [unit([1, 2, 3]), unit([1, 0, -1]), unit([-1, -1, 1])]
    assert inside([X, Y, Z, Z], *looking) == pytest.approx(inside(OCTANT, *looking), abs=1e-15)


# --- circles ---

ASLANT = unit([0.6, -0.8, 0])


def in_circle(offset, distance, radius, normal, some_way=ASLANT):
    """F of a disc whose front looks along -z at receivers ``distance`` under it and ``offset`` beside its axis."""
    centre = np.array([[-offset, 0.0, distance]])
    found = inside_circle(centre, -Z[None], np.array([radius]), some_way[None], np.asarray(normal)[None])
    return float(found[0])


OFFSETS = [
    (1e-5, 1.0, 0.5),
    (3e-5, 1.3, 0.4),
    (1e-3, 1.0, 0.8),
    (0.3, 1.0, 0.5),
    (2.0, 0.7, 0.9),
    (5.0, 3.0, 0.2),
]


@pytest.mark.parametrize(("offset", "distance", "radius"), OFFSETS)
def test_a_disc_beside_its_axis_is_that_of_the_catalogue(offset, distance, radius):
    # Howell, element to parallel disc (B-13) and to a disc in a plane upright on its own (B-23).
    h, r = distance / offset, radius / offset
    z = 1.0 + h**2 + r**2
    root = np.sqrt(z**2 - 4.0 * r**2)
    parallel = (1.0 - (1.0 + h**2 - r**2) / root) / 2.0
    assert in_circle(offset, distance, radius, Z) == pytest.approx(parallel, rel=1e-6)
    # A tilted receiver that sees the whole disc has its part of both; across the offset there is nothing.
    towards = h * 2.0 * r**2 / (root * (z + root))
    for tilt_deg in (25.0, -8.0):
        tilt = np.radians(tilt_deg)
        looking = [-np.sin(tilt), 0.0, np.cos(tilt)]
        seen = np.cos(tilt) * parallel + np.sin(tilt) * towards
        if distance * np.cos(tilt) + (offset - np.sign(tilt) * radius) * np.sin(tilt) > 0:
            assert in_circle(offset, distance, radius, looking) == pytest.approx(seen, rel=1e-7)
    across = unit([0.0, 0.2, 1.0])
    if distance > 0.2 * radius:
        assert in_circle(offset, distance, radius, across) == pytest.approx(across[2] * parallel, rel=1e-6)


@pytest.mark.parametrize("some_way", [X, Y, unit([1, -2, 0])])
@pytest.mark.parametrize("bearing_deg", [0.0, 70.0, 180.0, 250.0])
def test_on_its_axis_a_receiver_that_looks_sideways_sees_half_a_disc(bearing_deg, some_way):
    # (1 / pi) (atan(R/h) - R h / (h² + R²)): the integral of x h / (h² + x² + y²)² over half of it.
    bearing = np.radians(bearing_deg)
    sideways = np.array([np.cos(bearing), np.sin(bearing), 0.0])
    for radius, distance in ((0.5, 1.0), (2.0, 0.3)):
        half = (np.arctan(radius / distance) - radius * distance / (radius**2 + distance**2)) / np.pi
        assert in_circle(0.0, distance, radius, sideways, some_way=some_way) == pytest.approx(half, rel=1e-9)


@pytest.mark.parametrize("offset", [1e-5, 1e-3, 0.2, 0.35])
def test_a_disc_that_the_horizon_cuts_is_what_is_seen_on_either_side_of_it(offset):
    # What faces opposite ways see of a disc, less each other, is what the whole disc would give either of them.
    for way in (unit([1, 0, 0.1]), unit([-1, 0, 0.1]), unit([0.3, 1, -0.2]), unit([0, 1, 0])):
        seen, behind = in_circle(offset, 1.0, 0.5, way), in_circle(offset, 1.0, 0.5, -way)
        h, r = 1.0 / offset, 0.5 / offset
        z = 1.0 + h**2 + r**2
        root = np.sqrt(z**2 - 4.0 * r**2)
        parallel = (1.0 - (1.0 + h**2 - r**2) / root) / 2.0
        towards = h * 2.0 * r**2 / (root * (z + root))
        assert seen - behind == pytest.approx(way[2] * parallel - way[0] * towards, abs=1e-9)
        assert min(seen, behind) > 0


@pytest.mark.parametrize("offset", [0.0, 0.3, 2.0])
def test_nothing_is_seen_of_a_disc_under_the_horizon(offset):
    assert in_circle(offset, 1.0, 0.5, -Z) == 0.0
    assert in_circle(offset, 1.0, 0.5, unit([0.1, 0.2, -1])) == 0.0


def test_discs_of_all_kinds_at_once_are_each_as_alone():
    centres = np.array([[0, 0, 1.0], [-1e-5, 0, 1.0], [-0.4, 0, 1.0], [-0.4, 0, 1.0], [-0.4, 0, 1.0]])
    looking = np.array([Z, unit([0.5, 0, 1]), X, unit([1, 1, 0.2]), -Z])
    n = len(centres)
    axes, ways, radii = np.tile(-Z, (n, 1)), np.tile(Y, (n, 1)), np.full(n, 0.5)
    together = inside_circle(centres, axes, radii, ways, looking)
    alone = [
        float(inside_circle(centres[i : i + 1], axes[:1], radii[:1], ways[:1], looking[i : i + 1])[0])
        for i in range(n)
    ]
    assert together == pytest.approx(alone, abs=1e-15)
    assert np.count_nonzero(together) == 4


def summed(offset, distance, radius, normal):
    """The definition, on 300 rings of 720 pieces."""
    rings, angles = (np.arange(300) + 0.5) / 300 * radius, (np.arange(720) + 0.5) / 720 * 2 * np.pi
    ring, angle = np.meshgrid(rings, angles)
    rays = np.stack(
        [ring * np.cos(angle) - offset, ring * np.sin(angle), np.full(ring.shape, distance)], axis=-1
    )
    square = (rays**2).sum(axis=-1)
    seen = np.maximum(rays @ normal, 0.0) * distance / square**2
    return float((seen * ring).sum() * (radius / 300) * (2 * np.pi / 720) / np.pi)


CUT = [[1, 0, 0.1], [-1, 0, 0.1], [0.3, 1, -0.2], [0.5, -0.8, 0.1], [-0.5, 0.8, 0.3], [-0.9, -0.5, -0.15]]


@pytest.mark.parametrize("offset", [1e-5, 1e-3, 0.2, 0.6, 1.5])
def test_a_disc_that_the_horizon_cuts_is_the_sum_of_what_lies_above_it(offset):
    for way in CUT:
        normal = unit(way)
        found = in_circle(offset, 1.0, 0.5, normal)
        assert found == pytest.approx(summed(offset, 1.0, 0.5, normal), rel=1e-3, abs=1e-5)


@pytest.mark.parametrize("scale", [1e-4, 0.05, 300.0])
@pytest.mark.parametrize("offset", [0.0, 1e-5, 0.2, 1.5])
def test_size_and_distance_together_change_nothing(scale, offset):
    for way in (*CUT, [0.1, 0.2, 1.0]):
        normal = unit(way)
        found = in_circle(scale * offset, scale, scale * 0.5, normal)
        assert found == pytest.approx(in_circle(offset, 1.0, 0.5, normal), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("way", CUT)
def test_a_hair_beside_the_axis_the_view_changes_as_it_does_a_little_further_out(way):
    # Of a disc that the horizon cuts: the slope over 8 µm is that over 2 mm.
    normal = unit(way)
    near, wide = (
        (in_circle(offset, 1.0, 0.5, normal) - in_circle(-offset, 1.0, 0.5, normal)) / (2.0 * offset)
        for offset in (4e-6, 1e-3)
    )
    assert abs(wide) > 1e-3
    assert near == pytest.approx(wide, rel=1e-3)
