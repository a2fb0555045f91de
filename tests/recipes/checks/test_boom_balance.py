"""Facts about booms, from statics: 3 kg at 1.40 m on a uniform boom of 2 kg and 2.10 m with its pivot 0.70 m from the
rear take 7.00 kg at 0.70 m behind it; drawn in to 0.7 m, (3 · 0.7 - 2 · 0.35) / 0.7 = 2 kg."""

from __future__ import annotations

import pytest

from recipes.checks.boom_balance import check
from tests.recipes.checks.setups import a_boom, a_prediction, a_setup, a_stand, a_strobe, a_weight


def run(*masses, head=None, **boom):
    weights = tuple(a_weight(mass, f"WE-{number}") for number, mass in enumerate(masses))
    units = {"stand": a_stand(), "boom": a_boom(**boom), "weights": weights}
    return list(check(a_setup(heads=(head or a_strobe(),), units=units), a_prediction()))


@pytest.mark.parametrize(
    ("weights", "status", "limit"),
    [
        ((7.0,), "ok", 7.0),
        ((4.0, 4.0), "ok", 7.0),
        ((6.9995,), "tight", 2.0),
        ((5.0,), "tight", 2.0),
        ((1.0,), "gap", 2.0),
        ((), "gap", 2.0),
    ],
)
def test_the_counterweight_balances_the_head(weights, status, limit):
    _, balance = run(*weights)
    assert (balance.status, balance.limit, balance.value) == (status, pytest.approx(limit), sum(weights))
    assert not balance.estimated
    assert "second rope" in balance.caution


def test_only_where_the_weights_do_not_do_at_its_longest_is_the_boom_told_drawn_in():
    said = {sum(weights): run(*weights)[1].sentence for weights in ((7.0,), (5.0,))}
    assert said == {
        7.0: "BO-1 takes 7.0 kg of counterweight at its longest reach of 1.4 m; 7 kg are assigned.",
        5.0: "BO-1 takes 7.0 kg of counterweight at its longest reach of 1.4 m and 2.0 kg drawn in to 0.7 m; 5 kg are "
        "assigned.",
    }


def test_the_moment_is_told_in_newton_metres():
    # (3 · 1.4 + 2 · 0.35) · 9.80665 = 48.05 N·m.
    _, balance = run(7.0)
    assert balance.workings[0].result == "4.90 kg·m, 48 N·m"


@pytest.mark.parametrize(
    ("limit", "status"), [(6.0, "ok"), (3.35, "ok"), (3.32, "tight"), (3.2, "tight"), (2.5, "gap")]
)
def test_the_head_is_held_to_the_booms_rated_load(limit, status):
    load, _ = run(7.0, max_load_kg=limit)
    assert (load.status, load.value, load.limit) == (status, 3.0, limit)


def test_a_mass_that_nobody_entered_is_unknown():
    (finding,) = run(7.0, head=a_strobe(mass_kg=None), mass_kg=None)
    assert finding.missing == "the mass of ST-1 (Plain strobe), BO-1 (Plain boom)"


def test_without_a_boom_there_is_no_question():
    assert list(check(a_setup(units={"stand": a_stand()}), a_prediction())) == []
