"""What must hold for cables."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.rig import cable
from recipes.rig.place_rules import drop_limits

(OTHER,) = [limit for limit in drop_limits("GB") if limit.use == "other"]
LENGTHS = st.floats(0.0, 200.0)
CURRENTS = st.floats(0.0, 63.0)


@given(LENGTHS, CURRENTS, st.floats(0.5, 30.0), st.floats(-10.0, 90.0))
def test_length_and_current_are_alike(length, current, ohm, temperature):
    once = cable.voltage_drop_v(length, current, ohm, temperature)
    assert cable.voltage_drop_v(2 * length, current, ohm, temperature) == pytest.approx(2 * once)
    assert cable.voltage_drop_v(length, 2 * current, ohm, temperature) == pytest.approx(2 * once)


@given(st.floats(-40.0, 90.0), st.floats(-40.0, 90.0))
def test_the_temperature_factor_there_and_back_is_one(one, other):
    there, back = cable.temperature_factor(one, other), cable.temperature_factor(other, one)
    assert there * back == pytest.approx(1.0)


@pytest.mark.parametrize("section", [0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0])
def test_no_table_value_is_better_than_ideal_copper_and_cords_are_worse_than_house_wiring(section):
    ideal = cable.copper_ohm_per_km(section)
    assert ideal < cable.conductor_ohm_per_km(section, 2) < cable.conductor_ohm_per_km(section, 5)


def test_three_phases_lose_less_than_a_single_one():
    single = cable.voltage_drop_v(50, 16, 7.98)
    assert cable.voltage_drop_v(50, 16, 7.98, phases=3) == pytest.approx(single * np.sqrt(3) / 2)


def test_a_chain_of_cords_adds_up():
    long_one, short_one = cable.CableRun(50.0, 2.5), cable.CableRun(25.0, 1.5)
    chain = cable.drop_margin([long_one, short_one], 13.0, 230.0, OTHER)
    # 12.41 V and 10.34 V hot, against 11.5 V.
    assert chain.drop_v == pytest.approx(22.75, abs=0.02)
    assert chain.drop_fraction == pytest.approx(chain.drop_v / 230.0)
    assert chain.margin_v == pytest.approx(11.5 - chain.drop_v)


def test_wiring_in_the_wall_loses_less_than_a_cord_of_its_section():
    cord, wiring = cable.CableRun(50.0, 2.5), cable.CableRun(50.0, 2.5, conductor_class=2)
    loses = [cable.drop_margin([run], 13.0, 230.0, OTHER).drop_v for run in (cord, wiring)]
    # IEC 60228: 7.98 ohm/km for class 5, 7.41 for class 2.
    assert loses[1] / loses[0] == pytest.approx(7.41 / 7.98)


def test_where_no_temperature_is_stated_the_resistance_is_as_printed():
    # 100 m there and back at 7.98 ohm/km and 16 A.
    assert cable.voltage_drop_v(50.0, 16.0, 7.98) == pytest.approx(12.768)


def test_a_section_that_is_not_made_is_refused_with_those_that_are():
    with pytest.raises(ValueError, match=r"section_mm2 is 2; give one of 0.75, 1, 1.5"):
        cable.conductor_ohm_per_km(2.0)


def test_colder_than_the_straight_line_goes_is_refused():
    with pytest.raises(ValueError, match="temperature_c is too cold"):
        cable.temperature_factor(-250.0)


def test_one_temperature_too_cold_spoils_the_column():
    with pytest.raises(ValueError, match="temperature_c is too cold"):
        cable.temperature_factor(np.array([20.0, -250.0]))
