"""Where lights, boards and the subject stand, and which way they are turned."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from recipes.checks.exposure import meter_of
from recipes.checks.heads import Missing, head_output
from recipes.checks.stage import board_of, places_to_move, source_of
from recipes.light.emission import beam
from tests.recipes.stages import a_board, a_hall, a_light, a_look, a_panel, a_setup, a_zone, unit


def staged(plan, heads=None, **look):
    setup = a_setup(a_look(lights=[plan], **look), heads=heads)
    (light,) = setup.lights
    return source_of(light, head_output(light, meter_of(setup)), setup.look)


def test_a_light_without_an_aim_is_turned_to_the_head_of_the_subject():
    # Nine tenths of 1.75 m: common practice, no source.
    level = staged({**a_light(bearing_deg=30, height_m=1.575), "aim": None}, subject={"height_m": 1.75})
    assert level.emitter.axis == pytest.approx((-0.5, -(0.75**0.5), 0.0))


@pytest.mark.parametrize(("distance_m", "stands"), [(0.045, False), (0.055, True)])
def test_a_light_stands_somewhere_else_than_what_it_is_turned_to(distance_m, stands):
    # Common practice, no source: nearer than a hand's breadth is the same place.
    if stands:
        assert staged(a_light(distance_m=distance_m))
    else:
        with pytest.raises(Missing, match="they stand in one place"):
            staged(a_light(distance_m=distance_m))


@pytest.mark.parametrize(
    ("angle_deg", "counts_as_deg"), [(60.0, 60.0), (110.0, 110.0), (130.0, 120.0), (360.0, 120.0)]
)
def test_a_flat_panel_sends_no_more_to_the_side_than_a_matt_face(angle_deg, counts_as_deg):
    # Half of its intensity at 60°: Lambert's cosine.
    panel = unit(a_panel(beam_angle_deg=angle_deg, face_width_m=0.3, face_height_m=0.3))
    assert staged(a_light(source="continuous"), heads=(panel,)).emission == beam(counts_as_deg)


def test_a_board_that_nobody_turned_looks_half_way_between_lamp_and_mark():
    # The lamp 1.5 m to the left of the mark, the board 1.5 m before the lamp, all at one height: half-way between 180°
    # and 225° is 202.5°.
    bounce = {
        "bearing_deg": 45,
        "distance_m": 1.5 * 2**0.5,
        "height_m": 1.5,
        "width_m": 1,
        "height_of_board_m": 1,
    }
    (light,) = a_setup(a_look(lights=[a_light(bearing_deg=90, distance_m=1.5, bounce=bounce)])).lights
    turned = np.radians(202.5)
    assert board_of(light).face.normal == pytest.approx((np.sin(turned), np.cos(turned), 0.0))


def test_a_board_that_is_turned_and_tilted_looks_where_the_recipe_says_and_is_known_as_its_sheet_says():
    bounce = {"bearing_deg": 90, "distance_m": 1.5, "height_m": 1.0, "width_m": 1, "height_of_board_m": 1}
    plan = a_light(bounce={**bounce, "turn_deg": 270.0, "tilt_up_deg": 30.0})
    known = {"reflectance": {"basis": "measured", "spread_stops": 0.03}}
    (light,) = a_setup(a_look(lights=[plan]), board=unit(a_board(sources=known), "B-01")).lights
    board = board_of(light)
    # Bearing 270 looks along -x, 30° up of that.
    assert board.face.normal == pytest.approx((-np.cos(np.radians(30)), 0.0, 0.5))
    assert (board.label, board.spread_stops) == ("board of Key", 0.03)


def test_the_subject_moves_a_metre_and_a_half_at_the_height_of_its_zones_and_no_farther_than_the_walls():
    # Common practice, no source.
    zones = [a_zone("face", height_m=1.5), a_zone("hem", height_m=0.5)]
    readings = [{"zone": zone["name"], "lux": 0} for zone in zones]
    setup = a_setup(a_look(zones=zones, ambient=readings))
    sides = (-1.5, 0.0, 1.5)
    everywhere = sorted((x, y, 1.0) for x in sides for y in sides)
    assert sorted(map(tuple, places_to_move(setup))) == everywhere
    inside = places_to_move(replace(setup, room=a_hall(mark_m=(1.0, 5.0))))
    assert np.unique(inside[:, 0]) == pytest.approx([-1.5, 0.0, 1.0])
