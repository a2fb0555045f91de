"""What a spec sheet takes, and what it says to one that cannot be."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from gear.specs import KINDS, kind_label, parse_spec

STROBE: dict[str, Any] = {
    "kind": "strobe",
    "energy_ws": 500,
    "supply": "battery",
    "battery_fit": "rail-48",
    "mount": "bayonet-four",
}
PANEL: dict[str, Any] = {
    "kind": "continuous",
    "flux_lm": 9000,
    "power_w": 120,
    "mains": {"peak_va": 130},
    "mount": "bayonet-four",
}
SOFTBOX: dict[str, Any] = {
    "kind": "modifier",
    "shape": "rectangle",
    "width_m": 0.6,
    "height_m": 0.9,
    "efficiency": 0.5,
    "mount": "bayonet-four",
}
LENS: dict[str, Any] = {
    "kind": "lens",
    "focal_min_mm": 24,
    "focal_max_mm": 70,
    "widest_f_number": 2.8,
    "closest_focus_m": 0.4,
    "mount": "m",
}


def refusal(sheet: dict[str, Any], **more: Any) -> str:
    with pytest.raises(ValidationError) as refused:
        parse_spec({**sheet, **more})
    return str(refused.value)


@pytest.mark.parametrize(
    "times",
    [{"t01_s": 0.002}, {"t05_s": 0.001}, {"t01_s": 0.002, "t05_s": 0.001}, {"t01_s": 0.001, "t05_s": 0.001}],
)
def test_a_duration_is_stated_by_the_tenth_or_the_half_or_both(times):
    assert parse_spec({**STROBE, "durations": [{"setting_stops": 0, **times}]}).durations


def test_a_duration_without_a_time_is_refused():
    assert "a duration needs t01_s or t05_s" in refusal(STROBE, durations=[{"setting_stops": 0}])


def test_the_tenth_outlasts_the_half():
    # ISO 2827: t0.1 is the time above a tenth of the peak, t0.5 above half of it.
    swapped = [{"setting_stops": 0, "t01_s": 0.001, "t05_s": 0.002}]
    assert "t01_s cannot be shorter than t05_s" in refusal(STROBE, durations=swapped)


@pytest.mark.parametrize(
    ("sheet", "more", "sentence"),
    [
        (STROBE, {"supply": "mains"}, "a mains strobe needs mains"),
        (STROBE, {"battery_fit": None}, "a battery strobe needs battery_fit"),
        (PANEL, {"mains": None}, "a mains light needs mains"),
        (PANEL, {"supply": "battery"}, "a battery light needs battery_fit"),
        (PANEL, {"flicker": "pwm"}, "a pwm light needs flicker_hz"),
        (PANEL, {"cct_min_k": 5600, "cct_max_k": 3200}, "cct_min_k is above cct_max_k"),
        (SOFTBOX, {"height_m": None}, "a rectangular modifier needs height_m"),
        (LENS, {"focal_min_mm": 80}, "focal_min_mm is above focal_max_mm"),
        (LENS, {"widest_f_number": 32}, "widest_f_number is a larger number than narrowest_f_number"),
    ],
)
def test_a_figure_that_another_one_asks_for_is_asked_for(sheet, more, sentence):
    assert sentence in refusal(sheet, **more)


@pytest.mark.parametrize(
    ("sheet", "more"),
    [
        (STROBE, {}),
        (STROBE, {"supply": "mains", "battery_fit": None, "mains": {"peak_va": 2400}}),
        (PANEL, {}),
        (PANEL, {"supply": "battery", "battery_fit": "rail-48", "mains": None}),
        (PANEL, {"flicker": "pwm", "flicker_hz": 25_000}),
        (PANEL, {"cct_min_k": 3200, "cct_max_k": 5600}),
        (SOFTBOX, {}),
        (SOFTBOX, {"shape": "disc", "height_m": None}),
        (SOFTBOX, {"shape": "polygon", "corners": 8, "height_m": None}),
        (LENS, {}),
        (LENS, {"focal_max_mm": 24}),
        (LENS, {"widest_f_number": 8, "narrowest_f_number": 8}),
    ],
    ids=range(12),
)
def test_a_whole_sheet_is_taken(sheet, more):
    assert parse_spec({**sheet, **more}).kind == sheet["kind"]


POINTS = {
    "output": {"f_number_iso100": 16},
    "durations": {"t01_s": 0.001},
    "recycle": {"ready_s": 1.0},
    "colour": {"cct_k": 5600},
}


@pytest.mark.parametrize("table", POINTS)
def test_a_table_has_one_point_a_setting(table):
    twice = [{"setting_stops": -1, **POINTS[table]}] * 2
    assert f"{table} has two points at the same setting_stops" in refusal(STROBE, **{table: twice})


def test_a_head_is_metered_bare_and_with_each_modifier():
    bare = {"setting_stops": 0, "f_number_iso100": 32}
    output = [bare, {**bare, "f_number_iso100": 16, "modifier": "octa-90"}]
    assert len(parse_spec({**STROBE, "output": output}).output) == 2
    assert "output has two points at the same setting_stops" in refusal(STROBE, output=[*output, output[1]])


@pytest.mark.parametrize("table", POINTS)
def test_a_table_ends_at_the_lowest_setting(table):
    at_the_end = [{"setting_stops": -6, **POINTS[table]}]
    below = [{"setting_stops": -6.1, **POINTS[table]}]
    assert parse_spec({**STROBE, table: at_the_end})
    assert f"{table} has a point at -6.1 stops, below lowest_setting_stops -6" in refusal(
        STROBE, **{table: below}
    )


def test_a_figure_has_its_own_source_before_that_of_the_sheet():
    sources = {"*": {"basis": "maker"}, "energy_ws": {"basis": "measured"}}
    sheet = parse_spec({**STROBE, "sources": sources})
    assert (sheet.source_of("energy_ws").basis, sheet.source_of("mass_kg").basis) == ("measured", "maker")
    assert parse_spec(STROBE).source_of("energy_ws").basis == "unstated"


def test_a_source_for_a_figure_that_is_not_there_is_refused_in_order():
    sources = {name: {"basis": "maker"} for name in ("zoom", "energy", "colour_k", "*")}
    assert "sources names colour_k, energy, zoom, which this sheet does not have" in refusal(
        STROBE, sources=sources
    )


@pytest.mark.parametrize(
    ("more", "area_m2"),
    [
        ({}, 0.54),
        ({"shape": "disc", "width_m": 1.0, "height_m": None}, 0.7854),
        ({"shape": "disc"}, 0.28274),
        # A regular octagon of width w between its sides: 2 (sqrt 2 - 1) w².
        ({"shape": "polygon", "corners": 8, "width_m": 1.2, "height_m": None}, 0.828427 * 1.44),
    ],
)
def test_the_face_of_a_modifier_is_a_rectangle_a_disc_or_a_polygon_of_its_width(more, area_m2):
    assert parse_spec({**SOFTBOX, **more}).area_m2 == pytest.approx(area_m2, rel=1e-4)


@pytest.mark.parametrize(("field", "least", "most"), [("c_incident", 240, 540), ("k_reflected", 10.6, 14.0)])
def test_a_meter_has_constants_of_its_standard(field, least, most):
    # ISO 2720: C 240 to 400 with a flat receptor, 320 to 540 with a dome; K 10.6 to 13.4, and makers who use 14.
    for constant in (least, most):
        assert parse_spec({"kind": "meter", field: constant})
    for constant in (least - 0.1, most + 0.1):
        assert field in refusal({"kind": "meter"}, **{field: constant})


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_is_told_apart_by_its_name(kind):
    words, model = KINDS[kind]
    assert model.model_fields["kind"].default == kind
    assert kind_label(kind) == words
