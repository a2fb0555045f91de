"""A daylit room in the old tram depot, for the tests of this folder."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np

from recipes.light.daylight import Receiver, Sky, Weather, WindowPane, sky_through
from recipes.light.glass import NO_GLASS, Glass
from recipes.light.sky import OVERCAST
from recipes.light.sun import Site, instants_through

DEPOT = Site(52.5, 13.4, 40.0)
MIDSUMMER = datetime(2025, 6, 21, tzinfo=UTC)
MIDWINTER = datetime(2025, 12, 21, tzinfo=UTC)
HEAD_M = 1.55


def a_day(start=MIDSUMMER, step_s=300.0):
    return instants_through(start, start.replace(hour=23, minute=55), step_s)


def a_pane(
    width_m=1.5, height_m=2.0, sill_m=0.8, x_m=0.0, y_m=-2.0, azimuth_deg=180.0, glass=NO_GLASS, tilt_deg=0.0
):
    """Behind the subject and looking out south, when the camera stands north of the mark."""
    return WindowPane(width_m, height_m, sill_m, x_m, y_m, azimuth_deg, glass, tilt_deg)


def a_face(x_m=0.0, y_m=0.0, z_m=HEAD_M, facing=(0.0, -1.0, 0.0)):
    return Receiver((x_m, y_m, z_m), facing)


def a_sky(
    sky_type=OVERCAST,
    sun_azimuth_deg=180.0,
    sun_elevation_deg=40.0,
    diffuse_lux=1e4,
    direct_lux=0.0,
    ground=0.2,
):
    e, a = np.radians(sun_elevation_deg), np.radians(sun_azimuth_deg)
    sun = np.array([[np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)]])
    return Sky(sky_type, sun, np.array([diffuse_lux]), np.array([direct_lux]), ground)


def a_clear_day(start=MIDSUMMER, step_s=300.0, site=DEPOT):
    return sky_through(site, a_day(start, step_s), Weather("clear"))


CLEAR_GLASS = Glass(0.8)
