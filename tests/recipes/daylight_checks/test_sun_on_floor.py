"""Where the sun lies on the floor through a shoot: a south window at 48.2° N on the day of the equinox."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from math import hypot, radians, tan

import pytest

from recipes.checks.sun_on_floor import MOST_MOMENTS, moments_of, sun_on_floor
from tests.recipes.daylight_checks.test_through_the_shoot import ROOF, SOUTH, hall, on
from tests.recipes.stages import a_look, a_setup


def through(starts, ends, room=None):
    return sun_on_floor(a_setup(a_look(), room=room or hall(SOUTH), starts=starts, ends=ends))


def test_at_noon_the_patch_is_as_deep_as_the_pane_over_the_tangent_of_the_sun():
    # The sun stands 90 − 48.2 = 41.8° high in the south: 2 m of glass, 2 m wide, sill 0.8 m above the floor, 5 m away.
    noon = through(on(12, 2), on(12, 2))
    (patch,) = noon
    high = tan(radians(41.8))
    assert patch.area_m2 == pytest.approx(2.0 * 2.0 / high, rel=0.02)
    assert min(y for _, y in patch.outline_m) == pytest.approx(-5.0 + 0.8 / high, abs=0.03)
    assert patch.from_mark_m == pytest.approx(5.0 - 2.8 / high, abs=0.03)


def test_in_the_morning_it_lies_to_the_west_and_in_the_afternoon_to_the_east():
    # The far wall looks south, so west is to the right of the camera: towards −x.
    morning, noon, afternoon = through(on(11), on(13))
    middles = [sum(x for x, _ in one.outline_m) / 4 for one in (morning, noon, afternoon)]
    assert middles[0] < middles[1] < middles[2]
    assert [one.at.hour for one in (morning, noon, afternoon)] == [11, 12, 13]


def test_a_wall_cuts_the_patch_off():
    whole = through(on(8), on(8))[0]
    narrow = replace(hall(SOUTH), width_m=3.0, mark_m=(1.5, 5.0))
    cut = through(on(8), on(8), narrow)[0]
    assert cut.area_m2 < whole.area_m2
    assert min(x for x, _ in cut.outline_m) == pytest.approx(-1.5)


def test_a_wall_on_either_side_and_before_the_camera_cuts_it_off_too():
    # In the afternoon it lies to the east, towards +x.
    narrow = replace(hall(SOUTH), width_m=3.0, mark_m=(1.5, 5.0))
    assert max(x for x, _ in through(on(16), on(16), narrow)[0].outline_m) == pytest.approx(1.5)
    shallow = replace(hall(SOUTH), depth_m=2.5)
    (noon,) = through(on(12, 2), on(12, 2), shallow)
    assert max(y for _, y in noon.outline_m) == pytest.approx(-2.5)
    assert min(y for _, y in noon.outline_m) == pytest.approx(-5.0 + 0.8 / tan(radians(41.8)), abs=0.03)


def test_how_far_the_mark_is_from_a_patch_beside_it():
    aside = replace(SOUTH, centre_m=(-2.0, -5.0, 1.8), width_m=0.2)
    (patch,) = through(on(12, 2), on(12, 2), hall(aside))
    assert patch.from_mark_m == pytest.approx(hypot(1.9, 5.0 - 2.8 / tan(radians(41.8))), abs=0.05)


def test_a_window_without_sun_hides_none_after_it():
    north = replace(SOUTH, name="North window", azimuth_deg=0.0, centre_m=(0.0, 5.0, 1.8))
    assert [one.window for one in through(on(12, 2), on(12, 2), hall(north, SOUTH))] == ["South window"]


def test_under_a_skylight_the_mark_stands_in_it():
    # 21 June at noon: the sun 65° high, so the patch of a roof 5 m up lies 5 / tan 65° = 2.3 m to the north.
    wide = replace(ROOF, width_m=5.0, height_m=5.0)
    (patch,) = through(on(13, month=6, day=21), on(13, month=6, day=21), hall(wide))
    assert patch.from_mark_m == 0
    assert patch.area_m2 == pytest.approx(25.0, rel=0.02)


def test_at_night_and_with_the_sun_behind_the_wall_there_is_none():
    assert through(on(21), on(23)) == ()
    north = replace(SOUTH, azimuth_deg=0.0, centre_m=(0.0, 5.0, 1.8))
    assert through(on(11), on(13), hall(north)) == ()


@pytest.mark.parametrize(
    "change",
    [{"room": None}, {"starts": None}, {"room": hall()}, {"room": replace(hall(SOUTH), latitude_deg=None)}],
)
def test_without_window_hours_or_place_nothing_is_said(change):
    setup = a_setup(a_look(), **{"room": hall(SOUTH), "starts": on(11), "ends": on(13), **change})
    assert sun_on_floor(setup) is None


def test_the_moments_are_start_end_and_whole_hours_between():
    assert [f"{at:%H:%M}" for at in moments_of(on(10, 30), on(13))] == ["10:30", "11:00", "12:00", "13:00"]
    assert [f"{at:%H:%M}" for at in moments_of(on(9, 50), on(11, 10))] == ["09:50", "11:10"]
    assert [f"{at:%H:%M}" for at in moments_of(on(9), on(17))] == [
        "09:00",
        "10:00",
        "12:00",
        "14:00",
        "17:00",
    ]


@pytest.mark.parametrize(
    ("until", "told"), [(13, [9, 10, 11, 12, 13]), (14, [9, 10, 12, 14]), (21, [9, 10, 13, 16, 21])]
)
def test_the_steps_are_as_even_as_a_handful_allows(until, told):
    assert [at.hour for at in moments_of(on(9), on(until))] == told


@pytest.mark.parametrize("hours", [0, 0.5, 3, 4, 5, 8, 23, 70])
def test_however_long_the_shoot_a_handful_of_patches(hours):
    moments = moments_of(on(9, 20), on(9, 20) + timedelta(hours=hours))
    assert len(moments) <= MOST_MOMENTS
    assert list(moments) == sorted(set(moments))


def test_over_the_hour_that_is_left_out_the_clock_is_right():
    # 29 March 2026: after 01:59 comes 03:00.
    moments = moments_of(on(1, day=29), on(4, day=29))
    assert [f"{at:%H:%M}" for at in moments] == ["01:00", "03:00", "04:00"]


def test_a_sliver_of_sun_is_not_told():
    # The left wall stands where the patch begins, and lets in a hair of two metres by a hundredth of a millimetre.
    (whole,) = through(on(12, 2), on(12, 2))
    begins = min(x for x, _ in whole.outline_m)

    def told(over_m):
        room = replace(hall(SOUTH), mark_m=(begins + over_m, 5.0))
        return len(through(on(12, 2), on(12, 2), room))

    assert told(0.00001) == 0
    assert told(0.001) == 1
    assert told(0.01) == 1


def test_an_hour_within_a_quarter_of_an_hour_of_start_or_end_is_not_drawn_again():
    assert [f"{at:%H:%M}" for at in moments_of(on(9, 45), on(11, 15))] == ["09:45", "10:00", "11:00", "11:15"]
    assert [f"{at:%H:%M}" for at in moments_of(on(9, 46), on(11, 14))] == ["09:46", "11:14"]
