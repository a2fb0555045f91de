"""Facts about height. The stand goes from 1 to 3 m, the boom 1.4 m out at 45 degrees adds 0.99 m."""

from __future__ import annotations

import pytest

from recipes.checks.stand_height import check
from tests.recipes.checks.setups import a_board, a_boom, a_look, a_plan, a_prediction, a_setup, a_stand


def only(findings):
    (finding,) = findings
    return finding


def at(height_m, **units):
    return only(
        check(a_setup(a_look(a_plan(height_m=height_m)), units={"stand": a_stand(), **units}), a_prediction())
    )


@pytest.mark.parametrize(
    ("height_m", "status", "margin", "limit"),
    [
        (2.0, "ok", 1.0, 3.0),
        # Less than 0.1 m to its top is tight: common practice, no source.
        (2.89, "ok", 0.11, 3.0),
        (2.91, "tight", 0.09, 3.0),
        (2.95, "tight", 0.05, 3.0),
        (3.0, "tight", 0.0, 3.0),
        (1.0, "ok", 0.0, 1.0),
        (3.2, "gap", -0.2, 3.0),
        (0.5, "gap", -0.5, 1.0),
        (1.05, "ok", 0.05, 1.0),
    ],
)
def test_the_height_lies_in_the_range_of_the_stand(height_m, status, margin, limit):
    finding = at(height_m)
    assert (finding.status, finding.margin, finding.limit) == (status, pytest.approx(margin), limit)


def test_a_boom_adds_to_it_and_hangs_as_low_as_one_likes():
    # 3 + 1.4 · sin 45 = 3.990 m. The 45 degrees are house policy, no source.
    assert at(3.8, boom=a_boom()).limit == pytest.approx(3.990, abs=1e-3)
    low = at(0.5, boom=a_boom())
    assert (low.status, low.limit) == ("ok", 0.01)
    assert "goes from 0.01 to 3.99 m" in low.sentence


def test_a_board_is_held_at_its_middle():
    bounce = {"bearing_deg": 200, "distance_m": 1, "height_m": 0.7, "width_m": 1, "height_of_board_m": 1}
    setup = a_setup(a_look(a_plan(bounce=bounce)), units={"board": a_board(), "board_stand": a_stand()})
    finding = only(check(setup, a_prediction()))
    assert (finding.status, finding.value) == ("gap", 0.7)


def test_a_board_without_a_place_in_the_recipe_is_as_high_as_its_light():
    setup = a_setup(units={"board": a_board(), "board_stand": a_stand()})
    assert only(check(setup, a_prediction())).value == 2.0
