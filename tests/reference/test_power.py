"""Circuits, cables and generators against outside values."""

from __future__ import annotations

import pytest

from recipes.rig import cable, circuits, generator, place_rules

EXACT = 1e-9


def test_a_continuous_load_is_one_of_three_hours():
    # NEC (NFPA 70) Article 100.
    assert place_rules.continuous_rule("US").hours == 3.0


def test_10_amperes_continuous_and_5_others_need_17_5():
    # NEC 210.19(A)(1), 210.20(A): 125 % of the continuous load plus the rest; then a 20 A circuit.
    factor = place_rules.continuous_rule("US").factor
    assert circuits.required_rating_a(10, 5, factor) == pytest.approx(17.5, rel=EXACT)


@pytest.mark.parametrize(("rated_a", "amperes", "va"), [(15, 12, 1440), (20, 16, 1920)])
def test_a_us_circuit_carries_80_percent_continuously(rated_a, amperes, va):
    # The inverse of 1.25, at 120 V.
    part = place_rules.continuous_rule("US").share_of_rating
    assert rated_a * part == pytest.approx(amperes, rel=EXACT)
    assert rated_a * part * 120 == pytest.approx(va, rel=EXACT)


def test_the_80_percent_rule_is_code_in_the_us_and_policy_elsewhere():
    assert place_rules.continuous_rule("US").standing == "code"
    assert place_rules.continuous_rule("DE").standing == "house policy"


@pytest.mark.parametrize(
    ("country", "rated_a", "va", "continuous_va"),
    # Nominal voltage x rated current; BS 1363 for the fused 13 A plug, the others from memory.
    [
        ("EU", 16.0, 3680, 2944),
        ("GB", 13.0, 2990, 2392),
        ("CH", 10.0, 2300, 1840),
        ("JP", 15.0, 1500, 1200),
        ("US", 15.0, 1800, 1440),
        ("US", 20.0, 2400, 1920),
        ("", 32.0, 7360, 5888),
    ],
)
def test_usual_outlets(country, rated_a, va, continuous_va):
    (outlet,) = [one for one in place_rules.OUTLETS if (one.country, one.rated_a) == (country, rated_a)]
    assert outlet.rated_va == pytest.approx(va, rel=EXACT)
    part = place_rules.continuous_rule(country).share_of_rating
    assert outlet.rated_va * part == pytest.approx(continuous_va, rel=EXACT)


def test_three_phases_of_32_amperes_at_400_volts():
    # sqrt(3) U I.
    assert circuits.three_phase_va(400, 32) / 1000 == pytest.approx(22.17, abs=0.01)
    assert pytest.approx(circuits.three_phase_va(400, 32) / 3000, rel=0.005) == 230 * 32 / 1000


@pytest.mark.parametrize(
    ("power_factor", "voltage_v", "va", "amperes"),
    # P = E / (t eta), S = P / PF: 1200 J in 2 s at 85 %.
    [
        (0.60, 230, 1176.5, 5.12),
        (0.95, 230, 743.0, 3.23),
        (0.60, 120, 1176.5, 9.80),
        (0.95, 120, 743.0, 6.19),
    ],
)
def test_draw_of_a_pack_while_it_recycles(power_factor, voltage_v, va, amperes):
    draw = circuits.recycling_draw(1200, 2.0, 0.85, power_factor, voltage_v)
    assert draw.power_w == pytest.approx(705.9, abs=0.05)
    assert draw.apparent_va == pytest.approx(va, abs=0.05)
    assert draw.current_a == pytest.approx(amperes, abs=0.01)


def test_average_draw_of_a_pack_that_flashes_every_four_seconds():
    assert circuits.average_draw_w(1200, 4.0, 0.85) == pytest.approx(352.9, abs=0.1)


