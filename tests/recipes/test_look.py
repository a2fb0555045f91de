"""The recipe document: what it keeps, and what it says to a document that is not one."""

from __future__ import annotations

import json
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.look import MOST_CHARACTERS, LookError, Problem, dump_look, look_schema, parse_look
from tests.recipes.changed import changed
from tests.recipes.looks import LOOK, documents

SCHEMA = jsonschema.Draft202012Validator(look_schema())


def problems_of(document: Any) -> dict[str, str]:
    with pytest.raises(LookError) as refused:
        parse_look(document)
    return {problem.field: problem.expected for problem in refused.value.problems}


def with_(path: str, value: Any) -> dict[str, Any]:
    """The portrait at the big window, with one field of it replaced."""
    return changed(LOOK, path, value)


def test_a_document_becomes_a_look_with_exact_camera_values() -> None:
    look = parse_look(LOOK)
    # ISO 517 and ISO 516: engraved f/5.6 stands for 2^(5/2), 1/200 for 2^-(23/3).
    assert look.camera.f_number == pytest.approx(2**2.5)
    assert look.camera.time_s == pytest.approx(2 ** (-23 / 3))
    assert look.zone("window").target.placement_stops == 1.0


@settings(max_examples=60, deadline=None)
@given(documents())
def test_what_is_dumped_and_parsed_again_is_the_same(document: dict[str, Any]) -> None:
    look = parse_look(document)
    text = dump_look(look)
    assert parse_look(text) == look
    assert parse_look(text.encode()) == look
    assert dump_look(parse_look(text)) == text


@settings(max_examples=40, deadline=None)
@given(documents())
def test_every_document_that_is_dumped_keeps_the_published_schema(document: dict[str, Any]) -> None:
    SCHEMA.validate(json.loads(dump_look(parse_look(document))))


def test_the_schema_refuses_what_the_parser_refuses() -> None:
    for path, value in [("camera.distance_m", "3"), ("zones.0.name", " face"), ("lights.0.role", "hero")]:
        document = with_(path, value)
        assert not SCHEMA.is_valid(document), path
        assert problems_of(document)


def test_the_same_engraving_is_written_one_way() -> None:
    camera = {**LOOK["camera"], "aperture": "F5.6", "shutter": "2", "iso": 100}
    look = parse_look({**LOOK, "camera": camera})
    assert (look.camera.aperture, look.camera.shutter, look.camera.iso) == ("f/5.6", "2s", "100")
    assert parse_look(LOOK).camera.shutter == "1/200"


def test_f13_is_another_exposure_in_half_stops() -> None:
    """ISO 517: f/13 stands for 2^(11/3)=12.70 in thirds and for 2^(15/4)=13.45 in halves: 1/6 stop apart."""
    third = parse_look(with_("camera", {**LOOK["camera"], "aperture": "f/13"}))
    half = parse_look(
        with_("camera", {"aperture": "f/13", "shutter": "1/180", "iso": "100", "series": "half"})
    )
    assert third.camera.f_number == pytest.approx(2 ** (11 / 3))
    assert half.camera.f_number == pytest.approx(2 ** (15 / 4))


