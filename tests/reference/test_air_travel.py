"""Lithium batteries as baggage.

Source: IATA, Passengers travelling with lithium batteries (2018 leaflet); IATA DGR table 2.3.A; ICAO Technical
Instructions Part 8; US 49 CFR 175.10(a)(18). Piece weights: IATA advice to passengers as quoted in the press.
"""

from __future__ import annotations

import pytest

from recipes.rig import air_travel, battery


@pytest.mark.parametrize(
    ("rating_wh", "verdict"),
    # "Not exceeding": the limits are inclusive.
    [
        (100.0, "allowed"),
        (100.0005, "operator approval"),
        (160.0, "operator approval"),
        (160.0005, "refused"),
    ],
)
@pytest.mark.parametrize("spare", [True, False])
def test_the_limits_are_inclusive(rating_wh, verdict, spare):
    assert air_travel.carriage(rating_wh, spare).verdict == verdict


def test_a_battery_of_11_1_volts_and_9_ampere_hours_is_under_100_watt_hours():
    assert air_travel.carriage(battery.rated_wh(11.1, 9.0), spare=True).verdict == "allowed"


def test_floating_point_dust_does_not_push_a_battery_over_the_limit():
    just_over = 100.00000000000001
    assert just_over > 100
    assert air_travel.carriage(just_over, spare=True).verdict == "allowed"


@pytest.mark.parametrize("rating_wh", [50.0, 130.0])
def test_spares_go_in_the_cabin_only(rating_wh):
    answer = air_travel.carriage(rating_wh, spare=True)
    assert (answer.cabin, answer.hold) == (True, False)


@pytest.mark.parametrize("rating_wh", [50.0, 130.0])
def test_equipment_may_go_in_the_hold(rating_wh):
    answer = air_travel.carriage(rating_wh, spare=False)
    assert (answer.cabin, answer.hold) == (True, True)


@pytest.mark.parametrize(
    ("rating_wh", "spare", "most"),
    [(100.0, False, 15), (100.0, True, 20), (160.0, True, 2), (160.0, False, None)],
)
def test_how_many_a_person_may_carry(rating_wh, spare, most):
    rule = air_travel.carriage(rating_wh, spare).rule
    assert rule is not None
    assert rule.most_per_person == most


def test_over_160_watt_hours_is_cargo():
    answer = air_travel.carriage(180.0, spare=False)
    assert (answer.verdict, answer.cabin, answer.hold) == ("refused", False, False)
    assert "cargo" in answer.sentence


def test_a_power_bank_is_not_among_the_twenty_spares():
    # ICAO Doc 9284, 2025-2026 edition, addendum 1, applicable from 27 March 2026, as quoted by a training firm: "no
    # more than two power banks may be carried per person", "must not be recharged while on board the aircraft".
    spare = air_travel.carriage(99.0, spare=True)
    assert "power banks are counted apart: two a person, not to be recharged" in spare.sentence
    assert "27 March 2026" in spare.rule.edition


def test_every_rule_says_its_edition_and_source():
    assert all("IATA" in rule.source and rule.edition for rule in air_travel.LITHIUM_RULES)


def test_a_piece_weighs_23_or_at_most_32_kilograms():
    # IATA advice to passengers: 23 kg (50 lb); over 32 kg (70 lb) is not accepted.
    assert [limit.limit_kg for limit in air_travel.CASE_LIMITS] == [23.0, 32.0]
