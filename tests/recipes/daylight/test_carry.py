"""A reading at one hour carried to another, and when a value stays in its bracket."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.bracket import intervals_inside
from recipes.light.carry import carried_share, carry_reading, carry_spread_stops
from recipes.light.daylight import Weather, pane_curve, window_curve
from tests.recipes.daylight.builders import CLEAR_GLASS, DEPOT, a_face, a_pane

BERLIN = ZoneInfo("Europe/Berlin")
MORNING = datetime(2025, 6, 21, 10, 30, tzinfo=BERLIN)
AFTERNOON = datetime(2025, 6, 21, 15, 0, tzinfo=BERLIN)
NIGHT = datetime(2025, 6, 21, 23, 59, tzinfo=BERLIN)


def north_window(weather=None, panes=None):
    return window_curve(
        (a_pane(azimuth_deg=0.0, glass=CLEAR_GLASS),) if panes is None else panes,
        a_face(),
        DEPOT,
        weather or Weather(),
        room_north_deg=180.0,
    )


def falling(instants):
    """A made-up model: 100 lux at ten, 10 lux less each hour."""
    return np.array([100 - 10 * (at - MORNING.replace(minute=0)).total_seconds() / 3600 for at in instants])


# Carrying.


def test_a_reading_stays_itself_at_its_own_hour():
    assert carry_reading(640.0, MORNING, [MORNING], north_window())[0] == pytest.approx(640)


def test_a_reading_scales_with_the_model():
    assert carry_reading(190.0, MORNING, [AFTERNOON], falling)[0] == pytest.approx(190 * 50 / 95)


def test_carrying_in_two_steps_is_carrying_in_one():
    curve = north_window()
    noon = MORNING.replace(hour=13)
    half_way = carry_reading(640.0, MORNING, [noon], curve)[0]
    assert carry_reading(half_way, noon, [AFTERNOON], curve)[0] == pytest.approx(
        carry_reading(640.0, MORNING, [AFTERNOON], curve)[0]
    )


def test_dirt_on_the_glass_does_not_matter_to_a_carried_reading():
    clean = north_window()
    dirty = north_window(panes=(a_pane(azimuth_deg=0.0, glass=type(CLEAR_GLASS)(0.8, dirt_factor=0.6)),))
    at_three = [carry_reading(640.0, MORNING, [AFTERNOON], curve)[0] for curve in (clean, dirty)]
    assert at_three[0] == pytest.approx(at_three[1])


def test_a_spot_reading_of_the_window_is_carried_the_same_way():
    curve = pane_curve(a_pane(azimuth_deg=0.0), (0, 3, 1.6), DEPOT, Weather("overcast"), room_north_deg=180.0)
    carried = carry_reading(2000.0, MORNING, [AFTERNOON], curve)[0]
    # An overcast pane follows 300 + 21000 sin(elevation): 47.7 degrees at 10:30, 53.7 at 15:00 by local clock.
    assert carried / 2000 == pytest.approx(
        (300 + 21000 * np.sin(np.radians(53.3))) / (300 + 21000 * 0.754), abs=0.03
    )


def test_a_reading_taken_at_night_cannot_be_carried():
    with pytest.raises(ValueError, match="no daylight at 2025-06-21T23:59"):
        carry_reading(3.0, NIGHT, [MORNING], north_window())


def test_among_several_models_one_that_is_dark_is_enough_to_refuse():
    with pytest.raises(ValueError, match="no daylight at"):
        carried_share(MORNING, np.array([100.0, 0.0]), np.ones((2, 1)))


def test_a_model_with_hardly_any_light_still_carries():
    assert carried_share(MORNING, np.array([0.5]), np.array([[0.25]])).tolist() == [[0.5]]


def test_a_negative_reading_is_refused():
    with pytest.raises(ValueError, match="reading is -1"):
        carry_reading(-1.0, MORNING, [AFTERNOON], falling)


def test_a_room_without_windows_has_no_daylight():
    assert north_window(panes=())([MORNING, AFTERNOON]).tolist() == [0, 0]


def test_windows_of_a_room_add_up():
    both = north_window(panes=(a_pane(azimuth_deg=0.0, x_m=-1), a_pane(azimuth_deg=0.0, x_m=1)))([MORNING])
    each = [north_window(panes=(a_pane(azimuth_deg=0.0, x_m=x),))([MORNING])[0] for x in (-1, 1)]
    assert both[0] == pytest.approx(sum(each))


# How much hangs on the model.


def test_models_that_agree_leave_no_spread():
    curve = north_window()
    assert carry_spread_stops(MORNING, [AFTERNOON], [curve, curve])[0] == 0


def test_spread_is_half_the_range_in_stops():
    def steady(instants):
        return np.full(len(instants), 100.0)

    def halving(instants):
        return np.where(np.array(instants) > MORNING, 50.0, 100.0)

    assert carry_spread_stops(MORNING, [AFTERNOON], [steady, halving])[0] == pytest.approx(0.5)


def test_haze_matters_less_than_cloud_to_a_carried_reading():
    evening = [AFTERNOON.replace(hour=19)]
    haze = carry_spread_stops(
        MORNING, evening, [north_window(Weather(linke_turbidity=t)) for t in (2.5, 3.0, 4.0)]
    )
    cloud = carry_spread_stops(MORNING, evening, [north_window(), north_window(Weather("overcast"))])
    assert 0 < haze[0] < cloud[0]


def test_models_that_part_into_dark_and_light_have_no_bound():
    def early_night(instants):
        return np.where(np.array(instants) > MORNING, 0.0, 100.0)

    spread = carry_spread_stops(MORNING, [AFTERNOON, NIGHT], [early_night, falling_to_night])
    assert spread[0] == np.inf
    assert spread[1] == 0


def falling_to_night(instants):
    return np.where(np.array(instants) >= NIGHT, 0.0, 100.0)


# The bracket.


def hours(values, start=MORNING):
    return [start + timedelta(hours=n) for n in range(len(values))], np.array(values, dtype=float)


def minutes(intervals, start=MORNING):
    return [((i.start - start).total_seconds() / 60, (i.end - start).total_seconds() / 60) for i in intervals]


def test_a_curve_that_rises_through_the_bracket():
    found = intervals_inside(*hours([0, 10, 20]), 5, 15)
    assert minutes(found) == [(30, 90)]


def test_a_curve_that_leaves_and_comes_back():
    found = intervals_inside(*hours([10, 20, 10, 0, 10]), 8, 12)
    np.testing.assert_allclose(minutes(found), [(0, 12), (108, 132), (228, 240)])


def test_a_curve_that_only_touches():
    assert minutes(intervals_inside(*hours([0, 10, 0]), 10, 20)) == [(60, 60)]


def test_a_curve_that_jumps_over_a_narrow_bracket_passes_through_it():
    assert minutes(intervals_inside(*hours([0, 60]), 20, 21)) == [(20, 21)]


def test_a_steady_curve_is_inside_for_good_or_never():
    assert minutes(intervals_inside(*hours([5, 5, 5]), 5, 6)) == [(0, 120)]
    assert intervals_inside(*hours([5, 5, 5]), 6, 7) == ()


def test_a_curve_that_is_steady_for_a_while_and_then_leaves():
    assert minutes(intervals_inside(*hours([5, 5, 15]), 4, 10)) == [(0, 90)]


def test_instants_may_follow_each_other_by_the_second():
    instants = [MORNING + timedelta(seconds=n) for n in range(3)]
    (only,) = intervals_inside(instants, np.array([0.0, 10, 20]), 5, 15)
    assert (only.end - only.start).total_seconds() == pytest.approx(1.0)


def test_a_single_instant():
    assert minutes(intervals_inside(*hours([5]), 4, 6)) == [(0, 0)]
    assert intervals_inside([], np.array([]), 4, 6) == ()


def test_intervals_keep_the_zone_across_the_change_of_clocks():
    start = datetime(2025, 10, 26, 0, 0, tzinfo=BERLIN).astimezone(UTC)
    instants = [(start + timedelta(hours=n)).astimezone(BERLIN) for n in range(6)]
    (only,) = intervals_inside(instants, np.array([0.0, 0, 0, 0, 10, 20]), 5, 15)
    # Three and a half hours after midnight the clock shows half past two for the second time.
    assert only.start.astimezone(UTC) == start + timedelta(hours=3.5)
    assert only.start.isoformat() == "2025-10-26T02:30:00+01:00"


@settings(deadline=None)
@given(st.lists(st.floats(-10, 10), min_size=2, max_size=12), st.floats(-5, 0), st.floats(0, 5))
def test_points_inside_the_bracket_are_in_an_interval_and_others_are_not(values, low, high):
    instants, numbers = hours(values)
    found = intervals_inside(instants, numbers, low, high)
    for at, value in zip(instants, values, strict=True):
        held = any(i.start - timedelta(seconds=1) <= at <= i.end + timedelta(seconds=1) for i in found)
        if low <= value <= high:
            assert held
        elif value < low - 0.02 or value > high + 0.02:
            assert not held


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(
            lambda: intervals_inside(*hours([1, 2]), 5, 4), "give the lower end first", id="bracket"
        ),
        pytest.param(
            lambda: intervals_inside([MORNING], np.array([1.0, 2.0]), 0, 1), "one value for each", id="length"
        ),
        pytest.param(
            lambda: intervals_inside([AFTERNOON, MORNING], np.array([1.0, 2.0]), 0, 1),
            "ascending",
            id="order",
        ),
        pytest.param(
            lambda: intervals_inside([MORNING, MORNING], np.array([1.0, 2.0]), 0, 1), "ascending", id="twice"
        ),
        pytest.param(
            lambda: intervals_inside([MORNING], np.array([np.nan]), 0, 1), "values is nan", id="not a number"
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
