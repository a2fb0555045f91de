"""Facts about the size of cases by air. 158 cm (62 inches) round three sides: common practice, no source."""

from __future__ import annotations

import pytest

from recipes.checks.case_size import check
from recipes.rig.air_travel import size_margin
from tests.recipes.checks.setups import a_case, a_prediction, a_setup, a_unit, packed


def run(*sides, air=True, inside=True):
    names = ("outside_length_m", "outside_width_m", "outside_height_m")
    case = a_case(**dict(zip(names, sides, strict=True))) if sides else a_case()
    board = a_unit("board", "BD-1", width_m=1, height_m=1, reflectance=0.8, case_tag="CS-1" if inside else "")
    return list(check(a_setup(packed=packed(case, board), travels_by_air=air), a_prediction()))


def only(findings):
    (finding,) = findings
    return finding


@pytest.mark.parametrize(
    ("sides", "status", "size", "margin"),
    [
        ((0.78, 0.50, 0.30), "ok", 1.58, 0.0),
        ((0.60, 0.40, 0.30), "ok", 1.30, 0.28),
        ((1.10, 0.40, 0.30), "tight", 1.80, None),
    ],
)
def test_by_air_the_three_sides_are_added(sides, status, size, margin):
    finding = only(run(*sides))
    assert (finding.status, finding.value, finding.limit) == (status, pytest.approx(size), 1.58)
    assert finding.margin == (None if margin is None else pytest.approx(margin))


def test_an_oversize_case_warns_before_the_door_and_says_what_to_do():
    finding = only(run(1.10, 0.40, 0.30))
    assert "1.80 m" in finding.sentence
    assert finding.workings[0].numbers == "1.1 + 0.4 + 0.3"
    assert "oversize" in finding.remedies[0].sentence
    assert "backs" in finding.caution


def test_sides_that_nobody_entered_are_unknown():
    assert only(run()).missing == "the outside length, width and height of CS-1 (Plain case)"


def test_on_the_road_and_empty_no_size_is_asked_for():
    assert run(1.10, 0.40, 0.30, air=False) == []
    assert run(1.10, 0.40, 0.30, inside=False) == []


def test_a_side_of_nothing_is_refused():
    with pytest.raises(ValueError, match="width_m"):
        size_margin(1.0, 0.0, 1.0)
