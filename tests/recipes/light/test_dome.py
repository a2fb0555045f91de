"""Facts about the dome of an incident meter: it sees what comes from aside, and half of what is all round it."""

from __future__ import annotations

from math import prod

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light.apex import MeterProfile
from recipes.light.dome import (
    ALL_ROUND,
    ALL_ROUND_WEIGHTS,
    OVER_FLAT_SPREAD_STOPS,
    OVER_FLAT_STOPS,
    on_axis_over_flat,
    read_by_dome,
)
from recipes.light.geometry import direction, disc, facing, position, rectangle
from recipes.light.gloss import Gloss
from recipes.light.lamps import Lamps
from recipes.light.quadrature import even_nodes
from recipes.light.scene import Board, RoomBox, Scene, glowing_face, light_scene
from recipes.light.strobe import flux_of_reading_lms
from tests.recipes.light.scenes import a_bulb, a_softbox

HEAD = np.array([0.0, 0.0, 1.5])
TO_CAMERA = facing(0)
ROOM_BOX = RoomBox(6.0, 8.0, 3.0, (2.5, 3.0))


def dome(scene: Scene, facing_to=TO_CAMERA, point=HEAD) -> float:
    read = read_by_dome(light_scene(scene, point[None]), point[None], facing_to[None])
    return float(read.flash_lxs[0] + read.ambient_lux[0])


def flat(scene: Scene, facing_to=TO_CAMERA) -> float:
    found = light_scene(scene, HEAD[None]).at(HEAD, facing_to)
    return float(found.flash_lxs + found.ambient_lux)


@pytest.mark.parametrize(
    ("aside_deg", "response"),
    # R package photobiologySensors, angular_response(c(0, 30, 60, 90, 45), "dome"), by elevation.
    [(90, 0.5), (60, 0.75), (30, 0.9330127), (0, 1.0), (45, 0.8535534)],
)
def test_the_response_of_a_dome(aside_deg, response):
    def bulb(bearing):
        return Scene((a_bulb(at=HEAD + 3.0 * facing(bearing)),))

    assert dome(bulb(aside_deg)) / dome(bulb(0)) == pytest.approx(response, abs=1e-6)
    assert dome(bulb(-aside_deg)) / flat(bulb(0)) == pytest.approx(response, abs=1e-6)


def test_nothing_comes_from_straight_behind():
    behind = Scene((a_bulb(at=HEAD - 3.0 * TO_CAMERA),))
    assert dome(behind) == pytest.approx(0.0, abs=1e-9)


def test_the_directions_all_round_are_exact_to_the_ninth_degree():
    # The mean of x^a y^b z^c over the sphere: (a-1)!! (b-1)!! (c-1)!! / (a+b+c+1)!! for even powers, else 0.
    def odd_product(n):
        return prod(range(n, 0, -2))

    for a in range(10):
        for b in range(10 - a):
            for c in range(10 - a - b):
                found = np.prod(ALL_ROUND ** [a, b, c], axis=1) @ ALL_ROUND_WEIGHTS
                exact = (
                    odd_product(a - 1) * odd_product(b - 1) * odd_product(c - 1) / odd_product(a + b + c + 1)
                )
                assert found == pytest.approx(exact if a % 2 == b % 2 == c % 2 == 0 else 0.0, abs=1e-14)


def test_in_a_world_that_is_alike_all_round_it_reads_a_stop_more():
    sides = [rectangle(HEAD + side * way, -side * way, 2.0, 2.0) for way in np.eye(3) for side in (1.0, -1.0)]
    scene = Scene(tuple(glowing_face(str(n), side, 100.0) for n, side in enumerate(sides)))
    assert flat(scene) == pytest.approx(100.0 * np.pi)
    assert dome(scene) == pytest.approx(2 * 100.0 * np.pi)