@pytest.mark.parametrize(("breaker", "low", "high"), [("B", 3, 5), ("C", 5, 10), ("D", 10, 20)])
def test_instantaneous_bands_of_breakers(breaker, low, high):
    # IEC 60898-1.
    assert circuits.breaker_at_inrush(16 * low * 0.999, 16, breaker) == "holds"
    assert circuits.breaker_at_inrush(16 * (low + high) / 2, 16, breaker) == "may trip"
    assert circuits.breaker_at_inrush(16 * high * 1.001, 16, breaker) == "trips"


def test_conventional_thermal_band_of_breakers():
    # IEC 60898-1.
    assert circuits.THERMAL_BAND == (1.13, 1.45)


def test_inrush_into_1000_microfarads():
    # RC circuit at a crest of 325 V.
    assert circuits.inrush_peak_a(325, 0.5) == pytest.approx(650, rel=0.01)
    assert circuits.inrush_peak_a(325, 0.5, 10.0) == pytest.approx(31.0, rel=0.01)
    assert circuits.inrush_let_through_a2s(1000e-6, 325, 0.5) == pytest.approx(105.6, rel=0.01)


@pytest.mark.parametrize(("rated_va", "watts"), [(2200, 1760), (6500, 5200)])
def test_power_of_a_generator_at_power_factor_0_8(rated_va, watts):
    assert generator.real_power_w(rated_va, 0.8) == pytest.approx(watts, rel=EXACT)


def test_a_generator_is_loaded_to_four_fifths():
    # Common practice, from memory, no source.
    assert generator.usable_power(2000) == pytest.approx(1600, rel=EXACT)


@pytest.mark.parametrize(
    ("section_mm2", "fixed", "flexible"),
    # IEC 60228, maximum resistance at 20 degrees; three published tables agree.
    [
        (0.75, 24.5, 26.0),
        (1.0, 18.1, 19.5),
        (1.5, 12.1, 13.3),
        (2.5, 7.41, 7.98),
        (4.0, 4.61, 4.95),
        (6.0, 3.08, 3.30),
        (10.0, 1.83, 1.91),
    ],
)
def test_resistance_of_copper_conductors(section_mm2, fixed, flexible):
    assert cable.conductor_ohm_per_km(section_mm2, 1) == fixed
    assert cable.conductor_ohm_per_km(section_mm2, 2) == fixed
    assert cable.conductor_ohm_per_km(section_mm2, 5) == flexible


@pytest.mark.parametrize(
    ("gauge", "solid", "stranded"),
    # NEC (NFPA 70) chapter 9 table 8, at 75 degrees.
    [(14, 3.07, 3.14), (12, 1.93, 1.98), (10, 1.21, 1.24)],
)
def test_resistance_of_american_gauges(gauge, solid, stranded):
    assert cable.AWG_OHM_PER_KFT_75C[gauge] == (solid, stranded)


@pytest.mark.parametrize(
    ("gauge", "section_mm2", "ohm_per_km_20c", "ohm_per_kft_75c"),
    # ASTM B258 for the diameter, IACS for copper.
    [(12, 3.3088, 5.211, 1.932), (14, 2.0809, 8.285, 3.071)],
)
def test_american_gauges_from_their_geometry(gauge, section_mm2, ohm_per_km_20c, ohm_per_kft_75c):
    section = cable.awg_section_mm2(gauge)
    assert section == pytest.approx(section_mm2, rel=0.001)
    assert cable.copper_ohm_per_km(section) == pytest.approx(ohm_per_km_20c, rel=0.001)
    hot = cable.copper_ohm_per_km(section, 75.0)
    assert hot == pytest.approx(cable.ohm_per_km_from_kft(ohm_per_kft_75c), rel=0.001)


def test_annealed_copper_at_20_degrees():
    # IEC 60028: a wire of 1 m and 1 mm² has 1/58 ohm.
    assert cable.copper_ohm_per_km(1.0) == pytest.approx(1000 / 58, rel=1e-4)


