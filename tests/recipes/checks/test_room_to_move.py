"""Facts about room to move: in the light of a bare head the tone follows the inverse square of the distance."""

from __future__ import annotations

from dataclasses import replace
from math import log2

import pytest

from recipes.checks import room_to_move as module
from recipes.checks.prediction import predict
from recipes.checks.room_to_move import check
from tests.recipes.checks.setups import a_look, a_plan, a_prediction, a_room, a_setting, a_setup, a_zone


def lit_from(distance_m, tolerance=0.3, lux=0.0, zone=None, room=None, **plan):
    """A face that looks at a bare head straight before it, at its own height."""
    face = {"name": "face", "target": {"placement_stops": 0.0, "tolerance_stops": tolerance}, **(zone or {})}
    key = a_plan(bearing_deg=0, distance_m=distance_m, height_m=1.55, aim="face", **plan)
    return a_setup(a_look(key, zones=[face], ambient=[{"zone": "face", "lux": lux}]), room=room)


def only(setup):
    (finding,) = check(setup, predict(setup))
    return finding


def test_the_farther_the_light_the_more_room():
    near, far = only(lit_from(1.0)), only(lit_from(3.0))
    assert near.value < far.value
    assert near.unit == "m²"


def test_the_steps_to_front_and_back_follow_the_inverse_square():
    # From 2 m: 2 log2(2 / 2.3) = -0.40 stop back, 2 log2(2 / 1.7) = +0.47 stop front. A grid of 0.15 m holds both.
    steps = only(lit_from(2.0)).workings[1].result
    assert steps.split(", ")[2:] == ["-0.40", "+0.47 stops"]


@pytest.mark.parametrize(
    ("distance_m", "tolerance", "status"), [(3.0, 0.5, "ok"), (1.0, 0.3, "tight"), (0.6, 0.1, "gap")]
)
def test_too_little_room_to_stand_is_a_gap(distance_m, tolerance, status):
    finding = only(lit_from(distance_m, tolerance))
    # A tenth of a square metre to stand on: common practice, no source.
    assert (finding.status, finding.limit) == (status, 0.1)
    assert bool(finding.remedies) == (status != "ok")


def steps(setup):
    told = only(setup).workings[1].result.removesuffix(" stops")
    return [float(step) for step in told.split(", ")]


def beside(distance_m, zone=None, room=None):
    """A face half a metre to the left of the mark that looks at a head to its left."""
    face = {
        "name": "face",
        "target": {"placement_stops": 0.0},
        "bearing_deg": 90,
        "distance_m": 0.5,
        "facing_deg": 90,
    }
    key = a_plan(bearing_deg=90, distance_m=distance_m + 0.5, height_m=1.55, aim="face")
    readings = [{"zone": "face", "lux": 0.0}]
    return a_setup(a_look(key, zones=[{**face, **(zone or {})}], ambient=readings), room=room)


def test_the_four_half_steps_are_told_from_where_the_face_is():
    # Nearer and farther by the inverse square; to the sides also by the cosine: 3 log2(2 / hypot(2, 0.3)).
    assert steps(beside(2.0)) == pytest.approx([0.47, -0.40, -0.05, -0.05], abs=0.011)


def test_ambient_does_not_fall_off():
    setup = lit_from(2.0, lux=4000.0)
    placed = predict(setup).zone("face")
    ambient = 2.0**placed.ambient_placement
    lamp = 2.0**placed.placement - ambient
    back = log2((lamp * (2.0 / 2.3) ** 2 + ambient) / (lamp + ambient))
    assert steps(setup)[2] == pytest.approx(back, abs=0.011)


@pytest.mark.parametrize(
    ("size", "mark", "count"),
    [
        ((6.0, 8.0), (3.0, 3.0), 4),
        # A wall just at the end of the half step, and one nearer.
        ((0.6, 8.0), (0.3, 3.0), 4),
        ((6.0, 8.0), (0.29, 3.0), 3),
        ((0.59, 8.0), (0.3, 3.0), 3),
        ((6.0, 8.0), (3.0, 0.3), 4),
        ((6.0, 8.0), (3.0, 0.29), 3),
    ],
)
def test_a_step_into_a_wall_is_not_told(size, mark, count):
    room = a_room(width_m=size[0], depth_m=size[1], mark_m=mark)
    assert len(steps(lit_from(2.0, room=room))) == count