def test_of_light_from_who_knows_where_it_reads_nine_tenths_of_a_stop_more():
    # A share of it the same from all sides, 0 to 1, the rest from one direction, its cosine from 0 to 1 by the solid
    # angle: both alike likely. Middles of 2,000 by 2,000 cells.
    middles = (np.arange(2000) + 0.5) / 2000
    alike, cosine = np.meshgrid(middles, middles)
    read = 2.0 * alike + (1.0 - alike) * (1.0 + cosine) / 2.0
    more = np.log2(read / (alike + (1.0 - alike) * cosine))
    assert more.mean() == pytest.approx(OVER_FLAT_STOPS, abs=0.005)
    assert more.std() == pytest.approx(OVER_FLAT_SPREAD_STOPS, abs=0.005)


def test_before_half_a_world_of_light_it_reads_half_as_much_again():
    close = glowing_face("wall", rectangle(HEAD + 0.01 * TO_CAMERA, -TO_CAMERA, 200.0, 200.0), 100.0)
    assert dome(Scene((close,))) / flat(Scene((close,))) == pytest.approx(1.5, abs=1e-3)


@given(st.floats(-170, 170), st.floats(0.4, 3.0), st.booleans())
def test_a_face_is_read_as_by_summing_over_it(bearing, distance, is_round):
    stands = position(bearing, distance, 1.9)
    aim = direction(stands, HEAD)
    lamp = a_softbox(face=disc(stands, aim, 0.7) if is_round else rectangle(stands, aim, 0.6, 0.9))
    nodes = even_nodes(lamp.emitter, 60)
    rays = nodes.points - HEAD
    length = np.linalg.norm(rays, axis=1)
    leaving = np.maximum(-(rays @ lamp.axis) / length, 0.0)
    response = (1.0 + rays @ TO_CAMERA / length) / 2.0
    summed = lamp.flux_lm / lamp.emitter.area_m2 / np.pi * (leaving * response / length**2) @ nodes.areas_m2
    assert dome(Scene((lamp,))) == pytest.approx(summed, rel=3e-3)


@pytest.mark.parametrize(
    ("gloss", "within_stops"), [(None, 0.01), pytest.param(Gloss(0.8, 12.0), 0.04, id="silver")]
)
def test_what_a_board_and_a_room_send_is_read_as_by_thousands_of_directions(gloss, within_stops):
    lamp = a_softbox(at=(1.5, 1.5, 2.0), towards=(-1.5, -1.5, -0.5))
    board = Board("b", rectangle([-0.9, 0.2, 1.5], [1, 0, 0], 1.0, 1.2), 0.85, gloss=gloss)
    stage = light_scene(Scene((lamp,), (board,), room=ROOM_BOX), HEAD[None])
    number = np.arange(4000) + 0.5
    up, round_it = 1.0 - number / 2000.0, np.pi * (1.0 + 5.0**0.5) * number
    level = np.sqrt(1.0 - up**2)
    all_round = np.stack([level * np.cos(round_it), level * np.sin(round_it), up], axis=1)
    for bearing in (0, 70, 200):
        way = facing(bearing)
        flats = [float(stage.at(HEAD, side).flash_lxs) for side in (way, -way)]
        summed = (4.0 * stage.at(HEAD, all_round).flash_lxs.mean() + flats[0] - flats[1]) / 2.0
        read = float(read_by_dome(stage, HEAD[None], way[None]).flash_lxs[0])
        assert abs(np.log2(read / summed)) < within_stops


def test_a_softbox_read_close_up_with_a_dome_sends_less_than_the_same_reading_of_a_flat_receptor_says():
    box = rectangle([0, 0, 0], [0, 1, 0], 0.6, 0.9)
    flat_meter, dome_meter = MeterProfile(250.0), MeterProfile(250.0, receptor="dome")
    close, far = (
        flux_of_reading_lms(8.0, distance, flat_meter, box)
        / flux_of_reading_lms(8.0, distance, dome_meter, box)
        for distance in (0.5, 3.0)
    )
    # F = 0.3939381 (Howell's catalogue); solid angle of a rectangle on its axis, 4 atan(ab / 2d sqrt(4d² + a² + b²)).
    solid_angle = 4.0 * np.arctan(0.54 / np.sqrt(4 * 0.25 + 0.36 + 0.81))
    assert close == pytest.approx((1.0 + solid_angle / (np.pi * 0.3939381)) / 2.0, rel=1e-6)
    assert 1.0 < far < 1.02
    assert flux_of_reading_lms(8.0, 1.0, flat_meter) == pytest.approx(
        flux_of_reading_lms(8.0, 1.0, dome_meter)
    )


