"""What must hold for circuits and generators."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from recipes.rig.circuits import (
    BREAKER_BANDS,
    Load,
    average_draw_w,
    breaker_at_inrush,
    circuit_margin,
    inrush_let_through_a2s,
    recycling_draw,
    switch_on_order,
)
from recipes.rig.generator import generator_margin, run_time_h, usable_power
from recipes.rig.place_rules import CONTINUOUS_RULES, DROP_LIMITS, OUTLETS, continuous_rule, drop_limits

US = continuous_rule("US")
LOADS = st.lists(
    st.tuples(st.floats(0.0, 3000.0), st.floats(0.0, 3000.0), st.one_of(st.none(), st.floats(0.0, 100.0))),
    max_size=5,
).map(
    lambda rows: [
        Load(f"pack {n}", average, average + more, 0.0, inrush)
        for n, (average, more, inrush) in enumerate(rows, 1)
    ]
)


def test_short_flashing_counts_once_and_long_burning_more():
    flashing = Load("pack", 800.0, 1100.0, hours=1.0)
    burning = Load("panel", 600.0, 600.0, hours=3.0, steady_va=600.0)
    margin = circuit_margin([flashing, burning], 120.0, 20.0, US)
    assert margin.counted_average_va == pytest.approx(800 + 1.25 * 600)
    assert margin.average_margin_va == pytest.approx(850.0)
    assert margin.peak_margin_va == pytest.approx(700.0)
    assert margin.margin_va == pytest.approx(700.0)


@pytest.mark.parametrize(("hours", "counted_va"), [(3.0, 1250.0), (2.9995, 1000.0)])
def test_three_hours_are_continuous_and_two_seconds_less_are_not(hours, counted_va):
    # NEC (NFPA 70) Article 100: "three hours or more".
    panel = Load("panel", 1000.0, 1000.0, hours, steady_va=1000.0)
    margin = circuit_margin([panel], 120.0, 20.0, US)
    assert margin.counted_average_va == pytest.approx(counted_va)


def test_of_a_strobe_only_what_burns_on_counts_more():
    # NEC 210.19(A)(1): what is not continuous, and 125 % of what is. 300 VA of lamp and 500 VA of flashing.
    strobe = Load("strobe", 800.0, 1100.0, hours=3.0, steady_va=300.0)
    margin = circuit_margin([strobe], 120.0, 20.0, US)
    assert margin.counted_average_va == pytest.approx(500 + 1.25 * 300)


def test_what_burns_on_is_a_part_of_the_average():
    with pytest.raises(ValueError, match=r"average_va of strobe is below .* as the average\.$"):
        Load("strobe", 200.0, 1100.0, steady_va=300.0)


def test_a_load_that_nobody_gave_hours_is_not_continuous_under_any_rule():
    pack = Load("pack", 1000.0, 1000.0, steady_va=1000.0)
    margin = circuit_margin([pack], 120.0, 20.0, replace(US, hours=0.5))
    assert margin.counted_average_va == 1000.0


def test_the_rule_that_was_used_comes_with_the_answer():
    assert circuit_margin([], 230.0, 16.0, continuous_rule("de")).rule.standing == "house policy"


@given(LOADS, st.floats(0.0, 2000.0))
def test_another_load_never_widens_the_margin(loads, extra_va):
    before = circuit_margin(loads, 230.0, 16.0, US).margin_va
    after = circuit_margin([*loads, Load("more", extra_va, extra_va)], 230.0, 16.0, US).margin_va
    assert after <= before + 1e-6


@given(LOADS)
def test_no_order_of_switching_on_has_a_lower_highest_moment(loads):
    ours = max((step.total_a for step in switch_on_order(loads, 230.0)), default=0.0)

    def highest(order: tuple[Load, ...]) -> float:
        running, peak = 0.0, 0.0
        for load in order:
            inrush = load.inrush_a if load.inrush_a is not None else load.peak_va / 230.0
            peak = max(peak, running + inrush)
            running += load.average_va / 230.0
        return peak

    assert ours == pytest.approx(min(highest(order) for order in permutations(loads)), abs=1e-9)


@given(st.floats(0.0, 1000.0), st.floats(1.0, 63.0))
def test_a_slower_breaker_type_never_trips_sooner(inrush_a, rated_a):
    order = ["holds", "may trip", "trips"]
    answers = [order.index(breaker_at_inrush(inrush_a, rated_a, kind)) for kind in "BCD"]
    assert answers == sorted(answers, reverse=True)


def test_the_bands_of_breakers_join():
    assert [(band.holds_below, band.trips_from) for band in BREAKER_BANDS.values()] == [
        (3.0, 5.0),
        (5.0, 10.0),
        (10.0, 20.0),
    ]


def test_an_unknown_breaker_is_asked_for_its_letter():
    with pytest.raises(ValueError, match="give B, C or D"):
        breaker_at_inrush(100.0, 16.0, "K")


@given(st.floats(1.0, 3000.0), st.floats(0.1, 20.0), st.floats(0.3, 1.0), st.floats(0.3, 1.0))
def test_a_poorer_power_factor_draws_more_for_the_same_watts(energy_ws, recycle_s, efficiency, factor):
    poor = recycling_draw(energy_ws, recycle_s, efficiency, factor, 230.0)
    good = recycling_draw(energy_ws, recycle_s, efficiency, 1.0, 230.0)
    assert poor.power_w == good.power_w == average_draw_w(energy_ws, recycle_s, efficiency)
    assert poor.current_a >= good.current_a


def test_a_peak_below_the_average_is_refused():
    with pytest.raises(ValueError, match="peak_va of panel is below its average_va; give the larger"):
        Load("panel", 500.0, 400.0)


def test_peaks_are_held_against_the_windings_in_va_and_against_the_engine_in_watts():
    packs = [Load("pack", 350.0, 1200.0, power_factor=0.6), Load("panel", 300.0, 300.0)]
    margin = generator_margin(packs, 2200.0, power_factor=0.8)
    assert margin.va_margin == pytest.approx(0.8 * 2200 - 1500)
    assert margin.w_margin == pytest.approx(0.8 * 1760 - (720 + 300))
    assert margin.carries


@given(st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_the_engine_decides_where_the_load_is_nearer_to_pure_watts_than_the_set_is_rated_for(load_pf, set_pf):
    assume(abs(load_pf - set_pf) > 1e-6)
    margin = generator_margin([Load("pack", 1000.0, 1000.0, power_factor=load_pf)], 2200.0, set_pf)
    assert margin.engine_decides == (load_pf > set_pf)


@pytest.mark.parametrize(
    ("peak_va", "power_factor"),
    # Of 2200 VA, 1760 of the windings and 1408 of the engine may be used.
    [pytest.param(1800.0, 0.6, id="windings"), pytest.param(1500.0, 1.0, id="engine")],
)
def test_a_generator_may_fail_on_either_limit(peak_va, power_factor):
    load = Load("pack", 100.0, peak_va, power_factor=power_factor)
    assert not generator_margin([load], 2200.0).carries


def test_a_generator_loaded_just_to_its_limits_carries():
    # 80 % of 1000 VA and of the 800 W behind them.
    assert generator_margin([Load("pack", 640.0, 800.0, power_factor=0.8)], 1000.0, power_factor=0.8).carries


@pytest.mark.parametrize(("peak_va", "power_factor"), [(800.0005, 0.7), (640.0005, 1.0)])
def test_the_least_beyond_a_limit_of_the_generator_is_beyond_it(peak_va, power_factor):
    assert not generator_margin([Load("pack", 0.0, peak_va, power_factor=power_factor)], 1000.0, 0.8).carries


def test_thin_air_takes_its_part():
    assert usable_power(1000.0, 0.8, 0.1) == pytest.approx(720.0)


def test_thin_air_takes_its_part_of_the_windings_and_of_the_engine():
    thin = generator_margin([], 1000.0, power_factor=0.8, derating=0.1)
    assert (thin.usable_va, thin.usable_w) == pytest.approx((720.0, 576.0))


def test_hours_on_a_tank():
    assert run_time_h(4.0, 0.8) == pytest.approx(5.0)


def test_every_dated_row_says_where_it_comes_from():
    rows = (*CONTINUOUS_RULES, *DROP_LIMITS, continuous_rule("XX"), *drop_limits("XX"))
    assert all(row.source and row.edition for row in rows)
    assert all(outlet.source for outlet in OUTLETS)


def test_elsewhere_the_drop_limits_are_house_policy():
    assert {limit.standing for limit in drop_limits("fr")} == {"house policy"}
    # Policy: the two figures of BS 7671.
    assert [(limit.use, limit.fraction) for limit in drop_limits("fr")] == [
        ("lighting", 0.03),
        ("other", 0.05),
    ]
    assert {limit.country for limit in drop_limits(" gb ")} == {"GB"}


@given(st.floats(1e-5, 1e-2), st.floats(100.0, 400.0), st.floats(0.1, 5.0))
def test_the_inrush_pulse_burns_as_much_as_the_capacitor_takes_up(capacitance_f, crest_v, loop_ohm):
    # Half of what charges a capacitor through a resistor stays in the resistor: R times the integral is C U^2 / 2.
    let_through = inrush_let_through_a2s(capacitance_f, crest_v, loop_ohm)
    assert let_through * loop_ohm == pytest.approx(capacitance_f * crest_v**2 / 2)


@pytest.mark.parametrize(
    ("times", "answer"), [(3.0, "holds"), (3.0005, "may trip"), (4.9995, "may trip"), (5.0, "trips")]
)
def test_at_the_ends_of_its_band_a_breaker_is_certain(times, answer):
    # IEC 60898-1 tests type B at 3 and at 5 times its rating: it must hold, and it must trip.
    assert breaker_at_inrush(times * 16.0, 16.0, "B") == answer


def test_an_outlet_gives_the_amperes_in_its_name():
    named = [(re.search(r"(\d+(?:\.\d+)?) A\b", outlet.name), outlet) for outlet in OUTLETS]
    assert len([found for found, _ in named if found]) >= 2
    for found, outlet in named:
        assert found is None or float(found[1]) == outlet.rated_a, outlet.name
