"""Facts about a figure from head to floor, in the light of a bare head: by the inverse square and the cosine."""

from __future__ import annotations

from math import hypot, log2

import pytest

from recipes.checks.common import Common
from recipes.checks.full_figure import LOWEST_M, check
from recipes.checks.lighting import light_up
from recipes.checks.prediction import predict
from tests.recipes.checks.setups import a_look, a_plan, a_prediction, a_room, a_setup, a_zone

FACE_M = 1.55


def lit_from(distance_m, height_m=FACE_M, frame_m=1.75, lux=0.0, room=None, zone=None):
    """A figure of 1.75 m that looks at a bare head straight before it, turned to its face."""
    face = {"name": "face", "height_m": FACE_M, "target": {"placement_stops": 0.0}, **(zone or {})}
    key = a_plan(bearing_deg=0, distance_m=distance_m, height_m=height_m, aim="face")
    look = a_look(
        key, zones=[face], ambient=[{"zone": "face", "lux": lux}], subject={"frame_height_m": frame_m}
    )
    return a_setup(look, room=room)


def only(setup):
    (finding,) = check(setup, predict(setup))
    return finding


def test_far_away_a_lamp_holds_the_whole_figure():
    finding = only(lit_from(6.0))
    assert (finding.status, finding.unit, finding.limit) == ("ok", "stops", 1.0)
    assert "From head to floor the light holds" in finding.sentence
    assert "under face" in finding.sentence


def test_a_lamp_near_the_face_leaves_the_shoes_in_the_dark():
    finding = only(lit_from(1.0))
    assert finding.status == "gap"
    assert finding.remedies
    assert f"at {LOWEST_M:.2f} m" in finding.sentence


def test_what_is_too_much_is_told_to_a_tenth():
    # 3 log2(hypot(1.6, 1.5) / 1.6) = 1.37 stops.
    assert only(lit_from(1.6)).sentence.endswith("1.4 stops under face, 0.4 more than 1.")


def test_the_fall_is_that_of_inverse_square_and_cosine():
    # At 3 m the shoes are 1.5 m lower: 3 log2(3 / 3.354) = -0.483 stop.
    finding = only(lit_from(3.0))
    assert finding.value == pytest.approx(0.483, abs=1e-3)
    assert finding.margin == pytest.approx(1.0 - 0.483, abs=1e-3)
    assert [working.result for working in finding.workings] == ["−0.01 stops", "−0.10 stops", "−0.48 stops"]


@pytest.mark.parametrize(("distance_m", "status"), [(3.0, "ok"), (2.0, "ok"), (1.9, "gap")])
def test_a_stop_from_head_to_floor_is_the_limit(distance_m, status):
    # 3 log2(hypot(d, 1.5) / d): 0.48, 0.97 and 1.05 stops; how bright the head is cancels.
    finding = only(lit_from(distance_m))
    assert finding.value == pytest.approx(3.0 * log2(hypot(distance_m, 1.5) / distance_m), abs=1e-3)
    assert finding.status == status


def test_only_what_is_in_the_frame_is_asked():
    whole, half = only(lit_from(1.0)), only(lit_from(1.0, frame_m=0.7))
    assert half.value < whole.value
    assert "From 1.75 m down to 1.05 m" in half.sentence


def test_a_lamp_low_down_makes_the_legs_brighter_than_the_face():
    assert "over face" in only(lit_from(1.5, height_m=0.5)).sentence


def test_even_ambient_holds_the_figure_together():
    # 4000 lx at 1/128 s, f/5.657 and ISO 100 with C 250 put everything at -1.36 by themselves.
    assert only(lit_from(1.0, lux=4000.0)).value < only(lit_from(1.0)).value


def test_ambient_lies_under_lamp_and_shoes_alike():
    # By the sum of their light: the shoes get of the lamp at 2 m (2 / 2.5)³ of what the face gets, of the ambient as
    # much.
    setup = lit_from(2.0, lux=4000.0)
    placed = predict(setup).zone("face")
    ambient = 2.0**placed.ambient_placement
    lamp = 2.0**placed.placement - ambient
    assert lamp > ambient > 0
    assert only(setup).value == pytest.approx(
        log2((lamp + ambient) / (lamp * (2.0 / 2.5) ** 3 + ambient)), abs=1e-3
    )


