"""Sun position and sunrise against published and independent values."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from pvlib import irradiance, solarposition

from recipes.light.pane import WindowPane
from recipes.light.sun import Site, instants_through, sun_path, sun_times

MOUNTAIN = timezone(timedelta(hours=-7))
GOLDEN = Site(39.742476, -105.1786, 1830.14)
GOLDEN_NOON = datetime(2003, 10, 17, 12, 30, 30, tzinfo=MOUNTAIN)


# I. Reda, A. Andreas, NREL/TP-560-34302, table A5.1 (820 mbar, 11 deg C, delta T 67 s).


def the_published_example():
    return sun_path(GOLDEN, [GOLDEN_NOON], pressure_hpa=820, temperature_c=11, delta_t_s=67)


def test_published_zenith_is_the_apparent_one():
    assert 90 - the_published_example().apparent_elevation_deg[0] == pytest.approx(50.11162, abs=1e-4)


def test_published_azimuth_runs_clockwise_from_north():
    assert the_published_example().azimuth_deg[0] == pytest.approx(194.34024, abs=1e-4)


def test_true_elevation_has_no_refraction():
    # Same example without refraction: pvlib 0.16 spa_python, column zenith.
    assert the_published_example().elevation_deg[0] == pytest.approx(39.87205, abs=1e-4)


def test_published_sunrise():
    times = sun_times(GOLDEN, date(2003, 10, 17), MOUNTAIN, delta_t_s=67)
    assert abs(times.rise - datetime(2003, 10, 17, 6, 12, 43, tzinfo=MOUNTAIN)) <= timedelta(seconds=1)


def test_published_sunset_belongs_to_the_evening_before():
    # The table's sunset, 17:20:19, is found for the UTC day of 17 October, which holds 00:20 UTC: the evening of the
    # 16th in Golden. On the evening of the 17th the sun at 17:20:19 is a quarter of a degree lower.
    times = sun_times(GOLDEN, date(2003, 10, 16), MOUNTAIN, delta_t_s=67)
    assert abs(times.set - datetime(2003, 10, 16, 17, 20, 19, tzinfo=MOUNTAIN)) <= timedelta(seconds=1)


def test_sunset_on_the_evening_itself():
    # NOAA formulae (astral 3.2): 17:18:37, good to a minute.
    times = sun_times(GOLDEN, date(2003, 10, 17), MOUNTAIN)
    assert abs(times.set - datetime(2003, 10, 17, 17, 18, 37, tzinfo=MOUNTAIN)) <= timedelta(seconds=60)


# pvlib 0.16 SPA, confirmed to 0.02 degrees by the NOAA formulae (astral 3.2); the last to 0.2 in azimuth.
PLACES = [
    pytest.param(51.5074, -0.1278, "2024-03-20T12:00+00:00", 38.6106, 177.4977, id="London, equinox"),
    pytest.param(51.5074, -0.1278, "2024-06-20T12:00+00:00", 61.9260, 178.9194, id="London, solstice"),
    pytest.param(51.5074, -0.1278, "2024-12-21T15:00+00:00", 5.1883, 220.8934, id="London, low winter sun"),
    pytest.param(40.7128, -74.0060, "2024-07-01T17:00-04:00", 37.1639, 269.7210, id="New York, summer time"),
    pytest.param(
        -33.8688, 151.2093, "2024-01-15T09:00+11:00", 35.2200, 93.4928, id="Sydney, the day before in UTC"
    ),
    pytest.param(69.6492, 18.9553, "2024-06-21T00:00+02:00", 3.4522, 349.4466, id="Tromso, midnight sun"),
    pytest.param(-0.1807, -78.4678, "2024-09-22T12:00-05:00", 88.4151, 85.966, id="Quito, near the zenith"),
    pytest.param(
        52.52, 13.405, "2024-10-27T12:00+01:00", 24.4176, 182.6240, id="Berlin, day of the clock change"
    ),
]


@pytest.mark.parametrize(("latitude", "longitude", "at", "elevation", "azimuth"), PLACES)
def test_true_elevation_and_azimuth(latitude, longitude, at, elevation, azimuth):
    sun = sun_path(Site(latitude, longitude), [datetime.fromisoformat(at)])
    assert sun.elevation_deg[0] == pytest.approx(elevation, abs=0.01)
    assert sun.azimuth_deg[0] == pytest.approx(azimuth, abs=0.2 if elevation > 85 else 0.01)


def test_refraction_lifts_the_low_winter_sun_by_a_sixth_of_a_degree():
    # pvlib 0.16 SPA: apparent 5.3445 against true 5.1883.
    sun = sun_path(Site(51.5074, -0.1278), [datetime(2024, 12, 21, 15, tzinfo=UTC)])
    assert sun.apparent_elevation_deg[0] == pytest.approx(5.3445, abs=0.01)


def test_a_whole_day_equals_pvlib_s_own_table():
    instants = instants_through(datetime(2025, 2, 3, tzinfo=UTC), datetime(2025, 2, 4, tzinfo=UTC), 1800)
    site = Site(48.1, 11.6, 520)
    ours = sun_path(site, instants, delta_t_s=69.0)
    theirs = solarposition.spa_python(
        pd.DatetimeIndex(instants), 48.1, 11.6, 520, pressure=site.pressure_hpa * 100, delta_t=69.0
    )
    np.testing.assert_allclose(ours.elevation_deg, theirs["elevation"], atol=1e-9)
    np.testing.assert_allclose(ours.apparent_elevation_deg, theirs["apparent_elevation"], atol=1e-9)
    np.testing.assert_allclose(ours.azimuth_deg, theirs["azimuth"], atol=1e-9)


def test_no_rise_or_set_at_midnight_sun():
    # NREL/TP-560-34302: no sunrise where the hour angle has no solution.
    times = sun_times(Site(69.6492, 18.9553), date(2024, 6, 21), ZoneInfo("Europe/Oslo"))
    assert (times.rise, times.set, times.up_all_day) == (None, None, True)


# Incidence on a vertical window, cos theta = cos(alt) cos(az - az_w): pvlib irradiance.aoi.
@pytest.mark.parametrize(
    ("latitude", "longitude", "at", "window_azimuth", "incidence"),
    [
        pytest.param(51.5074, -0.1278, "2024-03-20T12:00+00:00", 180, 38.679, id="south window in London"),
        pytest.param(40.7128, -74.0060, "2024-07-01T17:00-04:00", 270, 37.165, id="west window in New York"),
    ],
)
def test_incidence_on_a_window(latitude, longitude, at, window_azimuth, incidence):
    sun = sun_path(Site(latitude, longitude), [datetime.fromisoformat(at)])
    pane = WindowPane(1, 1, 1, 0, -2, window_azimuth)
    # Plan and compass coincide when the camera stands north of the mark. True elevation, as the value has it.
    elevation, azimuth = np.radians(sun.elevation_deg[0]), np.radians(sun.azimuth_deg[0])
    to_sun = np.array(
        [np.cos(elevation) * np.sin(azimuth), np.cos(elevation) * np.cos(azimuth), np.sin(elevation)]
    )
    ours = np.degrees(np.arccos(to_sun @ pane.outward(0)))
    assert ours == pytest.approx(incidence, abs=0.001)
    theirs = irradiance.aoi(90, window_azimuth, 90 - sun.elevation_deg[0], sun.azimuth_deg[0])
    assert ours == pytest.approx(theirs, abs=1e-9)
