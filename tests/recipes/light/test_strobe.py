"""Facts about what a strobe gives at a setting, how long it burns and of what colour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import guide_number as gn
from recipes.light.apex import MeterProfile
from recipes.light.emission import beam
from recipes.light.geometry import disc, rectangle
from recipes.light.scene import PointEmitter, Source
from recipes.light.strobe import (
    NOMINAL_SCALE_SPREAD_STOPS,
    OutputCurve,
    SettingGrid,
    SettingOutOfTable,
    Strobe,
    flux_of_reading_lms,
    strobe_from_energy,
    strobe_from_readings,
)
from recipes.light.strobe_tables import colour_at, t01_at
from tests.recipes.light.scenes import AHEAD

METER = MeterProfile()
TENTHS = SettingGrid.of(-6.0, "1/10")
THIRDS = SettingGrid.of(-7.0, "1/3")


@dataclass(frozen=True)
class Reading:
    setting_stops: float
    f_number_iso100: float
    distance_m: float = 1.0


@dataclass(frozen=True)
class Line:
    setting_stops: float
    t01_s: float | None = None
    t05_s: float | None = None
    cct_k: float = 5600.0
    duv: float = 0.0


METERED = (Reading(0, 32.0), Reading(-1, 22.5), Reading(-3, 11.6), Reading(-6, 4.4))


def metered(**changes) -> Strobe:
    return strobe_from_readings(METERED, TENTHS, METER, **changes)


settings_in_range = st.floats(-6, 0)


@pytest.mark.parametrize("reading", METERED)
def test_at_a_metered_setting_it_gives_what_was_metered(reading):
    bulb = Source(
        "bulb", "flash", PointEmitter(np.zeros(3), AHEAD), metered().flux_lms(reading.setting_stops)
    )
    assert METER.flash_f_number(float(bulb.light_at(AHEAD, -AHEAD))) == pytest.approx(reading.f_number_iso100)


@given(settings_in_range, settings_in_range)
def test_more_setting_is_more_light(first, second):
    low, high = sorted([first, second])
    if high - low > 1e-6:
        assert metered().flux_lms(low) < metered().flux_lms(high)


@given(settings_in_range)
def test_a_setting_comes_back_from_its_output(setting):
    assert metered().setting_for(metered().output_stops(setting)) == pytest.approx(setting, abs=1e-6)


@given(st.lists(st.floats(0.05, 2.0), min_size=1, max_size=6), st.data())
def test_between_readings_it_never_overshoots(rises, data):
    settings = [float(-n) for n in range(len(rises), -1, -1)]
    outputs = [0.0, *np.cumsum(rises).tolist()]
    curve = OutputCurve(tuple(settings), tuple(outputs))
    place = data.draw(st.integers(0, len(rises) - 1))
    between = curve.at(settings[place] + data.draw(st.floats(0, 1)))
    assert outputs[place] - 1e-9 <= between <= outputs[place + 1] + 1e-9


def test_full_power_is_the_zero_of_outputs():
    assert metered().output_stops(0.0) == 0.0
    assert metered().setting_for(0.0) == pytest.approx(0.0, abs=1e-9)


def test_both_ends_of_the_readings_are_inside():
    curve = metered().curve
    for setting, output in zip(
        curve.settings_stops[:: len(METERED) - 1], curve.output_stops[::3], strict=True
    ):
        assert curve.setting_for(output) == setting
        assert curve.at(setting) == pytest.approx(output)


def test_what_is_too_much_or_too_little_is_told_a_stop_a_stop():
    strobe = metered()
    assert strobe.setting_for(0.8) == pytest.approx(0.8)
    assert strobe.setting_for(strobe.output_stops(-6) - 0.5) == pytest.approx(-6.5)


def test_beyond_the_readings_nobody_knows():
    few = strobe_from_readings(METERED[1:3], TENTHS, METER)
    assert few.flux_lms(-2) > 0
    for ask in (lambda: few.flux_lms(0.0), lambda: few.flux_lms(-4), lambda: few.curve.setting_for(99.0)):
        with pytest.raises(SettingOutOfTable, match=r"beyond the readings.*meter the head there"):
            ask()


def test_a_setting_the_head_does_not_have_is_refused():
    for setting in (0.5, -6.5):
        with pytest.raises(SettingOutOfTable, match="not one this head has; it runs from 0"):
            metered().flux_lms(setting)


def test_one_reading_stands_for_the_scale_and_is_less_sure():
    one = strobe_from_readings([Reading(-2, 16.0)], TENTHS, METER, spread_stops=0.1)
    assert one.curve.is_nominal
    assert one.output_stops(-4.5) == pytest.approx(-4.5)
    assert one.setting_for(-4.5) == pytest.approx(-4.5)
    assert one.flux_lms(0) == pytest.approx(4 * one.flux_lms(-2))
    assert one.spread_stops == pytest.approx(np.hypot(0.1, NOMINAL_SCALE_SPREAD_STOPS))
    assert metered(spread_stops=0.1).spread_stops == pytest.approx(0.1)


def test_two_heads_give_a_stop_more():
    assert metered(heads=2).flux_lms(-1) == pytest.approx(2 * metered().flux_lms(-1))
    assert metered(heads=2).output_stops(-3) == pytest.approx(metered().output_stops(-3))


@pytest.mark.parametrize(
    ("emitter", "emission"),
    [
        (None, None),
        (None, beam(60)),
        (rectangle([0, 0, 0], AHEAD, 0.6, 0.9), None),
        (disc([1, 1, 1], [0, 0, -1], 1.2), None),
        (rectangle([0, 0, 0], AHEAD, 0.6, 0.9), beam(50)),
    ],
    ids=["bare", "reflector", "softbox", "octabox", "softbox with grid"],
)
def test_the_flux_of_a_reading_gives_that_reading(emitter, emission):
    flux = flux_of_reading_lms(11.0, 1.5, METER, emitter, emission, iso=200)
    light = Source("a", "flash", emitter or PointEmitter(np.zeros(3), AHEAD), flux, emission)
    there = light.light_at(light.centre + 1.5 * light.axis, -light.axis)
    assert METER.flash_f_number(float(there), 200) == pytest.approx(11.0)


def test_energy_alone_is_an_estimate():
    strobe = strobe_from_energy(500, TENTHS, modifier_efficiency=0.5)
    assert [strobe.estimated, strobe.spread_stops] == [True, 0.5]
    assert strobe.flux_lms(0) == pytest.approx(500 * 35 * 0.5)
    assert strobe.flux_lms(-1) == pytest.approx(500 * 35 * 0.25)
    assert not metered().estimated


def test_a_bare_head_keeps_all_of_its_light_unless_told_otherwise():
    assert strobe_from_energy(500, TENTHS).flux_lms(0) == pytest.approx(500 * 35)


def test_the_grid_runs_from_full_to_lowest():
    assert TENTHS.settings()[0] == 0.0
    assert TENTHS.settings()[-1] == pytest.approx(-6.0)
    assert len(TENTHS.settings()) == 61
    assert len(THIRDS.settings()) == 22
    assert SettingGrid.of(-2.5, "1").settings() == (0.0, -1.0, -2.0)


@given(st.floats(-12, 3), st.sampled_from(["1", "1/2", "1/3", "1/10"]))
def test_the_nearest_setting_is_on_the_grid_and_no_other_is_nearer(wanted, step):
    grid = SettingGrid.of(-6.0, step)
    nearest = grid.nearest(wanted)
    assert nearest in grid.settings()
    assert abs(nearest - wanted) <= min(abs(s - wanted) for s in grid.settings()) + 1e-9


@given(st.floats(-12, 3), st.sampled_from(["1", "1/2", "1/3", "1/10"]))
def test_at_least_so_much_is_the_lowest_setting_that_will_do(wanted, step):
    grid = SettingGrid.of(-6.0, step)
    found = grid.at_least(wanted)
    # A billionth of a step below the one wanted counts as no dimmer, so on that very edge both answers are right.
    enough = [min((s for s in grid.settings() if s >= wanted - dust), default=None) for dust in (0.0, 2e-9)]
    assert found in enough


def test_between_two_settings_the_brighter_is_taken():
    assert SettingGrid.of(-6, "1").nearest(-1.5) == -1.0
    assert metered().nearest_setting(-2.33) == pytest.approx(-2.3)
    assert [metered().lowest, metered().step] == [-6.0, 0.1]


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (lambda: OutputCurve((), ()), "do not pair up"),
        (lambda: OutputCurve((0.0,), (1.0, 2.0)), "do not pair up"),
        (lambda: OutputCurve((-1.0, -1.0), (1.0, 2.0)), "two readings stand at -1 stops or out of order"),
        (
            lambda: OutputCurve((-1.0, 0.0), (2.0, 2.0)),
            "gives no more light than the one at -1; read them again",
        ),
        (lambda: strobe_from_readings([], TENTHS, METER), "do not pair up"),
        (lambda: SettingGrid(1.0, 0.1), "settings count down from full power"),
        (lambda: SettingGrid(-6.0, 0.0), "step_stops is 0"),
        (lambda: metered(heads=0), "heads is 0; give a whole number, 1 or more"),
        (lambda: metered(spread_stops=-1), "a spread is -1"),
        (lambda: flux_of_reading_lms(8, 0, METER), "distance_m is 0"),
    ],
)
def test_a_strobe_that_cannot_be_is_refused(wrong, sentence):
    with pytest.raises(ValueError, match=sentence):
        wrong()


@pytest.mark.parametrize(("step", "stops"), [("1", 1.0), ("1/2", 0.5), ("1/3", 1 / 3), ("1/10", 0.1)])
def test_a_step_is_what_its_sheet_writes(step, stops):
    assert SettingGrid.of(-6.0, step).step_stops == pytest.approx(stops)


def test_duration_runs_straight_in_its_logarithm_between_two_lines():
    table = [Line(-6, t01_s=1 / 8000), Line(0, t01_s=1 / 500)]
    found = t01_at(table, -3)
    assert found is not None
    assert found.likely_s == pytest.approx(1 / 2000)
    assert not found.estimated


def test_t05_gives_t01_within_a_band():
    found = t01_at([Line(-6, t05_s=0.001), Line(0, t05_s=0.001)], -2)
    assert found is not None
    assert found.estimated
    assert 0.0022 <= found.shortest_s < found.likely_s < found.longest_s <= 0.00333
    cut = t01_at([Line(-6, t05_s=0.001), Line(0, t05_s=0.001)], -2, cut_off=True)
    assert cut is not None
    # At a quarter of the light the cut ends both durations.
    assert (cut.shortest_s, cut.likely_s) == pytest.approx((0.001, 0.001))


def test_a_switch_that_ends_a_flash_late_cuts_little_off_its_tail():
    # At 2^-0.3 of the light the switch acts after ln(1 / (1 - 2^-0.3)) decay times, before t0.1; t0.5 takes ln 2.
    cut = t01_at([Line(-1, t05_s=0.001), Line(0, t05_s=0.001)], -0.3, cut_off=True)
    assert cut is not None
    assert cut.likely_s == pytest.approx(0.001 * np.log(1 / (1 - 2**-0.3)) / np.log(2))


def test_a_published_t01_goes_before_t05():
    found = t01_at([Line(-6, 0.002, 0.0005), Line(0, 0.002, 0.001)], -3)
    assert found is not None
    assert [found.likely_s, found.estimated] == [pytest.approx(0.002), False]


@pytest.mark.parametrize("table", [[], [Line(0, t01_s=0.001)], [Line(-2, t05_s=0.001), Line(0, t01_s=0.002)]])
def test_outside_its_table_nobody_knows_the_duration(table):
    assert t01_at(table, -3) is None


def test_colour_runs_straight_in_mired():
    found = colour_at([Line(0, cct_k=5500, duv=0.002), Line(-4, cct_k=5000, duv=0.004)], -2)
    assert found is not None
    assert 1e6 / found.cct_k == pytest.approx((1e6 / 5500 + 1e6 / 5000) / 2)
    assert found.duv == pytest.approx(0.003)


@pytest.mark.parametrize("table", [[], [Line(0), Line(-2)]])
def test_outside_its_table_nobody_knows_the_colour(table):
    assert colour_at(table, -3) is None


@given(st.floats(1, 200), st.floats(0.2, 50))
def test_guide_number_intensity_and_feet_come_back(guide, distance):
    assert gn.guide_number_m(gn.intensity_cds(guide, METER), METER) == pytest.approx(guide)
    assert gn.in_metres(gn.in_feet(guide)) == pytest.approx(guide)
    assert gn.aperture_at(guide, distance) * distance == pytest.approx(guide)


@given(st.floats(1, 200), st.integers(1, 8))
def test_so_many_heads_are_so_many_stops_of_guide_number(guide, heads):
    assert gn.combined([guide] * heads) == pytest.approx(gn.rescaled(guide, float(np.log2(heads))))


def test_guide_numbers_along_an_axis():
    np.testing.assert_allclose(gn.combined(np.array([[40.0, 30.0], [3.0, 4.0]])), [50.0, 5.0])


def test_a_head_with_one_setting_has_that_one():
    assert SettingGrid(0.0, 0.1).settings() == (0.0,)


def test_with_one_reading_too_a_setting_the_head_does_not_have_is_refused():
    nominal = Strobe(OutputCurve((0.0,), (10.0,)), TENTHS, 0.1)
    with pytest.raises(SettingOutOfTable, match="is not one this head has"):
        nominal.output_stops(nominal.lowest - 1.0)


@pytest.mark.parametrize("field", ["settings_stops", "output_stops"])
def test_a_reading_that_is_not_a_number_is_refused_by_its_name(field):
    points = {"settings_stops": (-1.0, 0.0), "output_stops": (9.0, 10.0), field: (float("nan"), 0.0)}
    with pytest.raises(ValueError, match=f"{field} is nan"):
        OutputCurve(**points)


def test_a_table_may_stand_in_any_order_and_has_both_its_ends():
    lines = [Line(0.0, 1 / 400), Line(-6.0, 1 / 12800), Line(-2.0, 1 / 1600)]
    for setting, seconds in ((0.0, 1 / 400), (-1.0, 1 / 800), (-2.0, 1 / 1600), (-6.0, 1 / 12800)):
        assert t01_at(lines, setting).likely_s == pytest.approx(seconds)
    assert t01_at(lines, 0.1) is None
    assert t01_at(lines, -6.1) is None
