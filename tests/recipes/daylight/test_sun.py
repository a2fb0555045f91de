"""The sun at any place and time: what must hold, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.sun import Site, instants_through, sun_path, sun_times, unix_seconds

BERLIN = ZoneInfo("Europe/Berlin")
OSLO = ZoneInfo("Europe/Oslo")
TROMSO = Site(69.6492, 18.9553)

latitudes = st.floats(-90, 90)
longitudes = st.floats(-180, 180)
moments = st.datetimes(datetime(1990, 1, 1), datetime(2060, 1, 1), timezones=st.just(UTC))
days = st.dates(date(1990, 1, 1), date(2060, 1, 1))


@settings(max_examples=60, deadline=None)
@given(latitudes, longitudes, moments)
def test_the_sun_is_somewhere_at_every_place_and_time(latitude, longitude, at):
    sun = sun_path(Site(latitude, longitude), [at])
    assert -90 <= sun.elevation_deg[0] <= 90
    assert 0 <= sun.azimuth_deg[0] <= 360
    assert np.linalg.norm(sun.direction[0]) == pytest.approx(1)


@settings(max_examples=60, deadline=None)
@given(latitudes, longitudes, moments)
def test_refraction_only_ever_lifts(latitude, longitude, at):
    sun = sun_path(Site(latitude, longitude), [at])
    assert 0 <= sun.apparent_elevation_deg[0] - sun.elevation_deg[0] < 0.8


def test_many_instants_are_the_single_ones():
    instants = [datetime(2025, 6, 21, h, tzinfo=UTC) for h in (4, 9, 15)]
    together = sun_path(TROMSO, instants, delta_t_s=69)
    single = [float(sun_path(TROMSO, [at], delta_t_s=69).elevation_deg[0]) for at in instants]
    np.testing.assert_allclose(together.elevation_deg, single, atol=1e-12)


def test_no_instants_give_no_answers():
    assert sun_path(TROMSO, []).direction.shape == (0, 3)


def test_a_zone_only_names_the_instant():
    local = datetime(2025, 7, 1, 14, 30, tzinfo=BERLIN)
    there, here = sun_path(TROMSO, [local]), sun_path(TROMSO, [local.astimezone(UTC)])
    assert there.azimuth_deg[0] == here.azimuth_deg[0]


def test_both_readings_of_the_hour_that_comes_twice():
    # 02:30 on the night the clocks go back happens twice, an hour apart.
    first = datetime(2025, 10, 26, 2, 30, tzinfo=BERLIN)
    seconds = unix_seconds([first, first.replace(fold=1)])
    assert seconds[1] - seconds[0] == 3600


@settings(max_examples=20, deadline=None)
@given(st.floats(-60, 60), st.floats(-12, 12), days)
def test_the_upper_edge_is_on_the_horizon_at_rise_and_set(latitude, hours_east, day):
    site = Site(latitude, hours_east * 15)
    zone = ZoneInfo(f"Etc/GMT{-round(hours_east):+d}")
    times = sun_times(site, day, zone)
    assert times.rise is not None
    assert times.set is not None
    assert times.rise < times.noon < times.set
    # NREL/TP-560-34302: refraction 0.5667 degrees and the radius 0.26667, seen from the earth's centre; a place on the
    # ground sees the sun lower by its parallax of 8.794 seconds of arc (table 6.2 there).
    edges = sun_path(site, [times.rise, times.set]).elevation_deg
    np.testing.assert_allclose(edges, -0.8333 - 8.794 / 3600, atol=3e-4)


@settings(max_examples=25, deadline=None)
@given(latitudes, longitudes, days)
def test_no_day_anywhere_breaks_the_almanac(latitude, longitude, day):
    times = sun_times(Site(latitude, longitude), day, UTC)
    for at in (times.rise, times.set):
        assert at is None or at.date() == day
    assert not (times.up_all_day and (times.rise or times.set))


def test_polar_night_has_neither_rise_nor_set():
    times = sun_times(TROMSO, date(2024, 12, 21), OSLO)
    assert (times.rise, times.set, times.up_all_day) == (None, None, False)


def test_the_sun_may_set_shortly_after_midnight():
    times = sun_times(TROMSO, date(2024, 5, 17), OSLO)
    assert times.set < times.rise


def test_a_sun_that_sets_in_the_last_minutes_of_a_day_sets_on_that_day():
    # Day by day it sets ten minutes later.
    late = [sun_times(TROMSO, date(2024, 5, day), OSLO) for day in (14, 15, 16)]
    assert [times.set is not None and times.set.hour == 23 for times in late] == [True, True, False]
    assert timedelta(minutes=10) < late[1].set - late[0].set - timedelta(days=1) < timedelta(minutes=15)


def test_a_sun_that_looks_over_the_horizon_for_minutes_is_found():
    times = sun_times(Site(69.758, 15.2), date(2024, 11, 26), OSLO)
    assert timedelta(0) < times.set - times.rise < timedelta(minutes=15)
    assert times.rise < times.noon < times.set


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [
        pytest.param(69.56, 18.9553, OSLO, id="in its own zone"),
        pytest.param(69.67, -155.0, ZoneInfo("Etc/GMT-14"), id="in the zone where days begin first"),
    ],
)
def test_a_sun_that_dips_below_the_horizon_for_minutes_is_found(latitude, longitude, zone):
    times = sun_times(Site(latitude, longitude), date(2024, 5, 18), zone)
    assert timedelta(0) < times.rise - times.set < timedelta(minutes=15)


@pytest.mark.parametrize(
    ("longitude", "zone"),
    [
        (178.0, "Pacific/Fiji"),
        (-178.0, "Etc/GMT+12"),
        (-157.4, "Pacific/Kiritimati"),
        (13.4, "Europe/Berlin"),
    ],
)
@pytest.mark.parametrize("day", [date(2025, 2, 11), date(2025, 11, 3)])
def test_noon_is_when_the_sun_stands_highest_on_that_day_on_either_side_of_the_date_line(
    longitude, zone, day
):
    # The equation of time, -14 and +16 minutes on these days, takes noon across midnight in UTC.
    site, there = Site(-17.7, longitude), ZoneInfo(zone)
    noon = sun_times(site, day, there).noon
    assert noon.date() == day
    begins = datetime.combine(day, time(), there)
    path = sun_path(site, instants_through(begins, begins + timedelta(days=1), 60.0))
    highest = path.instants[int(np.argmax(path.elevation_deg))]
    assert abs(highest - noon) <= timedelta(minutes=2)


def test_days_grow_until_the_sun_stays_up():
    lit = []
    for n in range(0, 60, 6):
        times = sun_times(TROMSO, date(2025, 4, 1) + timedelta(days=n), OSLO)
        if times.up_all_day:
            lit.append(24.0)
        elif times.rise and times.set and times.rise < times.set:
            lit.append((times.set - times.rise).total_seconds() / 3600)
    assert 14 < lit[0] < 15
    assert lit[-1] == 24
    assert (np.diff(lit) >= 0).all()


def test_rise_and_set_come_in_the_zone_of_the_day():
    times = sun_times(Site(52.5, 13.4), date(2025, 7, 1), BERLIN)
    assert times.rise.utcoffset() == timedelta(hours=2)


def test_at_the_sea_the_air_presses_as_the_standard_atmosphere_does():
    # ISO 2533: 1013.25 hPa, and 12 Pa less a metre higher up.
    assert Site(0.0, 0.0).pressure_hpa == pytest.approx(1013.25, abs=0.01)


@pytest.mark.parametrize("by", ["algorithm", "cubic"])
def test_the_air_bends_light_from_when_the_disc_begins_to_show(by):
    # NREL/TP-560-34302, 3.8.2: from -(0.26667 + 0.5667) degrees on; below that the air lifts nothing.
    start = datetime(2025, 3, 20, 5, 30, tzinfo=UTC)
    instants = instants_through(start, start + timedelta(hours=1), 2.0)
    sun = sun_path(Site(48.2, 8.0), instants)
    if by == "cubic":
        sun = sun_path(Site(48.2, 8.0), instants[::300]).between(instants[:-1])
    lift = sun.apparent_elevation_deg - sun.elevation_deg
    down, up = sun.elevation_deg < -0.835, sun.elevation_deg > -0.832
    assert min(down.sum(), up.sum()) > 10
    assert (lift[down] == 0).all()
    assert (lift[up] > 0.09).all()


def test_thinner_air_refracts_less():
    low = Site(45, 0)
    high = Site(45, 0, 4000)
    at = [datetime(2025, 3, 20, 6, 30, tzinfo=UTC)]
    lift = [sun_path(s, at).apparent_elevation_deg[0] - sun_path(s, at).elevation_deg[0] for s in (low, high)]
    assert 0 < lift[1] < lift[0]


def test_instants_run_to_the_end_and_never_past_it():
    start = datetime(2025, 1, 1, tzinfo=UTC)
    instants = instants_through(start, start + timedelta(minutes=12), 300)
    assert [at.minute for at in instants] == [0, 5, 10]


def test_no_time_at_all_is_one_instant_and_steps_may_be_parts_of_a_second():
    start = datetime(2025, 1, 1, tzinfo=UTC)
    assert instants_through(start, start) == (start,)
    assert len(instants_through(start, start + timedelta(seconds=2), 0.5)) == 5


def test_a_day_of_25_hours_has_301_steps_of_five_minutes():
    start = datetime(2025, 10, 26, tzinfo=BERLIN)
    instants = instants_through(start, datetime(2025, 10, 27, tzinfo=BERLIN))
    assert len(instants) == 25 * 12 + 1
    assert set(np.diff(unix_seconds(instants))) == {300.0}


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(lambda: Site(91, 0), "latitude_deg is 91", id="latitude"),
        pytest.param(lambda: Site(0, 181), "longitude_deg is 181", id="longitude"),
        pytest.param(lambda: Site(-90.5, 0), r"latitude_deg is -90\.5", id="past the south pole"),
        pytest.param(lambda: Site(0, -180.5), r"longitude_deg is -180\.5", id="past the date line"),
        pytest.param(lambda: Site(0, 0, -450.5), r"altitude_m is -450\.5", id="below the lowest shore"),
        pytest.param(lambda: Site(0, 0, 9000.5), r"altitude_m is 9000\.5", id="over the highest top"),
        pytest.param(lambda: Site(0, 0, float("nan")), "altitude_m is nan", id="altitude"),
        pytest.param(lambda: sun_path(TROMSO, [datetime(2025, 1, 1)]), "has no time zone", id="naive time"),
        pytest.param(
            lambda: instants_through(datetime(2025, 1, 2, tzinfo=UTC), datetime(2025, 1, 1, tzinfo=UTC)),
            "swap them",
            id="end before start",
        ),
        pytest.param(
            lambda: instants_through(datetime(2025, 1, 1, tzinfo=UTC), datetime(2025, 1, 2, tzinfo=UTC), 0),
            "above 0",
            id="no step",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()


@pytest.mark.parametrize("day", [datetime(2026, 3, 29, tzinfo=UTC), datetime(2026, 12, 21, tzinfo=UTC)])
@pytest.mark.parametrize("site", [Site(48.2, 16.4), Site(-33.9, 18.4), Site(69.6, 18.9)])
def test_between_two_instants_the_sun_is_where_the_algorithm_has_it(site, day):
    path = sun_path(site, instants_through(day, day + timedelta(days=1), 600.0))
    asked = instants_through(day, day + timedelta(days=1), 77.0)
    between, exact = path.between(asked), sun_path(site, asked)
    away = np.degrees(np.arccos(np.clip((between.direction * exact.direction).sum(axis=1), -1.0, 1.0)))
    # Refraction begins at once where the disc begins to show, which is where the two may disagree.
    showing = np.abs(exact.elevation_deg + 0.83) > 0.01
    assert away[showing].max() < 1e-3
    np.testing.assert_allclose(between.elevation_deg, exact.elevation_deg, atol=1e-3)


def test_a_part_of_a_path_is_the_path_of_that_part():
    instants = instants_through(datetime(2026, 6, 21, 4, tzinfo=UTC), datetime(2026, 6, 21, 8, tzinfo=UTC))
    whole, part = sun_path(Site(48.2, 16.4), instants), sun_path(Site(48.2, 16.4), instants[3:9])
    assert whole.some(3, 9).instants == part.instants
    np.testing.assert_allclose(whole.some(3, 9).direction, part.direction, atol=1e-6)


@pytest.mark.parametrize(
    ("at", "near"),
    [(0, {0, 1, 2, 3}), (1, {0, 1, 2, 3}), (3, {2, 3, 4, 5}), (5, {4, 5, 6, 7}), (6, {4, 5, 6, 7})],
)
def test_only_the_four_nearest_instants_tell_where_the_sun_is_between_them(at, near):
    start = datetime(2026, 6, 21, 4, tzinfo=UTC)
    path = sun_path(Site(48.2, 16.4), instants_through(start, start + timedelta(seconds=4200), 600.0))
    asked = [path.instants[at] + timedelta(seconds=250)]
    told = path.between(asked).elevation_deg
    heard = set()
    for n in range(8):
        moved = path.elevation_deg + 5.0 * (np.arange(8) == n)
        if abs(replace(path, elevation_deg=moved).between(asked).elevation_deg - told) > 1e-6:
            heard.add(n)
    assert heard == near