@pytest.mark.parametrize(("depth_m", "count"), [(0.6, 4), (0.59, 3)])
def test_nor_one_into_the_wall_behind_the_camera(depth_m, count):
    face = {"bearing_deg": 0, "distance_m": 0.0}
    room = a_room(depth_m=depth_m, mark_m=(4.0, 0.3))
    assert len(steps(beside(2.0, zone=face, room=room))) == count


def test_the_plan_ends_a_metre_and_a_half_to_each_side():
    # Common practice, no source. By a lamp far away all of it holds.
    finding = only(lit_from(30.0, tolerance=1.0))
    assert "at least" in finding.sentence
    assert finding.value == pytest.approx(3.0**2, abs=0.95)
    aside = only(lit_from(30.0, tolerance=1.0, zone={"bearing_deg": 90, "distance_m": 0.5}))
    assert aside.value == pytest.approx(finding.value)


@pytest.mark.parametrize(
    ("area_m2", "status"), [(0.0995, "gap"), (0.1, "tight"), (0.12, "tight"), (0.4995, "tight"), (0.5, "ok")]
)
def test_a_tenth_of_a_square_metre_to_stand_on_and_half_a_one_to_step(monkeypatch, area_m2, status):
    # Common practice, no source.
    real = module.room_to_move
    monkeypatch.setattr(module, "room_to_move", lambda *given: replace(real(*given), area_m2=area_m2))
    assert only(lit_from(2.0)).status == status


@pytest.mark.parametrize(("distance_m", "asked"), [(0.8, 1), (0.81, 0)])
def test_what_stands_within_four_fifths_of_a_metre_is_on_the_subject(distance_m, asked):
    # Common practice, no source.
    setup = beside(3.0, zone={"distance_m": distance_m})
    assert len(list(check(setup, predict(setup)))) == asked


def test_an_area_that_runs_off_the_plan_is_at_least_so_large():
    assert "at least" in only(lit_from(8.0, tolerance=1.0)).sentence


def test_even_ambient_gives_more_room():
    # 4000 lx at 1/128 s, f/5.657 and ISO 100 with C 250 put the face at -1.36 by itself.
    assert only(lit_from(1.0, lux=4000.0)).value > only(lit_from(1.0)).value


def test_a_wall_ends_it():
    room = a_room(mark_m=(3.0, 0.2), wall_reflectance=0.0, floor_reflectance=0.0, ceiling_reflectance=0.0)
    assert only(lit_from(2.0, room=room)).value < only(lit_from(2.0)).value


def test_the_most_exacting_zone_on_the_subject_counts():
    zones = [
        {"name": name, "height_m": height, "target": {"placement_stops": 0.0, "tolerance_stops": tolerance}}
        for name, height, tolerance in (("hem", 0.5, 0.5), ("face", 1.55, 0.2))
    ]
    readings = [{"zone": zone["name"], "lux": 0.0} for zone in zones]
    setup = a_setup(a_look(a_plan(aim="face"), zones=zones, ambient=readings))
    assert only(setup).about == "face"


def test_a_zone_or_a_light_outside_the_room_is_no_question_here():
    outside = lit_from(2.0, room=a_room(mark_m=(3.0, -1.0)))
    behind_the_wall = lit_from(
        2.0, zone={"bearing_deg": 180, "distance_m": 0.5}, room=a_room(mark_m=(3.0, 0.2))
    )
    assert list(check(behind_the_wall, a_prediction())) == []
    assert list(check(outside, a_prediction())) == []
    light_outside = lit_from(9.0, room=a_room())
    assert list(check(light_outside, a_prediction())) == []


@pytest.mark.parametrize(
    "zone",
    [
        {"stays_dark": True},
        {"bearing_deg": 90, "distance_m": 1.0},
    ],
)
def test_silhouettes_and_backdrops_ask_nothing(zone):
    setup = lit_from(2.0, zone=zone)
    assert list(check(setup, predict(setup))) == []


def test_a_zone_that_nobody_knows_or_that_no_light_reaches_asks_nothing():
    setup = lit_from(2.0)
    window = {"name": "window", "reading": "luminance", "target": {"placement_stops": 0.0}}
    backdrop = a_setup(a_look(zones=[window], ambient=[]))
    assert list(check(backdrop, a_prediction(zones=(a_zone("window"),)))) == []
    for placed in (a_zone(placement=None), a_zone(light_shares=())):
        assert list(check(setup, a_prediction(a_setting(), zones=(placed,)))) == []