@pytest.mark.parametrize(
    ("path", "value", "field", "words"),
    [
        ("camera.aperture", "f/5.7", "camera.aperture", "the nearest are f/5.6 and f/6.3"),
        ("camera.shutter", "1/201", "camera.shutter", "the nearest are"),
        ("camera.iso", 101, "camera.iso", "100 and 125"),
        ("camera.distance_m", 0, "camera.distance_m", "a number above 0 (got 0)"),
        ("lights.0.bearing_deg", 400, "lights.0.bearing_deg", "at most 360 (got 400)"),
        ("lights.0.distance_m", "1.5", "lights.0.distance_m", "a number (got '1.5')"),
        ("lights.0.distance_m", True, "lights.0.distance_m", "a number (got True)"),
        ("lights.0.role", "hero", "lights.0.role", "one of 'key', 'fill'"),
        ("lights.0.colour", "red", "lights.0.colour", "no such field here"),
        ("lights.0.modifier", 3, "lights.0.modifier", "an object"),
        ("lights", {}, "lights", "a list"),
        ("lights.0.aim", "moon", "lights.0.aim", "the zones are 'face', 'window'"),
        ("zones", [], "zones", "at least 1 entry"),
        ("zones.1.name", "face", "zones.1.name", "'face' appears twice"),
        ("zones.0.target", {}, "zones.0.target.placement_stops", "required"),
        ("zones.0.height_m", float("nan"), "zones.0.height_m", "finite"),
        ("zones.0.height_m", 10**400, "zones.0.height_m", "far too many digits"),
        ("ambient.0", {"zone": "face"}, "ambient.0", "exactly one form"),
        ("ambient.0", {"zone": "face", "ev100": 9, "lux": 10}, "ambient.0.lux", "exactly one form"),
        ("ambient.0", {"zone": "face", "cd_m2": 100}, "ambient.0.cd_m2", "read as incident; give lux"),
        ("ambient.1", {"zone": "window", "lux": 100}, "ambient.1.lux", "read as luminance; give cd_m2"),
        ("ambient.1.zone", "face", "ambient.1.zone", "'face' appears twice"),
        ("ambient.0.at", "25:00", "ambient.0.at", "HH:MM"),
        (
            "lights.0.lifts",
            [{"zone": "face"}],
            "lights.0.lifts.0",
            "exactly one of lift_stops and alone_stops",
        ),
        (
            "lights.0.modifier",
            {"shape": "disc", "width_m": 1.0, "height_m": 2.0},
            "lights.0.modifier.height_m",
            "disc",
        ),
        ("extras", ["meter", "meter"], "extras.1", "appears twice"),
        ("lights", [LOOK["lights"][0]] * 2, "lights.1.name", "'Key' appears twice"),
        (
            "lights.0.lifts",
            [{"zone": "face", "lift_stops": 1}, {"zone": "face", "alone_stops": 1}],
            "lights.0.lifts.1.zone",
            "'face' appears twice",
        ),
        ("ambient.0.zone", "moon", "ambient.0.zone", "there is no zone 'moon'"),
        (
            "lights.0.lifts",
            [{"zone": "moon", "lift_stops": 1}],
            "lights.0.lifts.0.zone",
            "there is no zone 'moon'",
        ),
        ("ambient.0", {"zone": "face"}, "ambient.0", "(none given)"),
        ("ambient.0", {"zone": "face", "ev100": 9, "lux": 10}, "ambient.0.lux", "(ev100 and lux given)"),
        (
            "ambient.0",
            {"zone": "face", "triple": {"aperture": "f/5.7", "shutter": "1/60", "iso": "100"}},
            "ambient.0.triple.aperture",
            "the nearest are",
        ),
        ("lights.0.lifts", [{"zone": "face"}], "lights.0.lifts.0", "(none given)"),
        (
            "lights.0.lifts",
            [{"zone": "face", "lift_stops": 1, "alone_stops": 1}],
            "lights.0.lifts.0",
            "(both given)",
        ),
        ("zones.0.height_m", -1, "zones.0.height_m", "a number of at least 0 (got -1)"),
        ("zones.0.height_m", None, "zones.0.height_m", "a number (got null)"),
        ("zones", [LOOK["zones"][0]] * 41, "zones", "at most 40 entries"),
        ("title", "", "title", "some text, not nothing"),
        ("title", "x" * 61, "title", "at most 60 characters"),
        ("title", "two\nlines", "title", "one line"),
        ("notes", "a\x00b", "notes", "plain text"),
        ("notes", "\ud800", "notes", "UTF-8"),
        ("schema_version", 2, "schema_version", "one of 1"),
    ],
)
def test_a_problem_names_its_field_and_what_it_expects(path: str, value: Any, field: str, words: str) -> None:
    found = problems_of(with_(path, value))
    assert field in found
    assert words in found[field]


