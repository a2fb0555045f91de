"""Facts about a room's windows and its place on earth."""

from __future__ import annotations

import pytest

from recipes.checks.panes import panes_of, site_of
from recipes.checks.setup import Room, Window
from tests.recipes.checks.setups import a_room

SOUTH = Window("South", 2.0, 1.5, 0.8, (0.0, -4.0, 1.8), azimuth_deg=180.0)


def test_a_window_stands_and_a_skylight_lies():
    roof = Window("Roof", 2.0, 1.5, 0.6, (0.0, 0.0, 4.0), azimuth_deg=90.0, skylight=True)
    window, skylight = panes_of(a_room(windows=(SOUTH, roof)))
    assert (window.tilt_deg, skylight.tilt_deg) == (0.0, 90.0)
    assert (window.width_m, window.height_m, window.azimuth_deg) == (2.0, 1.5, 180.0)
    assert window.glass.normal_transmittance == 0.8


def test_a_window_of_which_nothing_else_is_said_stands_in_a_wall():
    (pane,) = panes_of(a_room(windows=(Window("South", 2.0, 1.5, 0.8, (0.0, -4.0, 1.8), 180.0),)))
    assert pane.tilt_deg == 0.0


def test_a_room_of_which_nothing_else_is_said_is_at_sea_level_and_looks_north():
    room = Room("Hall", 6.0, 8.0, 3.0, (3.0, 3.0), 0.5, 0.2, 0.7, latitude_deg=52.5, longitude_deg=13.4)
    assert (site_of(room).altitude_m, room.north_deg) == (0.0, 0.0)


def test_a_room_is_somewhere_when_both_angles_are_known():
    site = site_of(a_room(latitude_deg=52.5, longitude_deg=13.4, altitude_m=40.0))
    assert site is not None
    assert (site.latitude_deg, site.longitude_deg, site.altitude_m) == (52.5, 13.4, 40.0)


@pytest.mark.parametrize("half", [{"latitude_deg": 52.5}, {"longitude_deg": 13.4}])
def test_with_one_angle_it_is_nowhere(half):
    assert site_of(a_room(**{"latitude_deg": None, "longitude_deg": None, **half})) is None
