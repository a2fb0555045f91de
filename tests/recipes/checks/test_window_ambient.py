"""Facts about the ambient over a plan: daylight falls off from the windows, what nobody knows is even."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gear.specs import MeterSpec
from recipes.checks.exposure import exposure_of
from recipes.checks.light_plan import grid_of, placement_map, placements_at
from recipes.checks.lighting import light_up
from recipes.checks.prediction import predict
from recipes.checks.setup import AssignedPanel, Window
from recipes.checks.window_ambient import SKY, ambient_of, windows_of
from recipes.light.daylight import Receiver, window_light
from recipes.light.geometry import facing
from recipes.light.glass import Glass
from recipes.light.pane import WindowPane
from tests.recipes.stages import a_board, a_hall, a_light, a_look, a_setup, a_zone, unit

WINDOW = Window("South", 2.0, 2.0, 0.8, (0.0, -5.0, 1.8), azimuth_deg=180.0)
TO_WINDOW = facing(180)


def by_a_window(reading=None, lights=(), windows=(WINDOW,), zone=None, **room):
    zone = zone or a_zone(facing_deg=180)
    read = {"zone": "face", "ev100": 6.0, "at": "11:00", **(reading or {})}
    return a_setup(
        a_look(zones=[zone], ambient=[read], lights=list(lights)), room=a_hall(windows=windows, **room)
    )


def ambient(setup):
    return ambient_of(setup, light_up(setup), setup.look.zones[0])


def placed(setup, *points, towards=TO_WINDOW):
    found = placements_at(setup, predict(setup), np.array(points), towards, ambient(setup)).stops
    return np.asarray(found)


def test_where_it_was_read_it_is_what_was_read():
    setup = by_a_window()
    assert placed(setup, (0.0, 0.0, 1.5))[0] == pytest.approx(predict(setup).zone("face").placement)


def test_daylight_falls_off_from_the_window():
    # Black walls: the window alone, as one face is told of it by a covered sky.
    setup = by_a_window()
    points = [(0.0, -3.0, 1.5), (0.0, 0.0, 1.5), (0.0, 3.0, 1.5)]
    near, there, far = placed(setup, *points)
    pane = WindowPane.centred(WINDOW.centre_m, 2.0, 2.0, 180.0, Glass(0.8), 0.0)
    lux = [
        float(window_light(pane, Receiver(point, (0, -1, 0)), SKY, room_north_deg=0.0).diffuse_lux[0])
        for point in points
    ]
    assert near - there == pytest.approx(np.log2(lux[0] / lux[1]), abs=0.01)
    assert far - there == pytest.approx(np.log2(lux[2] / lux[1]), abs=0.01)
    assert near - far > 3.0


DOME = unit(MeterSpec(c_incident=340, sources={"*": {"basis": "measured"}}), "X-01")
ASIDE = facing(240)


def test_a_dome_read_more_of_a_window_aside_than_falls_on_the_face():
    # A window 60° off its axis: (1 + cos 60°) / 2 against cos 60°.
    setup = replace(by_a_window(zone=a_zone(facing_deg=240)), meter=DOME)
    on_face = placed(setup, (0.0, 0.0, 1.5), towards=ASIDE)[0]
    assert predict(setup).zone("face").placement - on_face == pytest.approx(np.log2(1.5), abs=0.03)
    flat = replace(setup, meter=unit(DOME.spec.model_copy(update={"receptor": "flat"}), "X-02"))
    assert placed(flat, (0.0, 0.0, 1.5), towards=ASIDE)[0] == pytest.approx(
        predict(flat).zone("face").placement, abs=1e-9
    )


def test_lux_fall_on_the_face_whatever_the_meter():
    setup = by_a_window({"ev100": None, "lux": 200}, zone=a_zone(facing_deg=240))
    exposure = exposure_of(setup)
    with_dome = placed(replace(setup, meter=DOME), (0.0, 0.0, 1.5), towards=ASIDE)[0]
    assert with_dome == pytest.approx(np.log2(200 * exposure.time_s * exposure.gain / 340))


def test_white_walls_carry_it_on():
    points = (0.0, -3.0, 1.5), (0.0, 3.0, 1.5)
    black = placed(by_a_window(), *points)
    white = placed(by_a_window(wall_reflectance=0.8, ceiling_reflectance=0.8, floor_reflectance=0.4), *points)
    assert white[0] - white[1] < black[0] - black[1] - 0.5


def test_over_a_plan_it_is_what_single_points_say():
    setup = by_a_window(wall_reflectance=0.5)
    prediction, grid = predict(setup), grid_of(setup, 0.5)
    plan = placement_map(setup, prediction, grid, 1.5, 180.0, ambient=ambient(setup))
    x, y = np.meshgrid(grid.x_m, grid.y_m)
    single = placed(setup, *np.stack([x.ravel(), y.ravel(), 0 * x.ravel() + 1.5], axis=1)).reshape(x.shape)
    # At the foot of the walls themselves half of the world is the wall, and beside the pane there is none.
    inner = np.s_[1:-1, 1:-1]
    assert np.isfinite(single[inner]).all()
    assert np.abs(plan.stops[inner] - single[inner]).max() < 0.05


def test_through_a_slit_that_gives_the_zone_next_to_nothing_it_falls_off_all_the_same():
    slit = replace(WINDOW, width_m=0.06, height_m=0.06, centre_m=(0.0, -5.0, 1.5))
    found = ambient(by_a_window(windows=(slit,)))
    assert 0 < found.read_lux < 1
    near, there = placed(by_a_window(windows=(slit,)), (0.0, -2.5, 1.5), (0.0, 0.0, 1.5))
    # Half as far from a small window, four times as much.
    assert near - there == pytest.approx(2.0, abs=0.1)


@pytest.mark.parametrize(
    "setup",
    [
        pytest.param(by_a_window({"at": None}), id="no hour: nobody says that it is daylight"),
        pytest.param(by_a_window(windows=()), id="no windows"),
        pytest.param(by_a_window(outdoors=True), id="outdoors"),
        pytest.param(replace(by_a_window(), room=None), id="no room"),
        pytest.param(by_a_window(zone=a_zone(facing_deg=0)), id="the zone sees none of it"),
        pytest.param(by_a_window(zone=a_zone(distance_m=9.0)), id="the zone lies outside the room"),
        pytest.param(by_a_window({"ev100": None, "lux": 0}), id="dark"),
    ],
)
def test_what_nobody_knows_is_even(setup):
    found = ambient(setup)
    assert found.windows is None
    near, far = found.at(np.array([[0, -3.0, 1.5], [0, 3.0, 1.5]]), np.tile(TO_WINDOW, (2, 1)))
    assert near == far == pytest.approx(found.amount)
    assert found.over(grid_of(by_a_window(), 1.0), 1.5, TO_WINDOW) == found.amount


def test_where_no_zone_stands_in_the_room_nobody_asks_how_its_windows_light_it():
    for zone, there in ((a_zone(distance_m=9.0), False), (a_zone(), True)):
        setup = by_a_window(zone=zone)
        assert (windows_of(setup, light_up(setup)) is not None) is there


def test_a_zone_outside_the_room_is_even_also_beside_one_inside():
    setup = by_a_window(zone=a_zone(distance_m=9.0))
    look = a_look(
        zones=[a_zone(distance_m=9.0), a_zone("inside", facing_deg=180)],
        ambient=[{"zone": name, "ev100": 6.0, "at": "11:00"} for name in ("face", "inside")],
        lights=[],
    )
    setup = replace(setup, look=look)
    outside, inside = (ambient_of(setup, light_up(setup), zone) for zone in setup.look.zones)
    assert (outside.windows, outside.amount > 0) == (None, True)
    assert inside.windows is not None


def test_a_board_sends_the_window_back_with_lamps_or_without():
    panel = {"name": "Fill", "kind": "board", "bearing_deg": 0, "distance_m": 1.0, "height_m": 1.5}
    panel |= {"width_m": 1.2, "height_of_panel_m": 1.8, "turn_deg": 180}
    behind = np.array([[0.0, 0.2, 1.5]]), facing(0)[None]
    found = []
    for lights in ((), (a_light(setting_stops=0.0),)):
        setup = by_a_window(lights=lights)
        look = a_look(
            zones=[a_zone(facing_deg=180)],
            ambient=[{"zone": "face", "ev100": 6.0, "at": "11:00"}],
            lights=list(lights),
            panels=[panel],
        )
        board = unit(a_board(width_m=1.2, height_m=1.8), "B-01")
        with_it = replace(setup, look=look, panels=(AssignedPanel(look.panels[0], board),))
        assert ambient(setup).at(*behind)[0] == pytest.approx(0.0, abs=1e-9)
        found.append(float(ambient(with_it).at(*behind)[0]))
    assert found[0] > 0
    assert found[0] == pytest.approx(found[1], rel=1e-6)


def test_a_silk_before_the_window_takes_from_it_with_lamps_or_without():
    silk = {"name": "Silk", "kind": "scrim", "bearing_deg": 180, "distance_m": 3.0, "height_m": 1.5}
    silk |= {"width_m": 4.0, "height_of_panel_m": 3.0, "transmittance": 0.3}
    before_it = np.array([[0.0, -4.0, 1.5]]), TO_WINDOW[None]
    found = []
    for panels, lights in (([], ()), ([silk], ()), ([silk], (a_light(setting_stops=0.0),))):
        setup = by_a_window(lights=lights)
        look = a_look(
            zones=[a_zone(facing_deg=180)],
            ambient=[{"zone": "face", "ev100": 6.0, "at": "11:00"}],
            lights=list(lights),
            panels=panels,
        )
        hung = tuple(AssignedPanel(plan, None) for plan in look.panels)
        found.append(float(ambient(replace(setup, look=look, panels=hung)).at(*before_it)[0]))
    # What is read behind the silk is the same; before it there is more than where none hangs.
    assert found[1] > 1.5 * found[0]
    assert found[2] == pytest.approx(found[1], rel=1e-6)