def test_copper_has_a_fifth_more_resistance_at_70_degrees():
    # alpha 0.00393 /K: IEC 60028.
    assert cable.temperature_factor(70.0) == pytest.approx(1.1965, abs=1e-4)


@pytest.mark.parametrize(("section_mm2", "computed", "printed"), [(1.5, 28.96, 29), (2.5, 17.73, 18)])
def test_hot_copper_agrees_with_the_printed_table(section_mm2, computed, printed):
    # BS 7671 Appendix 4 prints 29 and 18 mV/A/m.
    loop = 2 * cable.conductor_ohm_per_km(section_mm2, 2) * cable.temperature_factor(70.0)
    assert loop == pytest.approx(computed, abs=0.01)
    assert round(loop) == printed


@pytest.mark.parametrize(
    ("length_m", "section_mm2", "temperature_c", "volts", "percent"),
    # 2 L R I at 13 A, class 5 of IEC 60228, on 230 V.
    [
        (50, 2.5, 20, 10.37, 4.51),
        (50, 2.5, 70, 12.41, 5.40),
        (25, 1.5, 20, 8.65, 3.76),
        (25, 1.5, 70, 10.34, 4.50),
    ],
)
def test_voltage_drop_of_an_extension_cord(length_m, section_mm2, temperature_c, volts, percent):
    drop = cable.voltage_drop_v(length_m, 13, cable.conductor_ohm_per_km(section_mm2, 5), temperature_c)
    assert drop == pytest.approx(volts, abs=0.01)
    assert drop / 230 * 100 == pytest.approx(percent, abs=0.01)


@pytest.mark.parametrize(
    ("length_m", "current_a", "millivolts", "volts"),
    # BS 7671 Appendix 4; the last two are published worked examples (4 mm2: 11, 1.5 mm2: 29 mV/A/m).
    [(50, 13, 29, 18.85), (50, 13, 18, 11.70), (20, 30, 11, 6.6), (10, 16, 29, 4.64)],
)
def test_voltage_drop_by_the_table_method(length_m, current_a, millivolts, volts):
    assert cable.table_drop_v(length_m, current_a, millivolts) == pytest.approx(volts, rel=EXACT)


@pytest.mark.parametrize(("gauge", "volts", "percent"), [(12, 4.752, 3.96), (14, 7.536, 6.28)])
def test_voltage_drop_at_120_volts(gauge, volts, percent):
    # 100 ft at 12 A, stranded, 75 degrees: NEC chapter 9 table 8.
    per_km = cable.ohm_per_km_from_kft(cable.AWG_OHM_PER_KFT_75C[gauge][1])
    drop = cable.voltage_drop_v(100 * 0.3048, 12, per_km, 75.0, reference_c=75.0)
    assert drop == pytest.approx(volts, abs=0.001)
    assert drop / 120 * 100 == pytest.approx(percent, abs=0.01)


@pytest.mark.parametrize(
    ("country", "use", "fraction", "standing"),
    # BS 7671 Appendix 4, Table 4Ab, which is informative; reg. 525 sets no figure.
    # NEC 210.19(A) informational note 4, not enforceable.
    [
        ("GB", "lighting", 0.03, "guidance"),
        ("GB", "other", 0.05, "guidance"),
        ("US", "branch", 0.03, "recommended"),
        ("US", "total", 0.05, "recommended"),
    ],
)
def test_limits_of_voltage_drop(country, use, fraction, standing):
    (limit,) = [one for one in place_rules.drop_limits(country) if one.use == use]
    assert (limit.fraction, limit.standing) == (fraction, standing)


@pytest.mark.parametrize(("use", "volts"), [("lighting", 6.9), ("other", 11.5)])
def test_the_british_limits_in_volts(use, volts):
    (limit,) = [one for one in place_rules.drop_limits("GB") if one.use == use]
    assert cable.drop_margin([], 0.0, 230.0, limit).limit_v == pytest.approx(volts, rel=EXACT)
