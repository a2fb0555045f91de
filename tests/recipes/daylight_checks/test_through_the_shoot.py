"""Does the daylight hold, and when does the sun come in: on a clear spring day at 48.2° N, 16.4° E."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from math import log2
from zoneinfo import ZoneInfo

import pytest

from recipes.checks import daylight, sun_on_mark
from recipes.checks.lighting import light_up
from recipes.checks.panes import panes_of, site_of
from recipes.checks.prediction import predict
from recipes.checks.setup import AssignedPanel, Window
from recipes.checks.window_ambient import ambient_of
from recipes.light.carry import carry_spread_stops
from recipes.light.daylight import (
    Receiver,
    Weather,
    flux_into_room_lm,
    pane_curve,
    sky_through,
    window_curve,
    window_lux,
)
from recipes.light.geometry import facing, position
from recipes.light.sun_patch import sun_intervals
from recipes.look_panel import Panel
from tests.recipes.stages import a_hall, a_light, a_look, a_setup, a_zone

VIENNA = ZoneInfo("Europe/Vienna")
SOUTH = Window("South window", 2.0, 2.0, 0.8, (0.0, -5.0, 1.8), azimuth_deg=180.0)
ROOF = Window("Skylight", 2.0, 2.0, 5.0, (0.0, 0.0, 5.0), azimuth_deg=0.0, skylight=True)


def on(hour, minute=0, month=3, day=20):
    return datetime(2026, month, day, hour, minute, tzinfo=VIENNA)


def hall(*windows, **more):
    """The far wall looks south: the line from the mark to the camera points north."""
    return a_hall(windows=windows, latitude_deg=48.2, longitude_deg=16.4, north_deg=0.0, country="AT", **more)


def look(at="12:00", tolerance=0.5, lamps=(), **zone):
    window = a_zone(
        "window", 0.0, tolerance, reading="luminance", glows=True, bearing_deg=180, distance_m=5.0, **zone
    )
    return a_look(zones=[window], lights=list(lamps), ambient=[{"zone": "window", "ev100": 13, "at": at}])


def findings(setup, check=daylight):
    return list(check.check(setup, predict(setup)))


def only(setup, check=daylight):
    (finding,) = findings(setup, check)
    return finding


def test_around_noon_a_south_window_holds():
    finding = only(a_setup(look(), room=hall(SOUTH), starts=on(11), ends=on(13)))
    assert finding.status in ("ok", "tight")
    assert finding.value == pytest.approx(0.0, abs=0.3)


def test_towards_the_evening_it_leaves_its_bracket_and_the_hours_are_named():
    finding = only(a_setup(look(), room=hall(SOUTH), starts=on(10), ends=on(18)))
    assert finding.status == "gap"
    assert finding.margin < 0
    assert "too dark at 18:00" in finding.sentence
    assert "from 10:" in finding.sentence
    assert finding.remedies[0].sentence.startswith("Make this look from 10:")


def test_what_was_read_at_noon_is_right_at_noon():
    finding = only(a_setup(look(), room=hall(SOUTH), starts=on(12), ends=on(12, 10)))
    assert finding.workings[0].result.startswith(("+0.0", "-0.0"))


def test_a_zone_that_may_be_dark_only_minds_the_morning_sun():
    dark = look(tolerance=0.3, stays_dark=True)
    assert only(a_setup(dark, room=hall(SOUTH), starts=on(15), ends=on(18))).status in ("ok", "tight")


def test_the_lamps_hold_a_face_that_the_window_leaves():
    def lit(lamps):
        return a_look(
            zones=[a_zone(tolerance=0.5, facing_deg=180)],
            lights=lamps,
            ambient=[{"zone": "face", "ev100": 10, "at": "12:00"}],
        )

    light = a_light(bearing_deg=180, distance_m=2.0)
    alone = only(a_setup(lit([]), room=hall(SOUTH), starts=on(12), ends=on(17)))
    helped = only(a_setup(lit([light]), room=hall(SOUTH), starts=on(12), ends=on(17)))
    assert helped.margin > alone.margin + 0.5


def test_the_last_moment_of_an_odd_shoot_is_looked_at_too():
    finding = only(a_setup(look(), room=hall(SOUTH), starts=on(17), ends=on(17, 57)))
    assert finding.workings[-1].name == "17:57"


@pytest.mark.parametrize(
    ("change", "missing"),
    [
        ({"starts": None}, "hours of the shoot"),
        ({"room": None}, "latitude and longitude"),
        ({"room": replace(hall(SOUTH), latitude_deg=None)}, "latitude and longitude"),
        ({"room": hall()}, "windows of the room"),
    ],
)
def test_what_is_missing_is_named(change, missing):
    setup = a_setup(look(), **{"room": hall(SOUTH), "starts": on(10), "ends": on(12), **change})
    finding = only(setup)
    assert finding.status == "unknown"
    assert missing in finding.missing


def test_a_zone_without_a_placement_cannot_be_carried():
    setup = a_setup(
        a_look(ambient=[{"zone": "face", "ev100": 9, "at": "12:00"}]),
        heads=(),
        room=hall(SOUTH),
        starts=on(10),
        ends=on(12),
    )
    assert "a head" in only(setup).missing


def test_a_reading_by_night_cannot_be_carried():
    finding = only(a_setup(look(at="01:00"), room=hall(SOUTH), starts=on(10), ends=on(12)))
    assert finding.status == "unknown"
    assert "no daylight at 01:00" in finding.sentence


def test_a_window_that_is_never_inside_says_so():
    bright = a_look(
        zones=[a_zone("window", -3.0, 0.3, reading="luminance", glows=True, bearing_deg=180, distance_m=5.0)],
        lights=[],
        ambient=[{"zone": "window", "ev100": 13, "at": "12:00"}],
    )
    finding = only(a_setup(bright, room=hall(SOUTH), starts=on(11), ends=on(13)))
    assert "too bright" in finding.sentence
    assert "at no time of the shoot" in finding.sentence
    assert finding.remedies[0].sentence == "Make this look at another hour."


def test_a_reading_without_an_hour_raises_no_question():
    plain = a_look(ambient=[{"zone": "face", "ev100": 9}])
    assert findings(a_setup(plain, room=hall(SOUTH), starts=on(10), ends=on(12))) == []


def test_the_noon_sun_of_spring_comes_through_a_south_window_onto_a_mark_near_it():
    # Altitude at noon 41.8° (90 − 48.2): from a head at 1.6 m, 1 m from the glass, the ray is 0.89 m higher there.
    near = replace(hall(replace(SOUTH, centre_m=(0.0, -1.0, 2.4))), mark_m=(5.0, 1.0))
    finding = only(a_setup(a_look(), room=near, starts=on(10), ends=on(14)), sun_on_mark)
    assert finding.status == "tight"
    assert "South window" in finding.sentence
    assert 0 < finding.value <= 240


@pytest.mark.parametrize(("height_m", "starts"), [(1.75, 8), (1.75, 12), (1.6, 8)])
def test_the_minutes_are_those_of_the_sun_on_the_head_of_the_subject(height_m, starts):
    # The head at nine tenths of the height: common practice, no source. At noon the sun is there already.
    near = replace(hall(replace(SOUTH, height_m=0.4, centre_m=(0.0, -1.0, 2.3))), mark_m=(5.0, 1.0))
    setup = a_setup(a_look(subject={"height_m": height_m}), room=near, starts=on(starts), ends=on(18))
    (pane,) = panes_of(near)
    visits = sun_intervals(
        pane, site_of(near), on(starts), on(18), (0.0, 0.0, 0.9 * height_m), room_north_deg=near.north_deg
    )
    minutes = sum((visit.end - visit.start).total_seconds() for visit in visits) / 60
    assert minutes > 20
    finding = only(setup, sun_on_mark)
    assert (finding.value, finding.limit) == (pytest.approx(minutes, abs=0.1), 0.0)


def test_a_window_without_sun_hides_none_behind_it():
    near = replace(
        hall(
            replace(SOUTH, name="Upper", centre_m=(0.0, -1.0, 9.0)), replace(SOUTH, centre_m=(0.0, -1.0, 2.4))
        ),
        mark_m=(5.0, 1.0),
        height_m=12.0,
    )
    setup = a_setup(a_look(), room=near, starts=on(10), ends=on(14))
    assert [finding.about for finding in findings(setup, sun_on_mark)] == ["South window"]


def test_deep_in_the_room_the_same_sun_passes_overhead():
    assert only(a_setup(a_look(), room=hall(SOUTH), starts=on(10), ends=on(14)), sun_on_mark).status == "ok"


def test_a_high_summer_sun_comes_through_the_roof():
    summer = {"starts": on(10, month=6, day=21), "ends": on(16, month=6, day=21)}
    roof = only(a_setup(a_look(), room=hall(replace(ROOF, width_m=6.0, height_m=6.0)), **summer), sun_on_mark)
    assert "Skylight" in roof.sentence


def test_no_windows_no_question_and_no_place_no_answer():
    assert findings(a_setup(a_look(), room=hall(), starts=on(10), ends=on(12)), sun_on_mark) == []
    nowhere = replace(hall(SOUTH), longitude_deg=None)
    assert only(a_setup(a_look(), room=nowhere, starts=on(10), ends=on(12)), sun_on_mark).status == "unknown"


@pytest.mark.parametrize(("facing_deg", "up_deg"), [(150, 0), (235, 20)])
def test_a_face_that_looks_aside_is_carried_by_the_ratio_of_its_own_light_under_a_clear_sky(
    facing_deg, up_deg
):
    face = a_zone(tolerance=0.5, facing_deg=facing_deg, facing_up_deg=up_deg)
    setup = a_setup(
        a_look(zones=[face], lights=[], ambient=[{"zone": "face", "ev100": 10, "at": "12:00"}]),
        room=hall(SOUTH),
        starts=on(12),
        ends=on(17, 30),
    )
    zone = setup.look.zones[0]
    receiver = Receiver((0.0, 0.0, zone.height_m), tuple(facing(facing_deg, up_deg)))
    noon, evening = window_curve(
        panes_of(setup.room), receiver, site_of(setup.room), Weather(), room_north_deg=setup.room.north_deg
    )((on(12), on(17, 30)))
    last = only(setup).workings[-1]
    here = predict(setup).zone("face").placement
    assert last.name == "17:30"
    assert float(last.result.split()[0].replace("−", "-")) == pytest.approx(
        here + log2(evening / noon), abs=0.06
    )


def test_a_reading_without_an_hour_does_not_hide_the_next_one():
    zones = [a_zone("face", facing_deg=180), a_zone("back", facing_deg=180, height_m=1.2)]
    readings = [{"zone": "face", "ev100": 10}, {"zone": "back", "ev100": 10, "at": "12:00"}]
    setup = a_setup(
        a_look(zones=zones, lights=[], ambient=readings), room=hall(SOUTH), starts=on(11), ends=on(13)
    )
    assert [finding.about for finding in findings(setup)] == ["back"]


GREY = {"wall_reflectance": 0.5, "ceiling_reflectance": 0.7, "floor_reflectance": 0.2}


def away_from_the_window(**room):
    """A face that looks straight away from the only window."""
    face = a_zone(tolerance=0.5, facing_deg=0, facing_up_deg=0)
    look = a_look(zones=[face], lights=[], ambient=[{"zone": "face", "ev100": 8, "at": "12:00"}])
    return a_setup(look, room=hall(SOUTH, **room), starts=on(12), ends=on(17, 30))


def test_a_face_turned_away_from_the_window_follows_all_that_comes_in():
    setup = away_from_the_window(**GREY)
    finding = only(setup)
    sky = sky_through(site_of(setup.room), (on(12), on(17, 30)), Weather())
    ((noon, evening),) = flux_into_room_lm(panes_of(setup.room), (sky,), room_north_deg=0.0)
    here = predict(setup).zone("face").placement
    assert finding.workings[-1].name == "17:30"
    assert told(finding.workings[-1])[0] == pytest.approx(here + log2(evening / noon), abs=0.06)


def test_between_black_walls_no_daylight_comes_to_it_and_that_is_said():
    finding = only(away_from_the_window())
    assert finding.status == "unknown"
    assert "no daylight comes to face at 12:00" in finding.sentence
    assert finding.missing == "a window or a wall that lights face"


def test_in_a_bright_room_window_and_walls_are_carried_each_by_its_own():
    # Part of what the face gets is of the window, the rest of the room; each goes down by its own.
    face = a_zone(tolerance=0.5, facing_deg=150, bearing_deg=180, distance_m=3.0)
    look = a_look(zones=[face], lights=[], ambient=[{"zone": "face", "ev100": 10, "at": "12:00"}])
    setup = a_setup(look, room=hall(SOUTH, **GREY), starts=on(12), ends=on(17, 30))
    (zone,), room = setup.look.zones, setup.room
    windows = ambient_of(setup, light_up(setup), zone).windows
    point, normal = position(180, 3.0, zone.height_m)[None], facing(150)[None]
    covered = sky_through(site_of(room), (on(12), on(17, 30)), COVERED)
    clean = sky_through(site_of(room), (on(12), on(17, 30)), CLEAN)
    ((of_covered, _), (noon, evening)) = flux_into_room_lm(
        panes_of(room), (covered, clean), room_north_deg=0.0
    )
    receiver = Receiver(tuple(point[0]), tuple(normal[0]))
    straight = window_lux(panes_of(room), receiver, (covered, clean), room_north_deg=0.0)
    per_lm = float(windows.off_lux(point, normal)[0] / windows.straight_lux(point, normal)[0])
    per_lm *= straight[0, 0] / of_covered
    expected = log2((straight[1, 1] + per_lm * evening) / (straight[1, 0] + per_lm * noon))
    here = predict(setup).zone("face").placement
    assert told(only(setup).workings[-1])[0] == pytest.approx(here + expected, abs=0.06)
    assert expected != pytest.approx(log2(straight[1, 1] / straight[1, 0]), abs=0.1)


@pytest.mark.parametrize("stray", ["window", "board"])
def test_what_is_measured_outside_the_room_does_not_stop_the_answer(stray):
    setup = away_from_the_window(**GREY)
    if stray == "window":
        setup = replace(setup, room=hall(replace(SOUTH, centre_m=(0.0, -50.0, 1.8)), **GREY))
    else:
        board = Panel(name="Board", bearing_deg=0.0, distance_m=90.0, width_m=1.0, height_of_panel_m=1.0)
        setup = replace(setup, panels=(AssignedPanel(board),))
    assert only(setup).status == "gap"


HAZY = Weather("clear", 5.0)
CLEAN, COVERED = Weather("clear", 3.0), Weather("overcast")
WEST = Window("West window", 2.0, 2.0, 0.8, (5.0, -2.0, 1.8), azimuth_deg=270.0)


def by_the_hour(zones, readings, *windows, hours, lamps=()):
    """Grey walls beside, so that windows alone are carried."""
    look = a_look(zones=zones, lights=list(lamps), ambient=readings)
    return a_setup(look, room=hall(*windows), starts=on(hours[0]), ends=on(hours[-1]))


def told(working):
    """Placement and spread of a line of the sum, in stops."""
    placement, spread = working.result.replace("−", "-").split(" stops, ±")
    return float(placement), float(spread)


def test_a_face_off_the_mark_is_carried_by_its_own_light_and_its_spread_is_that_of_three_skies():
    # The spread is half the range of a clean, a hazy and a covered sky: policy.
    face = a_zone(tolerance=0.5, facing_deg=120, bearing_deg=210, distance_m=3.0)
    setup = by_the_hour([face], [{"zone": "face", "ev100": 10, "at": "12:00"}], SOUTH, hours=(12, 17))
    zone, room = setup.look.zones[0], setup.room
    receiver = Receiver(tuple(position(210, 3.0, zone.height_m)), tuple(facing(120, 0)))
    clean, *others = (
        window_curve(panes_of(room), receiver, site_of(room), sky, room_north_deg=room.north_deg)
        for sky in (CLEAN, HAZY, COVERED)
    )
    noon, evening = clean((on(12), on(17)))
    placement, spread = told(only(setup).workings[-1])
    here = predict(setup).zone("face").placement
    assert placement == pytest.approx(here + log2(evening / noon), abs=0.06)
    assert spread == pytest.approx(
        float(carry_spread_stops(on(12), (on(17),), (clean, *others))[0]), abs=0.06
    )


@pytest.mark.parametrize("hours", [(12, 17), (17, 12)], ids=["sinking", "rising"])
def test_what_lamps_give_of_a_zone_is_as_sure_as_before(hours):
    # By the share that the window has then, and not by the one it had when it was read.
    read, then = hours
    zones = [a_zone(tolerance=0.5, facing_deg=180)]
    readings = [{"zone": "face", "ev100": 11, "at": f"{read}:00"}]
    lamps = [a_light(bearing_deg=180, setting_stops=-1.0)]
    setup = by_the_hour(zones, readings, SOUTH, hours=(12, 17), lamps=lamps)
    share = predict(setup).zone("face").ambient_share
    assert 0.2 < share < 0.8
    height_m, room = setup.look.zones[0].height_m, setup.room
    receiver = Receiver((0.0, 0.0, height_m), tuple(facing(180, 0)))
    stops = []
    for sky in (CLEAN, HAZY, COVERED):
        curve = window_curve(panes_of(room), receiver, site_of(room), sky, room_north_deg=room.north_deg)
        noon, evening = curve((on(12), on(17)))
        carried = evening / noon if then == 17 else noon / evening
        stops.append(log2(share * carried + 1.0 - share))
    lines = only(setup).workings
    assert told(lines[-1 if then == 17 else 0])[1] == pytest.approx((max(stops) - min(stops)) / 2, abs=0.051)


def test_a_window_in_the_picture_is_the_one_at_the_zone_as_the_camera_sees_it():
    glowing = a_zone("window", 0.0, 0.5, reading="luminance", glows=True, bearing_deg=180, distance_m=5.0)
    readings = [{"zone": "window", "ev100": 13, "at": "12:00"}]
    for windows in ((WEST, SOUTH), (SOUTH, WEST)):
        setup = by_the_hour([glowing], readings, *windows, hours=(12, 17))
        camera, room = setup.look.camera, setup.room
        curve = pane_curve(
            panes_of(hall(SOUTH))[0],
            (0.0, camera.distance_m, camera.height_m),
            site_of(room),
            CLEAN,
            room_north_deg=room.north_deg,
        )
        noon, evening = curve((on(12), on(17)))
        here = predict(setup).zone("window").placement
        assert told(only(setup).workings[-1])[0] == pytest.approx(here + log2(evening / noon), abs=0.06)


def test_each_reading_is_carried_from_its_own_hour():
    zones = [a_zone(name, tolerance=0.5, facing_deg=180) for name in ("first", "second")]
    readings = [
        {"zone": "first", "ev100": 10, "at": "13:00"},
        {"zone": "second", "ev100": 10, "at": "16:00"},
    ]
    setup = by_the_hour(zones, readings, SOUTH, hours=(12, 17))
    by_hour = [{working.name: told(working)[0] for working in one.workings} for one in findings(setup)]
    # Read alike, the later one has more light before it.
    assert by_hour[1]["12:00"] > by_hour[0]["12:00"] + 0.5
    late = replace(setup, starts=on(16), ends=on(18))
    placed = predict(setup).zone("second").placement
    assert told(findings(late)[1].workings[0])[0] == pytest.approx(placed, abs=0.06)


def test_a_zone_that_cannot_be_carried_hides_none_behind_it():
    zones = [a_zone(name, facing_deg=180) for name in ("unknown", "known")]
    readings = [{"zone": name, "ev100": 10, "at": "12:00"} for name in ("unknown", "known")]
    setup = by_the_hour(zones, readings, SOUTH, hours=(11, 13))
    prediction = predict(setup)
    first, second = prediction.zones
    unknown = replace(prediction, zones=(replace(first, placement=None, missing="a reading"), second))
    assert [finding.about for finding in daylight.check(setup, unknown)] == ["unknown", "known"]


@pytest.mark.parametrize("target", [1.0, -1.0])
def test_the_margin_is_counted_from_the_target(target):
    zone = a_zone("window", target, 1.5, reading="luminance", glows=True, bearing_deg=180, distance_m=5.0)
    setup = by_the_hour([zone], [{"zone": "window", "ev100": 13, "at": "12:00"}], SOUTH, hours=(11, 13))
    finding = only(setup)
    assert finding.margin == pytest.approx(1.5 - abs(finding.value - target))


def test_start_middle_end_and_worst_are_told_of_an_even_day():
    finding = only(a_setup(look(tolerance=2.0), room=hall(SOUTH), starts=on(10), ends=on(14)))
    worst = finding.sentence.rsplit(" ", 1)[1].rstrip(".")
    assert {working.name for working in finding.workings} == {"10:00", "12:00", "14:00", worst}


@pytest.mark.parametrize(
    ("tolerance", "status", "remedies"), [(0.01, "gap", 2), (0.42, "tight", 0), (3.0, "ok", 0)]
)
def test_only_a_gap_wants_another_hour(tolerance, status, remedies):
    finding = only(a_setup(look(tolerance=tolerance), room=hall(SOUTH), starts=on(12), ends=on(14)))
    assert (finding.status, len(finding.remedies)) == (status, remedies)


def test_by_night_the_window_is_told_as_twenty_stops_down():
    finding = only(a_setup(look(), room=hall(SOUTH), starts=on(16), ends=on(22)))
    assert finding.value == -20.0
    assert told(finding.workings[-1])[0] == -20.0
    assert all(told(working)[1] <= 20.0 for working in finding.workings)


def test_a_zone_that_may_be_dark_is_inside_from_when_it_is_dark_enough_to_the_end():
    dark = look(at="16:00", tolerance=0.1, stays_dark=True)
    finding = only(a_setup(dark, room=hall(SOUTH), starts=on(12), ends=on(22)))
    assert finding.status == "gap"
    assert finding.sentence.endswith("to 22:00.")


def test_a_tiny_window_is_where_the_ambient_comes_from_too():
    # A decimetre of glass five metres away: half a lux of the ten thousand outside.
    slit = replace(SOUTH, width_m=0.1, height_m=0.1)
    face = a_zone(facing_deg=180)
    setup = by_the_hour([face], [{"zone": "face", "ev100": 3, "at": "12:00"}], slit, hours=(11, 13))
    ambient = ambient_of(setup, light_up(setup), setup.look.zones[0])
    assert 0 < ambient.read_lux < 1
    assert ambient.windows is not None
