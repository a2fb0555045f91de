"""Facts about falling, from statics: a stand tips over the line between two feet, half the foot radius away."""

from __future__ import annotations

import pytest

from recipes.checks.tipping import check
from tests.recipes.checks.setups import a_boom, a_prediction, a_setup, a_stand, a_strobe, a_weight


def only(findings):
    (finding,) = findings
    return finding


def out_on_a_boom(*weights, head_kg=4.0, reach_m=(0.8, 0.8), stand_kg=6.0):
    """The load hangs from a boom without mass; stand on three legs of 0.55 m."""
    units = {
        "stand": a_stand(foot_radius_m=0.55, mass_kg=stand_kg),
        "boom": a_boom(min_reach_m=reach_m[0], max_reach_m=reach_m[1], mass_kg=0.0),
        "weights": tuple(a_weight(mass, f"WE-{number}") for number, mass in enumerate(weights)),
    }
    return only(check(a_setup(heads=(a_strobe(mass_kg=head_kg),), units=units), a_prediction()))


def test_a_leg_under_the_load_holds_what_tips_between_two_legs():
    # Published case: 6 kg centred, 4 kg at 0.8 m, r 0.55 m. Over a leg 1.65 against 0.50 kg·m, between 2.10.
    finding = out_on_a_boom()
    assert finding.status == "tight"
    assert finding.value == pytest.approx(1.65)
    assert finding.limit == pytest.approx(1.5 * 0.50)
    assert finding.remedies[0].sentence == "Put a leg of the stand under the load."
    assert "fall" in finding.caution


def test_what_holds_between_two_legs_holds_anyhow():
    # 40 kg of stand: 11 kg·m against 1.5 · 2.10.
    finding = out_on_a_boom(stand_kg=40.0)
    assert (finding.status, finding.limit) == ("ok", pytest.approx(3.15))
    assert finding.remedies == ()


def test_a_bag_at_the_column_holds_with_its_mass():
    # Nothing balances 4 kg at 0.8 m better than 4.57 kg at 0.7 m behind: the 4 kg go there, 2 kg stay at the column.
    finding = out_on_a_boom(4.0, 2.0)
    assert finding.status == "ok"


def test_a_boom_that_holds_only_drawn_in_is_tight():
    # At 2 m over a leg: 4 · (1.0 - 0.275) = 2.9 kg·m against 1.65. Drawn in to 0.5 m: 4 · 0.25 lies inside.
    finding = out_on_a_boom(reach_m=(0.5, 2.0))
    assert finding.status == "tight"
    assert "at its longest reach of 2 m it lacks 2.70 kg·m" in finding.sentence


def test_a_boom_that_falls_even_drawn_in_is_a_gap_and_the_bag_for_it_is_told():
    # 1.5 · 2.9 - 1.65 = 2.7 kg·m over 0.275 m: 9.82 kg, and 9.8 would leave a gap.
    finding = out_on_a_boom(reach_m=(2.0, 2.0))
    assert (finding.status, finding.margin) == ("gap", pytest.approx(-2.70))
    assert "tips by itself" in finding.sentence
    assert "9.9 kg more of bags" in finding.remedies[0].sentence


def test_a_boom_under_the_rule_that_does_not_fall_is_a_gap_too():
    # At 1.2 m over a leg: 4 · (0.6 - 0.275) = 1.3 against 1.65 kg·m: 1.27 times, the rule is 1.5.
    finding = out_on_a_boom(reach_m=(1.2, 1.2))
    assert finding.status == "gap"
    assert "less to spare than is the rule" in finding.sentence


def test_without_a_boom_the_push_that_tips_it_is_told():
    # Published case: 9 kg, arm 0.275 m, 2.5 m: 9.71 N.
    setup = a_setup(
        heads=(a_strobe(mass_kg=3.0),),
        units={"stand": a_stand(foot_radius_m=0.55, mass_kg=6.0, min_height_m=2.5)},
    )
    finding = only(check(setup, a_prediction()))
    assert (finding.status, finding.unit, finding.value) == ("ok", "N", pytest.approx(9.71, abs=0.01))


def test_bags_make_it_harder_to_push_over():
    # 3 kg of head, 6 of stand, 6 of bags: 15 · 9.80665 · 0.275 / 2.5.
    units = {
        "stand": a_stand(foot_radius_m=0.55, mass_kg=6.0, min_height_m=2.5),
        "weights": (a_weight(6.0),),
    }
    finding = only(check(a_setup(heads=(a_strobe(mass_kg=3.0),), units=units), a_prediction()))
    assert finding.value == pytest.approx(15 * 9.80665 * 0.275 / 2.5)


def test_what_weighs_nothing_is_tipped_by_nothing():
    setup = a_setup(heads=(a_strobe(mass_kg=0.0),), units={"stand": a_stand(mass_kg=0.0)})
    assert only(check(setup, a_prediction())).value == 0.0


@pytest.mark.parametrize(
    ("stand_kg", "status"),
    # Over the line between two of four feet, 0.55 · cos 45° = 0.389 m away, 4 kg at 0.8 m turn with 1.644 kg·m: 1.5
    # times that takes 6.34 kg. Turned by 45° a foot is under the load, and 0.8 · cos 45° − 0.389 = 0.177 m are left.
    [(6.8, "ok"), (6.0, "tight")],
)
def test_a_stand_on_four_feet_falls_between_two_of_them(stand_kg, status):
    units = {
        "stand": a_stand(foot_radius_m=0.55, mass_kg=stand_kg, legs=4),
        "boom": a_boom(min_reach_m=0.8, max_reach_m=0.8, mass_kg=0.0),
    }
    finding = only(check(a_setup(heads=(a_strobe(mass_kg=4.0),), units=units), a_prediction()))
    assert finding.status == status


@pytest.mark.parametrize(
    ("reach_m", "stand_kg", "status"),
    [
        # Over a leg 4 · (1.2 / 2 − 0.275) = 1.3 kg·m, 1.5 times that is 1.95 kg·m or 7.0909 kg at 0.275 m.
        ((1.2, 1.2), 7.091, "tight"),
        ((1.2, 1.2), 7.0890, "gap"),
        # However its legs stand: 4 · (1.2 − 0.275) · 1.5 / 0.275 = 20.1818 kg.
        ((1.2, 1.2), 20.182, "ok"),
        ((1.2, 1.2), 20.180, "tight"),
    ],
)
def test_the_rule_is_kept_to_the_gram(reach_m, stand_kg, status):
    assert out_on_a_boom(reach_m=reach_m, stand_kg=stand_kg).status == status


def test_small_masses_are_in_the_sum_and_small_bags_are_told():
    # 6.9 kg hold 1.8975 of 1.95 kg·m; 0.19 kg at the column make it up.
    finding = out_on_a_boom(reach_m=(1.2, 1.2), stand_kg=6.9)
    assert "0.2 kg more of bags" in finding.remedies[0].sentence
    light = out_on_a_boom(head_kg=0.5)
    assert "0.5 kg" in [working.name for working in light.workings]
    assert "0.0 kg" not in [working.name for working in light.workings]


def test_masses_that_nobody_entered_are_unknown():
    setup = a_setup(units={"stand": a_stand(mass_kg=None), "boom": a_boom(mass_kg=None)})
    finding = only(check(setup, a_prediction()))
    assert finding.missing == "the mass of BO-1 (Plain boom), SD-1 (Plain stand)"


def test_many_small_weights_are_shared_out_all_the_same():
    assert out_on_a_boom(*([0.5] * 20)).value is not None