def test_a_field_that_is_not_there_or_too_much_is_told_without_its_value() -> None:
    found = problems_of({**with_("zones.0.target", {}), "mood": {"dark": True}, "colour": "red"})
    assert found == {
        "zones.0.target.placement_stops": "this field is required",
        "mood": "no such field here; check the spelling against the schema",
        "colour": "no such field here; check the spelling against the schema",
    }


def test_a_long_title_is_told_how_long_it_may_be() -> None:
    assert problems_of(with_("title", "x" * 61))["title"].startswith("at most 60 characters (got ")


def test_a_long_name_is_told_by_its_beginning() -> None:
    found = problems_of({**LOOK, "m" * 60: 1, "n" * 61: 1})
    assert set(found) == {"m" * 60, "n" * 59 + "…"}


@pytest.mark.parametrize("part", ["camera", "zones.0", "zones.0.target", "lights.0"])
def test_a_name_that_cannot_be_written_is_told_where_it_stands(part: str) -> None:
    (field,) = problems_of(with_(f"{part}.mood \ud800", 1))
    assert field == part


def test_a_refusal_reads_as_a_sentence() -> None:
    with pytest.raises(LookError, match=r"^document: not JSON"):
        parse_look("")
    with pytest.raises(LookError, match=r"^camera\.iso: .*100 and 125"):
        parse_look(with_("camera.iso", 101))


def test_all_problems_are_told_at_once() -> None:
    document = with_("camera.aperture", "f/5.7")
    document["camera"]["iso"] = "101"
    document["camera"]["distance_m"] = "three"
    document["lights"][0]["role"] = "hero"
    assert set(problems_of(document)) == {
        "camera.aperture",
        "camera.iso",
        "camera.distance_m",
        "lights.0.role",
    }


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "not JSON"),
        ('{"title": }', "line 1, column 11"),
        ('{"title": NaN}', "NaN is not a number"),
        ("[" * 100_000, "nested far deeper"),
        ('{"a":' * 100_000, "nested far deeper"),
        ("[" + "1" * 10_000 + "]", "too many digits"),
        ('{"title": "a", "title": "b"}', "'title' is given twice"),
        (b"\xff\xfe\x00", "not text in UTF-8"),
        ("[]", "an object with named fields"),
        ("null", "an object with named fields"),
        ('"look"', "an object with named fields"),
    ],
    ids=range(11),
)
def test_text_that_is_no_document_says_why(text: str | bytes, words: str) -> None:
    found = problems_of(text)
    assert words in found[""]


def test_ten_megabytes_are_refused_before_they_are_read() -> None:
    found = problems_of('{"notes": "' + "x" * 10_000_000 + '"}')
    assert found[""].startswith("10.0 million characters; a recipe has at most 1 million")


def test_a_document_of_the_largest_size_is_read() -> None:
    text = json.dumps(LOOK)
    assert parse_look(text.ljust(1_000_000)) == parse_look(LOOK)
    assert "million characters" in problems_of(text.ljust(1_000_001))[""]


def test_a_dumped_document_is_for_people_to_read() -> None:
    text = dump_look(parse_look({**LOOK, "title": "Gegenlicht, früh"}))
    assert text.startswith('{\n  "schema_version": 1,\n  "title": "Gegenlicht, früh",\n')
    assert text.endswith("}\n")
    assert "null" not in text


def test_the_schema_says_what_it_is_the_schema_of() -> None:
    schema = look_schema()
    assert schema["title"] == "Lighting recipe"
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_a_full_list_of_everything_is_far_below_the_largest_document() -> None:
    zones = [{"name": f"zone {n} " + "n" * 50, "target": {"placement_stops": -1.25}} for n in range(40)]
    lifts = [{"zone": zone["name"], "alone_stops": -1.25} for zone in zones]
    light = {**LOOK["lights"][0], "aim": zones[0]["name"], "lifts": lifts}
    lights = [{**light, "name": f"light {n}"} for n in range(24)]
    look = parse_look({**LOOK, "zones": zones, "ambient": [], "lights": lights})
    assert len(dump_look(look)) < MOST_CHARACTERS / 3


