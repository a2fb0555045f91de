"""What must hold for the batteries and cases of a trip."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.rig import air_travel
from recipes.rig.air_travel import CarriedBattery

HARDEST = ["allowed", "operator approval", "refused"]


def spares(*ratings_wh: float) -> list[CarriedBattery]:
    return [CarriedBattery(f"B-{number}", rating, spare=True) for number, rating in enumerate(ratings_wh, 1)]


@given(st.floats(0.1, 500.0), st.floats(0.1, 500.0), st.booleans())
def test_a_larger_battery_never_travels_more_easily(one, other, spare):
    small, large = sorted((one, other))
    easy, hard = (air_travel.carriage(rating, spare).verdict for rating in (small, large))
    assert HARDEST.index(easy) <= HARDEST.index(hard)


@given(st.floats(0.1, 500.0))
def test_a_spare_never_goes_in_the_hold(rating_wh):
    assert not air_travel.carriage(rating_wh, spare=True).hold


def test_lithium_iron_phosphate_is_lithium_too():
    assert air_travel.carriage(150.0, True, "lithium-iron-phosphate").verdict == "operator approval"


@pytest.mark.parametrize("chemistry", ["nickel-metal-hydride", "lead-acid"])
def test_other_chemistries_are_not_covered_rather_than_allowed(chemistry):
    answer = air_travel.carriage(50.0, True, chemistry)
    assert (answer.verdict, answer.cabin, answer.hold) == ("not covered", False, False)
    assert "ask the operator" in answer.sentence


def test_three_large_spares_are_one_too_many_for_one_traveller_but_not_for_two():
    (_, alone) = air_travel.count_margins(spares(130.0, 130.0, 130.0), travellers=1)
    (_, together) = air_travel.count_margins(spares(130.0, 130.0, 130.0), travellers=2)
    assert (alone.margin, together.margin) == (-1, 1)


def test_large_spares_count_among_the_twenty_of_any_size():
    (small, large) = air_travel.count_margins(spares(*[50.0] * 19, 130.0, 130.0), travellers=1)
    assert (len(small.tags), small.margin, small.larger) == (21, -1, ("B-20", "B-21"))
    assert (small.name, large.name) == ("of any size, spare", "over 100 to 160 Wh, spare")
    assert (large.tags, large.margin) == (("B-20", "B-21"), 0)


def test_where_no_number_is_stated_none_is_made_up():
    (margin,) = air_travel.count_margins([CarriedBattery("B-1", 150.0, spare=False)], travellers=1)
    assert margin.margin is None


def test_what_may_not_travel_counts_under_no_rule():
    refused = [CarriedBattery("B-1", 200.0, True), CarriedBattery("B-2", 50.0, True, "lead-acid")]
    assert air_travel.count_margins(refused, travellers=1) == ()


def test_nobody_travels_alone_with_no_one():
    with pytest.raises(ValueError, match="travellers is 0"):
        air_travel.count_margins([], travellers=0)


@pytest.mark.parametrize(
    ("contents_kg", "margin_kg"), [((10.0, 8.0), 0.5), ((10.0, 8.5), 0.0), ((10.0, 9.0), -0.5)]
)
def test_a_case_weighs_itself_too(contents_kg, margin_kg):
    assert air_travel.case_margin(4.5, contents_kg, 23.0).margin_kg == pytest.approx(margin_kg)


def test_one_thing_in_the_case_whose_mass_is_no_number_is_refused():
    with pytest.raises(ValueError, match="contents_kg is nan"):
        air_travel.case_margin(4.5, (10.0, float("nan")), 23.0)
