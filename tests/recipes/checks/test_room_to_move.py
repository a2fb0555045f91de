"""Facts about room to move: in the light of a bare head the tone follows the inverse square of the distance."""

from __future__ import annotations

import pytest

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
    assert finding.status == status
    assert bool(finding.remedies) == (status != "ok")


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