def test_turned_to_a_lamp_a_dome_reads_more_only_of_a_wide_one():
    # A disc of half angle a: solid angle 2 pi (1 - cos a), configuration factor sin² a.
    distances = np.array([0.01, 0.1, 0.35, 1.0, 5.0])
    lamps = Lamps([a_softbox(face=disc([0, 0, 0], [0, 1, 0], 0.7)), a_bulb("bulb")])
    wide, bulb = on_axis_over_flat(lamps, distances[:, None] * np.array([0.0, 1.0, 0.0]))
    half = np.arctan(0.35 / distances)
    assert wide == pytest.approx((1.0 + 2.0 * (1.0 - np.cos(half)) / np.sin(half) ** 2) / 2.0, rel=3e-3)
    assert bulb == pytest.approx(1.0)


def test_a_thin_tube_is_wide_along_its_length():
    # 2 m long and a fifth of a millimetre wide at 1 m, by hand along it: the integral of h / d³ over that of h² / d⁴.
    tube = a_softbox(face=rectangle([0, 0, 0], [0, 1, 0], 2.0, 0.0002))
    over_flat = np.sqrt(2.0) / (0.5 + np.pi / 4.0)
    found = on_axis_over_flat(Lamps([tube]), np.array([[0.0, 1.0, 0.0]]))
    assert found[0, 0] == pytest.approx((1.0 + over_flat) / 2.0, rel=1e-6)


def test_two_domes_back_to_back_read_all_that_a_room_sends_from_whatever_side():
    # In a cube lit from near its middle: four times what flat receptors get on the mean, by six of them.
    cube = RoomBox(4, 4, 4, (2, 2), 0.6, 0.6, (0.6,) * 4)
    place = np.array([[0.1, -0.2, 1.9]])
    stage = light_scene(Scene((a_bulb(at=(0, 0, 2.0)),), room=cube), place)
    there, back = (
        read_by_dome(stage, place, side * TO_CAMERA[None]).of_path("bulb", "room again")[0]
        for side in (1.0, -1.0)
    )
    six = stage.at(place[0], np.vstack([np.eye(3), -np.eye(3)])).of_path("bulb", "room again")
    assert there + back == pytest.approx(4.0 * six.mean(), rel=0.02)


def test_a_dome_reads_each_lamp_and_each_way_by_itself():
    # Beside a bulb ahead a board and a room behind: what comes straight is counted in full, whatever else there is.
    lamps = (a_softbox(at=(1.5, 1.5, 2.0), towards=(-1.5, -1.5, -0.5)), a_bulb(at=HEAD + 2.0 * TO_CAMERA))
    board = Board("b", rectangle([-0.9, 0.2, 1.5], [1, 0, 0], 1.0, 1.2), 0.85)
    places = np.stack([HEAD, HEAD + np.array([0.3, -0.4, 0.1])])
    ways = np.stack([TO_CAMERA, facing(60)])
    both = read_by_dome(light_scene(Scene(lamps, (board,), room=ROOM_BOX), places), places, ways)
    assert both.amounts.shape == (2, 4, 2)
    for row, lamp in enumerate(lamps):
        for column in range(2):
            stage = light_scene(Scene((lamp,), (board,), room=ROOM_BOX), places)
            alone = read_by_dome(stage, places[column : column + 1], ways[column : column + 1])
            assert both.amounts[row, :, column] == pytest.approx(alone.amounts[0, :, 0], rel=0.01)
    bare = read_by_dome(light_scene(Scene(lamps), places), places, ways)
    assert both.amounts[:, 0] == pytest.approx(bare.amounts[:, 0])
