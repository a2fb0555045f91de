"""How far each figure of a recipe may go, and what a recipe means that does not say more.

The limits catch slips of typing, not of taste; the defaults are an everyday portrait: common practice, no source.
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from recipes.look import LookError, look_schema, parse_look
from tests.recipes.changed import changed

LEAST: dict[str, Any] = {
    "title": "A face",
    "camera": {"aperture": "f/8", "shutter": "1/125", "iso": "100"},
    "zones": [{"name": "face", "target": {"placement_stops": 0.0}}],
    "ambient": [{"zone": "face", "lux": 0}],
    "lights": [
        {
            "name": "Key",
            "role": "key",
            "bearing_deg": 0,
            "distance_m": 2,
            "height_m": 2,
            "modifier": {"width_m": 1.0},
            "bounce": {"bearing_deg": 0, "distance_m": 2, "width_m": 1, "height_of_board_m": 1},
            "gels": [{}],
            "lifts": [{"zone": "face", "alone_stops": 0}],
        }
    ],
    "panels": [{"name": "Fill", "bearing_deg": 0, "distance_m": 1, "width_m": 1, "height_of_panel_m": 1}],
    "subject": {},
    "session": {},
}

LIGHT, PANEL, ZONE, AMBIENT = "lights.0", "panels.0", "zones.0", "ambient.0"
BEARING, DISTANCE, HEIGHT, SIZE, STOPS = (-360, 360), (0, 100), (0, 30), (1e-6, 30), (-20, 20)
UPWARDS, SHARE = (-90, 90), (1e-6, 1)

LIMITS: dict[str, tuple[float, float]] = {
    "camera.distance_m": (1e-6, 100),
    "camera.height_m": HEIGHT,
    "camera.focal_length_mm": (1e-6, 2000),
    "camera.nd_stops": (0, 20),
    f"{ZONE}.bearing_deg": BEARING,
    f"{ZONE}.distance_m": DISTANCE,
    f"{ZONE}.height_m": HEIGHT,
    f"{ZONE}.facing_deg": BEARING,
    f"{ZONE}.facing_up_deg": UPWARDS,
    f"{ZONE}.reflectance": (0, 1),
    f"{ZONE}.target.placement_stops": STOPS,
    f"{ZONE}.target.tolerance_stops": (1e-6, 5),
    f"{AMBIENT}.lux": (0, 1e6),
    f"{AMBIENT}.cct_k": (1000, 40000),
    f"{AMBIENT}.spread_stops": (0, 3),
    f"{LIGHT}.bearing_deg": BEARING,
    f"{LIGHT}.distance_m": DISTANCE,
    f"{LIGHT}.height_m": HEIGHT,
    f"{LIGHT}.scrim_transmittance": SHARE,
    f"{LIGHT}.setting_stops": (-14, 0),
    f"{LIGHT}.heads": (1, 8),
    f"{LIGHT}.modifier.width_m": SIZE,
    f"{LIGHT}.modifier.height_m": SIZE,
    f"{LIGHT}.bounce.bearing_deg": BEARING,
    f"{LIGHT}.bounce.distance_m": DISTANCE,
    f"{LIGHT}.bounce.height_m": HEIGHT,
    f"{LIGHT}.bounce.width_m": SIZE,
    f"{LIGHT}.bounce.height_of_board_m": SIZE,
    f"{LIGHT}.bounce.reflectance": SHARE,
    f"{LIGHT}.bounce.turn_deg": BEARING,
    f"{LIGHT}.bounce.tilt_up_deg": UPWARDS,
    f"{LIGHT}.gels.0.mired_shift": (-400, 400),
    f"{LIGHT}.gels.0.transmittance": SHARE,
    f"{LIGHT}.lifts.0.alone_stops": STOPS,
    f"{PANEL}.bearing_deg": BEARING,
    f"{PANEL}.distance_m": DISTANCE,
    f"{PANEL}.height_m": HEIGHT,
    f"{PANEL}.width_m": SIZE,
    f"{PANEL}.height_of_panel_m": SIZE,
    f"{PANEL}.turn_deg": BEARING,
    f"{PANEL}.tilt_up_deg": UPWARDS,
    f"{PANEL}.reflectance": (0, 1),
    "subject.height_m": SIZE,
    "subject.depth_m": (0, 20),
    "subject.movement_m_per_s": (0, 100),
    "subject.movement_angle_deg": (0, 90),
    "subject.allowed_blur_mm": (1e-6, 5),
    "subject.frame_height_m": SIZE,
    "session.frames": (1, 100_000),
    "session.pace_s": (1e-6, 3600),
    "session.burst_frames": (1, 1000),
    "session.burst_rate_hz": (1e-6, 60),
}
WHOLE = {f"{LIGHT}.heads", "session.frames", "session.burst_frames"}


def with_(path: str, value: Any) -> dict[str, Any]:
    return changed(LEAST, path, value)


def refused(path: str, value: Any) -> str:
    with pytest.raises(LookError) as error:
        parse_look(with_(path, value))
    return {problem.field: problem.expected for problem in error.value.problems}[path]


@pytest.mark.parametrize("path", LIMITS)
def test_a_figure_goes_so_far_and_no_farther(path):
    low, high = LIMITS[path]
    step = 1 if path in WHOLE else 1e-6
    for end in (low, high):
        assert parse_look(with_(path, end))
    assert f"at least {low:g}" in refused(path, low - step) if low != 1e-6 else "above 0" in refused(path, 0)
    assert f"at most {high:g}" in refused(path, high + step * max(1, high * 1e-6))


@pytest.mark.parametrize(("form", "low", "high"), [("ev100", -10, 25), ("lux", 0, 1e6), ("cd_m2", 0, 1e9)])
def test_a_reading_goes_so_far_in_every_form(form, low, high):
    reading = "luminance" if form == "cd_m2" else "incident"
    zone = {"name": "face", "reading": reading, "target": {"placement_stops": 0.0}}
    for value, taken in ((low, True), (high, True), (low - 1e-6, False), (high * 1.001, False)):
        document = {**LEAST, "zones": [zone], "ambient": [{"zone": "face", form: value}]}
        if taken:
            assert parse_look(document)
        else:
            with pytest.raises(LookError):
                parse_look(document)


@pytest.mark.parametrize(("stops", "taken"), [(1e-6, True), (20, True), (0, False), (20.1, False)])
def test_a_lift_raises_a_zone_by_up_to_twenty_stops(stops, taken):
    document = with_(f"{LIGHT}.lifts", [{"zone": "face", "lift_stops": stops}])
    if taken:
        assert parse_look(document)
    else:
        with pytest.raises(LookError):
            parse_look(document)


@pytest.mark.parametrize(("path", "most"), [("title", 60), (f"{ZONE}.name", 60), ("notes", 4000)])
def test_a_text_has_so_many_characters(path, most):
    document = {**with_(path, "x" * most), "ambient": []}
    document["lights"] = []
    assert parse_look(document)
    assert f"at most {most} characters" in refused(path, "x" * (most + 1))


@pytest.mark.parametrize("path", ["title", f"{LIGHT}.name"])
def test_a_name_may_be_one_letter_and_not_none(path):
    assert parse_look(with_(path, "A"))
    assert "some text" in refused(path, "")


@pytest.mark.parametrize(("field", "engraved"), [("aperture", "8"), ("shutter", "1"), ("iso", "100")])
def test_an_engraving_is_one_to_twenty_characters(field, engraved):
    assert parse_look(with_(f"camera.{field}", engraved))
    assert "some text" in refused(f"camera.{field}", "")
    assert "at most 20 characters" in refused(f"camera.{field}", "9" * 21)
    assert "at most 20" not in refused(f"camera.{field}", "9" * 20)


def test_a_speed_may_be_written_as_a_number():
    assert parse_look(with_("camera.iso", 100)).camera.iso == "100"
    # Beyond any camera's speed a number is no engraving.
    assert "the nearest" in refused("camera.iso", 10**9 - 1)
    assert refused("camera.iso", 10**9).startswith("text")


@pytest.mark.parametrize(
    ("path", "value"),
    [("camera.distance_m", float("inf")), ("subject.mood", "dark"), ("session.frames", 3.5), ("title", 7)],
)
def test_the_document_is_strict(path, value):
    with pytest.raises(LookError):
        parse_look(with_(path, value))


def test_a_look_is_not_changed_in_place():
    look = parse_look(LEAST)
    with pytest.raises(ValueError, match="frozen"):
        look.title = "Another"


def test_what_a_recipe_means_that_does_not_say_more():
    stated = parse_look(LEAST).model_dump(mode="json")
    assert stated["schema_version"] == 1
    assert stated["camera"] == {
        "aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "third",
        "distance_m": 3.0, "height_m": 1.6, "focal_length_mm": 85.0, "nd_stops": 0.0, "high_speed_sync": False,
    }  # fmt: skip
    assert stated["zones"] == [
        {
            "name": "face", "reading": "incident", "bearing_deg": 0.0, "distance_m": 0.0, "height_m": 1.55,
            "facing_deg": 0.0, "facing_up_deg": 0.0, "reflectance": 0.18,
            "target": {"placement_stops": 0.0, "tolerance_stops": 0.5}, "stays_dark": False, "glows": False,
        }
    ]  # fmt: skip
    (reading,) = stated["ambient"]
    assert {name: value for name, value in reading.items() if value is not None} == {
        "zone": "face",
        "lux": 0.0,
        "spread_stops": 0.15,
    }
    (light,) = stated["lights"]
    assert light["modifier"] == {"shape": "rectangle", "width_m": 1.0, "height_m": None, "grid": False}
    assert (light["bounce"]["height_m"], light["bounce"]["tilt_up_deg"]) == (1.5, 0.0)
    assert (light["bounce"]["surface"], light["bounce"]["turn_deg"]) == ("white", None)
    assert light["gels"] == [{"mired_shift": 0.0, "transmittance": 1.0}]
    assert (light["source"], light["aim"], light["heads"], light["on_boom"]) == ("strobe", None, 1, False)
    (panel,) = stated["panels"]
    assert (panel["kind"], panel["surface"], panel["height_m"]) == ("board", "white", 1.5)
    assert (panel["tilt_up_deg"], panel["direct_share"], panel["turn_deg"]) == (0.0, 0.0, None)
    assert stated["subject"] == {
        "height_m": 1.75, "depth_m": 0.3, "movement_m_per_s": 0.0, "movement_angle_deg": 90.0,
        "allowed_blur_mm": 0.03, "frame_height_m": None,
    }  # fmt: skip
    assert stated["session"] == {"frames": 60, "pace_s": 4.0, "burst_frames": 1, "burst_rate_hz": 1.0}


def test_a_scrim_may_throw_back_all_that_it_does_not_let_through():
    scrim = {**LEAST["panels"][0], "kind": "scrim", "transmittance": 0.7}
    assert parse_look({**LEAST, "panels": [{**scrim, "reflectance": 0.3}]})
    assert parse_look({**LEAST, "panels": [scrim]})
    with pytest.raises(LookError, match="more than all of the light"):
        parse_look({**LEAST, "panels": [{**scrim, "reflectance": 0.3005}]})


def test_a_long_value_is_told_by_its_beginning():
    sixty, more = "x" * 58, "x" * 59
    assert refused("camera.distance_m", sixty).endswith(f"(got '{sixty}')")
    assert refused("camera.distance_m", more).endswith(f"(got '{'x' * 58}…)")


@pytest.mark.parametrize(("bits", "words"), [(199, "(got 4"), (200, "(got 8"), (201, "far too many digits")])
def test_a_whole_number_is_repeated_up_to_two_hundred_bits(bits, words):
    assert words in refused("title", 2 ** (bits - 1))


def test_the_schema_knows_how_a_speed_may_be_written():
    (iso,) = {
        json.dumps(part["properties"]["iso"]["anyOf"])
        for part in look_schema()["$defs"].values()
        if "iso" in part.get("properties", {})
    }
    assert json.loads(iso) == [{"type": "string", "minLength": 1, "maxLength": 20}, {"type": "integer"}]
