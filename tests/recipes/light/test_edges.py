"""Facts about the lines of a plan along which light breaks off, worked by hand with similar triangles."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from recipes.light.edges import feet, marked, shadow_lines
from recipes.light.geometry import disc, rectangle
from recipes.light.refining import Plan

DOWN = (0, 0, -1)
FORWARD = (0, 1, 0)


def ends_of(lines):
    """Each line as its two ends, rounded, whichever comes first; sorted."""
    return sorted(sorted((tuple(np.round(end, 6).tolist())) for end in line) for line in lines)


def square_of(half, x=0.0, y=0.0):
    corners = [(x + a * half, y + b * half) for a, b in ((-1, -1), (-1, 1), (1, 1), (1, -1))]
    return sorted(sorted([corners[row], corners[row - 1]]) for row in range(4))


@pytest.mark.parametrize(
    ("lamp_m", "flag_m", "level_m", "half"),
    [(3.0, 2.0, 1.0, 1.0), (3.0, 1.0, 0.0, 0.75), (0.0, 1.0, 2.0, 1.0), (1.0, 1.5, 2.25, 1.25)],
)
def test_a_level_square_casts_a_square_as_much_larger_as_it_is_nearer_to_the_lamp(
    lamp_m, flag_m, level_m, half
):
    lines = shadow_lines(np.array([[0.0, 0, lamp_m]]), [rectangle([0, 0, flag_m], DOWN, 1, 1)], level_m)
    assert ends_of(lines) == square_of(half)


def test_a_shadow_leans_away_from_the_lamp():
    # The lamp stands 2 m aside of the flag's middle and as far over it as that is over the floor.
    lines = shadow_lines(np.array([[2.0, 1, 4]]), [rectangle([0, 0, 2], DOWN, 1, 1)], 0.0)
    assert ends_of(lines) == square_of(1.0, x=-2.0, y=-1.0)


@pytest.mark.parametrize("flag_m", [0.5, 3.0, 3.5])
def test_what_lies_beyond_the_level_or_over_the_lamp_casts_nothing_there(flag_m):
    lines = shadow_lines(np.array([[0.0, 0, 3]]), [rectangle([0, 0, flag_m], DOWN, 1, 1)], 1.0)
    assert len(lines) == (4 if flag_m < 1 else 0)


def test_a_wall_higher_than_the_lamp_throws_its_shadow_out_to_the_horizon():
    # From 1 to 5 m high, a metre behind a lamp at 3 m; on the floor 3 / 2 as far.
    wall = rectangle([0, -1, 3], FORWARD, 1, 4)
    lines = shadow_lines(np.array([[0.0, 0, 3]]), [wall], 0.0)
    foot = [line for line in lines if np.ptp(line[:, 1]) < 1e-9]
    sides = [line[np.argsort(-line[:, 1])] for line in lines if np.ptp(line[:, 1]) > 1]
    assert ends_of(foot) == [[(-0.75, -1.5), (0.75, -1.5)]]
    assert sorted(tuple(side[0].round(6)) for side in sides) == [(-0.75, -1.5), (0.75, -1.5)]
    for side in sides:
        assert side[1, 1] < -500
        assert abs(side[1, 0] / side[1, 1]) == pytest.approx(0.5)


def test_every_lamp_casts_every_thing():
    lamps = np.array([[0.0, 0, 3], [1, 0, 3]])
    flags = [rectangle([0, 0, 2], DOWN, 1, 1), disc([0, 0, 2], DOWN, 1)]
    assert shadow_lines(lamps, flags, 1.0).shape == (16, 2, 2)
    assert shadow_lines(lamps, [], 1.0).shape == (0, 2, 2)


def test_a_standing_board_meets_the_level_along_its_width():
    board = rectangle([1, 2, 1], FORWARD, 0.8, 2)
    assert ends_of(feet([board], 1.5)) == [[(0.6, 2.0), (1.4, 2.0)]]
    assert ends_of(feet([rectangle([0, 0, 3], FORWARD, 1, 1), board], 1.5)) == [[(0.6, 2.0), (1.4, 2.0)]]
    assert feet([], 1.5).shape == (0, 2, 2)


@pytest.mark.parametrize(("level", "ends"), [(0.0, 0), (2.0, 2)])
def test_a_board_that_begins_or_ends_at_the_level_itself_has_no_half_feet(level, ends):
    lines = feet([rectangle([1, 2, 1], FORWARD, 0.8, 2)], level)
    assert lines.shape == (ends // 2, 2, 2)
    assert np.isfinite(lines).all()


def test_a_leaning_board_meets_each_level_at_another_place():
    # It leans back by 45 degrees; its middle is at 1 m over y = 2.
    board = rectangle([0, 2, 1], (0, 1, 1), 0.8, 2)
    for level in (0.5, 1.0, 1.4):
        assert ends_of(feet([board], level)) == [[(-0.4, 3 - level), (0.4, 3 - level)]]


X_M, Y_M = np.linspace(-1.0, 2.0, 16), np.linspace(0.0, 2.0, 6)
PLACES = st.tuples(*[st.integers(-60, 80).map(lambda step: 0.05 * step + 0.013)] * 2)


def nearest_in_steps(start, end):
    """How far each point of the plan is from the part of a line over it, in steps of the plan, by many points."""
    way = np.linspace(0, 1, 4001)[:, None] * (np.array(end) - start) + start
    way = way[(way[:, 0] >= -1) & (way[:, 0] <= 2) & (way[:, 1] >= 0) & (way[:, 1] <= 2)]
    if not len(way):
        return np.full((6, 16), np.inf)
    away_x = np.abs(X_M[None, :, None] - way[:, 0]) / 0.2
    away_y = np.abs(Y_M[:, None, None] - way[:, 1]) / 0.4
    return np.maximum(away_x, away_y).min(axis=2)


@example((1.5, 0.5), (2.5, 1.5))
@given(PLACES, PLACES)
@settings(max_examples=60, deadline=None)
def test_points_near_a_line_are_marked_and_no_others(start, end):
    found = marked(Plan(X_M, Y_M), np.array([[start, end]]))
    away = nearest_in_steps(start, end)
    assert found[away < 0.74].all()
    assert not found[away > 1.01].any()


@pytest.mark.parametrize(
    ("line", "count"),
    [
        ([(-1.0, 0.5), (2.0, 0.5)], 32),
        ([(0.1, -5.0), (0.1, 9.0)], 12),
        ([(-9.0, 0.5), (-2.0, 0.5)], 0),
        ([(0.5, 2.5), (0.5, 9.0)], 0),
        ([(-0.55, 0.5), (-0.55, 0.5)], 4),
    ],
)
def test_lines_along_the_plan_beside_it_and_of_no_length(line, count):
    assert int(marked(Plan(X_M, Y_M), np.array([line])).sum()) == count


def test_a_line_that_misses_the_plan_does_not_hide_the_next():
    lines = np.array([[(-9.0, 0.5), (-2.0, 0.5)], [(-1.0, 0.5), (2.0, 0.5)]])
    assert marked(Plan(X_M, Y_M), lines).sum() == 32