def test_of_one_light_alone_the_drift_is_as_sure_as_its_geometry():
    # The head is known to half a stop, and nobody knows how the lens focuses: face and shoes share both.
    setup = lit_from(2.0)
    lighting = light_up(setup)
    own, lens = lighting.lights[0].head_spread_stops, lighting.lens_spread_stops
    assert (own, lens > 0) == (0.5, True)
    assert predict(setup).zone("face").spread_stops == pytest.approx(hypot(own, lens))
    assert only(setup).spread == pytest.approx(0.0, abs=1e-12)


def test_lamp_and_ambient_leave_in_doubt_what_they_make_up_more_of_up_or_down():
    # At 2 m the shoes get (2 / 2.5)³ of the lamp on the face, and all of the ambient.
    setup = lit_from(2.0, lux=4000.0)
    lamp = dict(predict(setup).zone("face").light_shares)["Key"]
    at_shoes = lamp * 0.512 / (lamp * 0.512 + 1.0 - lamp)
    head, reading = light_up(setup).lights[0].head_spread_stops, setup.look.ambient[0].spread_stops
    assert (head, reading) == (0.5, 0.15)
    assert only(setup).spread == pytest.approx((lamp - at_shoes) * hypot(head, reading), rel=1e-3)


def test_a_room_gives_the_shoes_another_share_than_the_face():
    setup = lit_from(2.0, room=a_room())
    placed = predict(setup).zone("face")
    assert 0.0 < only(setup).spread < placed.spread_stops


@pytest.mark.parametrize(("distance_m", "asked"), [(0.8, 1), (0.81, 0)])
def test_what_stands_within_four_fifths_of_a_metre_is_on_the_subject(distance_m, asked):
    # Common practice, no source.
    setup = lit_from(3.0, zone={"distance_m": distance_m, "bearing_deg": 90})
    assert len(list(check(setup, predict(setup)))) == asked


def test_the_face_counts_and_not_a_zone_lower_down():
    zones = [
        {"name": name, "height_m": height, "target": {"placement_stops": 0.0}}
        for name, height in (("hem", 0.5), ("face", 1.55))
    ]
    readings = [{"zone": zone["name"], "lux": 0.0} for zone in zones]
    setup = a_setup(
        a_look(a_plan(aim="face"), zones=zones, ambient=readings, subject={"frame_height_m": 1.8})
    )
    assert only(setup).about == "face"


def test_what_the_check_takes_for_the_face_is_what_the_prediction_says():
    setup = lit_from(2.0)
    prediction = predict(setup)
    (finding,) = check(setup, prediction, Common(setup))
    placement = prediction.zone("face").placement
    assert finding.workings[0].numbers.endswith(f" − {placement:.2f}".replace("-", "−"))


def test_where_the_recipe_does_not_say_what_is_in_the_frame_there_is_no_question():
    setup = lit_from(1.0, frame_m=None)
    assert list(check(setup, predict(setup))) == []


@pytest.mark.parametrize(("height_m", "asked"), [(1.75, 1), (1.76, 0)])
def test_what_stands_on_a_table_has_no_floor(height_m, asked):
    # The subject is 1.75 m high: nothing of it is above that, unless it stands on something.
    setup = lit_from(1.0, zone={"height_m": height_m})
    assert len(list(check(setup, predict(setup)))) == asked


def test_silhouettes_backdrops_and_zones_that_nobody_knows_ask_nothing():
    for zone in ({"stays_dark": True}, {"bearing_deg": 90, "distance_m": 1.0}):
        setup = lit_from(2.0, zone=zone)
        assert list(check(setup, predict(setup))) == []
    for placed in (a_zone(placement=None), a_zone(light_shares=())):
        assert list(check(lit_from(2.0), a_prediction(zones=(placed,)))) == []


def test_a_light_outside_the_room_is_no_question_here():
    assert list(check(lit_from(9.0, room=a_room()), a_prediction())) == []
