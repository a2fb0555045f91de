"""Wind on modifiers against outside values; air at 1.225 kg/m^3 (ISA)."""

from __future__ import annotations

import pytest

from recipes.rig import wind


@pytest.mark.parametrize(
    ("speed", "pascals"),
    # rho v^2 / 2; ASCE 7 prints 0.613 v^2.
    [(3.3, 6.67), (5.4, 17.86), (7.9, 38.23), (10.7, 70.13), (13.8, 116.64)],
)
def test_dynamic_pressure(speed, pascals):
    assert wind.dynamic_pressure_pa(speed) == pytest.approx(pascals, abs=0.01)


def test_the_constant_of_asce_7():
    assert wind.dynamic_pressure_pa(1.0) == pytest.approx(0.613, abs=0.001)


@pytest.mark.parametrize(
    ("shape", "coefficient"),
    # Aeronautical Engineer's Data Book, fig. 5.13.
    [("square plate", 1.17), ("long plate", 1.98), ("open hemisphere", 1.42), ("open half-cylinder", 2.30)],
)
def test_drag_coefficients(shape, coefficient):
    assert wind.DRAG[shape].coefficient == pytest.approx(coefficient, rel=0.05)


@pytest.mark.parametrize(
    ("area_m2", "drag", "speed", "newtons", "tolerance"),
    # q Cd A.
    [
        (0.9 * 0.9, 1.17, 5.4, 16.93, 0.01),
        (0.9 * 0.9, 1.17, 7.9, 36.23, 0.01),
        (0.9 * 0.9, 1.17, 10.7, 66.46, 0.01),
        (1.2 * 1.8, 1.3, 5.4, 50.15, 0.01),
        (1.2 * 1.8, 1.3, 7.9, 107.34, 0.01),
        (2.44 * 2.44, 1.17, 5.4, 124.4, 0.1),
        (2.44 * 2.44, 1.17, 7.9, 266.3, 0.1),
    ],
)
def test_wind_force(area_m2, drag, speed, newtons, tolerance):
    assert wind.wind_force_n(area_m2, speed, drag) == pytest.approx(newtons, abs=tolerance)


def test_a_gust_of_1_4_times_the_wind_pushes_1_96_times_as_hard():
    # v^2; the factor 1.4 itself is from memory.
    steady = wind.wind_force_n(1.0, 5.0, 1.3)
    assert wind.wind_force_n(1.0, 5.0, 1.3, gust_factor=1.4) == pytest.approx(1.96 * steady, rel=1e-9)


@pytest.mark.parametrize(
    ("safety_factor", "total_kg", "added_kg"), [(1.0, 13.81, 5.81), (1.5, 20.71, 12.71), (2.0, 27.62, 19.62)]
)
def test_ballast_for_a_small_softbox_in_a_gentle_breeze(safety_factor, total_kg, added_kg):
    # Holding moment >= safety factor x wind moment; force at 2.2 m, arm 0.275 m, rig of 8 kg.
    force = wind.wind_force_n(0.9 * 0.9, 5.4, 1.17)
    assert wind.ballast_kg(force, 2.2, 0.275, 8.0, safety_factor) == pytest.approx(added_kg, abs=0.01)
    assert wind.ballast_kg(force, 2.2, 0.275, 0.0, safety_factor) == pytest.approx(total_kg, abs=0.01)


def test_the_wind_that_tips_that_rig_without_ballast():
    tips_at = wind.tipping_wind_m_per_s(8.0, 0.275, 2.2, 0.9 * 0.9, 1.17)
    assert tips_at == pytest.approx(4.11, abs=0.01)
    assert wind.beaufort(tips_at) == 3


@pytest.mark.parametrize(
    ("number", "low", "high"),
    # WMO scale.
    [
        (0, 0.0, 0.2),
        (1, 0.3, 1.5),
        (2, 1.6, 3.3),
        (3, 3.4, 5.4),
        (4, 5.5, 7.9),
        (5, 8.0, 10.7),
        (6, 10.8, 13.8),
        (7, 13.9, 17.1),
        (8, 17.2, 20.7),
    ],
)
def test_beaufort_scale(number, low, high):
    assert (wind.beaufort(low), wind.beaufort(high)) == (number, number)


@pytest.mark.parametrize(("number", "speed"), [(3, 4.34), (4, 6.69), (5, 9.35), (6, 12.29)])
def test_beaufort_formula(number, speed):
    # 0.836 B^1.5: WMO, Met Office; constant from memory. Inside its own band either way.
    assert wind.beaufort_mean_m_per_s(number) == pytest.approx(speed, abs=0.01)
    assert wind.beaufort(speed) == number


def test_a_light_rig_slides_before_it_tips():
    # Coulomb, friction 0.4 from memory: 8 kg hold 31.38 N, less than 36.23 N of wind at 7.9 m/s.
    assert wind.friction_hold_n(8.0, 0.4) == pytest.approx(31.38, abs=0.01)
    assert wind.friction_hold_n(8.0, 0.4) < wind.wind_force_n(0.9 * 0.9, 7.9, 1.17)


def test_the_upper_end_of_the_beaufort_scale():
    # WMO scale, storm to hurricane: from memory.
    assert [wind.beaufort(speed) for speed in (20.8, 24.4, 24.5, 28.4, 28.5, 32.6, 32.7, 60.0)] == [
        9, 9, 10, 10, 11, 11, 12, 12,
    ]  # fmt: skip


def test_house_policy_on_wind():
    # From memory, policy: gust factor 1.4, friction 0.4; overturning factor 1.5 is quoted in secondary texts only.
    assert (wind.USUAL_GUST_FACTOR, wind.USUAL_FRICTION) == (1.4, 0.4)
    assert wind.ballast_kg(100.0, 1.0, 0.275, 0.0) == wind.ballast_kg(100.0, 1.0, 0.275, 0.0, 1.5)