def test_a_flood_of_problems_is_cut_short() -> None:
    found = problems_of({**LOOK, **{f"field {n}": n for n in range(500)}})
    assert len(found) == 60
    assert found[""].startswith("and 441 more")


def test_as_many_problems_as_one_reads_are_all_told() -> None:
    found = problems_of({**LOOK, **{f"field {n}": n for n in range(60)}})
    assert set(found) == {f"field {n}" for n in range(60)}


def test_a_byte_order_mark_is_no_trouble() -> None:
    assert parse_look(b"\xef\xbb\xbf" + json.dumps(LOOK).encode()) == parse_look(LOOK)
    assert parse_look("\ufeff" + json.dumps(LOOK)) == parse_look(LOOK)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(["camera", "zones", "zones.0", "lights.0", "ambient.0", "camera.iso", "lights.0.aim"]),
    JSON,
)
def test_nonsense_in_any_place_is_refused_and_never_a_crash(path: str, nonsense: Any) -> None:
    told: tuple[Problem, ...] = ()
    try:
        parse_look(with_(path, nonsense))
    except LookError as error:
        told = error.problems
    assert all(problem.expected for problem in told)


NET = {
    "name": "Net",
    "kind": "scrim",
    "bearing_deg": 30,
    "distance_m": 1,
    "width_m": 1,
    "height_of_panel_m": 1,
    "transmittance": 0.6,
}


def a_panel(**changes: Any) -> dict[str, Any]:
    return {**NET, **changes}


def a_board(**changes: Any) -> dict[str, Any]:
    return {**NET, "name": "Board", "kind": "board", "transmittance": None, **changes}


@pytest.mark.parametrize(
    ("panel", "field", "words"),
    [
        (a_panel(transmittance=None), "transmittance", "a scrim lets a part of the light through"),
        (a_board() | {"transmittance": 0.1}, "transmittance", "a board lets nothing through"),
        (a_board(direct_share=0.5), "direct_share", "a board lets nothing through"),
        (a_panel(reflectance=0.41), "reflectance", "more than all of the light"),
    ],
)
def test_a_panel_has_the_figures_of_its_kind(panel: dict[str, Any], field: str, words: str) -> None:
    found = problems_of({**LOOK, "panels": [panel]})
    assert set(found) == {f"panels.0.{field}"}
    assert words in found[f"panels.0.{field}"]


@pytest.mark.parametrize(
    "panel", [a_panel(), a_panel(direct_share=0.5), a_panel(reflectance=0.4), a_board(reflectance=0.9)]
)
def test_a_panel_that_can_be_is_taken(panel: dict[str, Any]) -> None:
    (taken,) = parse_look({**LOOK, "panels": [panel]}).panels
    assert taken.name == panel["name"]


@pytest.mark.parametrize(
    ("panel", "black"),
    [
        (a_board(), False),
        (a_board(surface="black"), True),
        (a_board(kind="flag"), True),
        (a_panel(surface="black"), False),
    ],
    ids=["white board", "black board", "flag", "black net"],
)
def test_a_flag_and_a_black_board_only_take_light_away(panel: dict[str, Any], black: bool) -> None:
    assert parse_look({**LOOK, "panels": [panel]}).panels[0].black is black


def test_lights_and_panels_have_names_of_their_own() -> None:
    found = problems_of({**LOOK, "panels": [a_panel(), a_panel(), a_board(), a_panel(name="Key")]})
    assert found.keys() == {"panels.1.name", "panels.3.name"}
    assert "'Net' appears twice" in found["panels.1.name"]
    assert "a light is called 'Key' too" in found["panels.3.name"]


def test_a_zone_is_found_by_its_name_and_another_name_is_an_error():
    look = parse_look(LOOK)
    assert look.zone(look.zones[-1].name) is look.zones[-1]
    with pytest.raises(KeyError, match="nobody"):
        look.zone("nobody")
