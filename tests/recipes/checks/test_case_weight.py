"""Facts about cases: 23 kg are usual by air, 32 kg the most (advice of IATA, as quoted)."""

from __future__ import annotations

import pytest

from recipes.checks.case_weight import check
from tests.recipes.checks.setups import a_case, a_prediction, a_setup, a_unit, packed


def run(*masses, case=None, air=False):
    units = [
        a_unit("board", f"BD-{number}", width_m=1, height_m=1, reflectance=0.8, mass_kg=mass, case_tag="CS-1")
        for number, mass in enumerate(masses)
    ]
    setup = a_setup(packed=packed(case or a_case(), *units), travels_by_air=air)
    return list(check(setup, a_prediction()))


def only(findings):
    (finding,) = findings
    return finding


@pytest.mark.parametrize(
    ("contents", "status", "limit", "margin"),
    # The empty case weighs 6 kg.
    [
        (10.0, "ok", 23.0, 7.0),
        (17.0, "ok", 23.0, 0.0),
        (16.5, "ok", 23.0, 0.5),
        (25.5, "tight", 32.0, 0.5),
        (26.0, "tight", 32.0, 0.0),
        (20.0, "tight", 32.0, 6.0),
        (30.0, "gap", 32.0, -4.0),
    ],
)
def test_by_air_the_whole_piece_counts(contents, status, limit, margin):
    finding = only(run(contents, air=True))
    assert (finding.status, finding.limit, finding.margin) == (status, limit, pytest.approx(margin))


def test_a_heavy_case_hurts_backs():
    assert "backs" in only(run(30.0, air=True)).caution


@pytest.mark.parametrize(
    ("contents", "status", "margin"), [(20.0, "ok", 10.0), (30.0, "ok", 0.0), (31.0, "tight", None)]
)
def test_on_the_road_the_load_of_the_case_counts(contents, status, margin):
    finding = only(run(contents))
    assert (finding.status, finding.value, finding.margin) == (status, contents, margin)


@pytest.mark.parametrize(
    ("air", "sum_of"), [(True, ("empty + contents", "6 + 20 + 3")), (False, ("contents", "20 + 3"))]
)
def test_what_is_added_up_is_told(air, sum_of):
    (told,) = only(run(20.0, 3.0, air=air)).workings
    assert (told.formula, told.numbers) == sum_of


def test_the_heaviest_thing_is_offered_to_travel_elsewhere():
    assert "BD-1 (20 kg)" in only(run(12.0, 20.0)).remedies[0].sentence


def test_a_mass_that_nobody_entered_is_unknown():
    assert only(run(None)).missing == "the mass of BD-0 (Plain board)"
    assert only(run(5.0, case=a_case(mass_kg=None), air=True)).missing == "the mass of CS-1 (Plain case)"


def test_an_empty_case_and_one_without_a_limit_ask_nothing():
    assert run() == []
    assert run(5.0, case=a_case(max_load_kg=None)) == []
