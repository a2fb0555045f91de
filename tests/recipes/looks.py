"""A recipe document with plain figures, and those that hypothesis makes up: valid ones, for laws that hold for every
look."""

from __future__ import annotations

import re
from typing import Any

from hypothesis import strategies as st

from recipes.look import Look, parse_look

LOOK: dict[str, Any] = {
    "title": "Portrait at the big window",
    "camera": {
        "aperture": "f/5.6",
        "shutter": "1/200",
        "iso": "100",
        "distance_m": 3.0,
        "height_m": 1.6,
        "focal_length_mm": 85,
    },
    "zones": [
        {"name": "face", "height_m": 1.55, "target": {"placement_stops": 0.0, "tolerance_stops": 0.3}},
        {
            "name": "window",
            "reading": "luminance",
            "glows": True,
            "bearing_deg": 180,
            "distance_m": 3.0,
            "height_m": 1.8,
            "target": {"placement_stops": 1.0, "tolerance_stops": 0.7},
        },
    ],
    "ambient": [{"zone": "face", "ev100": 9.0}, {"zone": "window", "ev100": 13.6}],
    "lights": [
        {
            "name": "Key",
            "role": "key",
            "bearing_deg": 40,
            "distance_m": 1.5,
            "height_m": 2.0,
            "aim": "face",
            "modifier": {"shape": "rectangle", "width_m": 0.6, "height_m": 0.9},
        }
    ],
}

NAMES = st.text(
    st.characters(blacklist_categories=("Cs", "Cc", "Zs", "Zl", "Zp")), min_size=1, max_size=12
).filter(lambda name: not re.search(r"\b(nan|inf|None|safe)\b", name))
"""Checks repeat names in their sentences, and there these words are a mistake."""
TIMES = st.builds(lambda hour, minute: f"{hour:02}:{minute:02}", st.integers(0, 23), st.integers(0, 59))
ENGRAVED = {
    "full": (["f/1.4", "f/5.6", "11"], ["1/250", "1/60", "2s", "1"], ["100", 400]),
    "half": (["f/4.8", "f/6.7", "F13"], ["1/180", "1/90", "1/10"], ["140", "200"]),
    "third": (["f/4.5", "f/5.6", "13"], ["1/200", "1/10", "0.6", "1/160"], ["125", 160]),
}


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


@st.composite
def triples(draw: st.DrawFn) -> dict[str, Any]:
    series = draw(st.sampled_from(sorted(ENGRAVED)))
    aperture, shutter, iso = (draw(st.sampled_from(marks)) for marks in ENGRAVED[series])
    return {"aperture": aperture, "shutter": shutter, "iso": iso, "series": series}


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    """A valid document with one to four zones and up to three lights."""
    zones = draw(st.lists(NAMES, min_size=1, max_size=4, unique=True))
    return {
        "title": draw(NAMES),
        "notes": draw(st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=40)),
        "camera": {**draw(triples()), "distance_m": draw(numbers(0.5, 20)), "nd_stops": draw(numbers(0, 6))},
        "zones": [draw(_zones(name)) for name in zones],
        "ambient": [draw(_readings(name)) for name in draw(st.sets(st.sampled_from(zones)))],
        "lights": [draw(_lights(name, zones)) for name in draw(st.lists(NAMES, max_size=3, unique=True))],
        "extras": draw(st.lists(NAMES, max_size=3, unique=True)),
        "session": {"frames": draw(st.integers(1, 500)), "pace_s": draw(numbers(0.1, 60))},
        "subject": {"movement_m_per_s": draw(numbers(0, 12))},
    }


def looks() -> st.SearchStrategy[Look]:
    """Valid looks."""
    return documents().map(parse_look)


@st.composite
def _zones(draw: st.DrawFn, name: str) -> dict[str, Any]:
    return {
        "name": name,
        "bearing_deg": draw(numbers(-360, 360)),
        "distance_m": draw(numbers(0, 10)),
        "stays_dark": draw(st.booleans()),
        "target": {"placement_stops": draw(numbers(-6, 4)), "tolerance_stops": draw(numbers(0.1, 2))},
    }


@st.composite
def _readings(draw: st.DrawFn, zone: str) -> dict[str, Any]:
    form, value = draw(
        st.one_of(
            st.tuples(st.just("ev100"), numbers(-4, 16)),
            st.tuples(st.just("lux"), numbers(0, 1e5)),
            st.tuples(st.just("triple"), triples()),
        )
    )
    at = draw(st.none() | TIMES)
    return {"zone": zone, form: value, **({"at": at} if at else {})}


@st.composite
def _lights(draw: st.DrawFn, name: str, zones: list[str]) -> dict[str, Any]:
    light = {
        "name": name,
        "role": draw(st.sampled_from(["key", "fill", "rim", "background", "practical"])),
        "source": draw(st.sampled_from(["strobe", "continuous"])),
        "bearing_deg": draw(numbers(-360, 360)),
        "distance_m": draw(numbers(0.2, 8)),
        "height_m": draw(numbers(0, 4)),
        "gels": draw(st.lists(st.fixed_dictionaries({"mired_shift": numbers(-200, 200)}), max_size=2)),
        "lifts": [
            {"zone": zone, draw(st.sampled_from(["lift_stops", "alone_stops"])): draw(numbers(0.1, 6))}
            for zone in draw(st.sets(st.sampled_from(zones)))
        ],
    }
    if draw(st.booleans()):
        light["aim"] = draw(st.sampled_from(zones))
    if draw(st.booleans()):
        light["modifier"] = {"width_m": draw(numbers(0.1, 3)), "grid": draw(st.booleans())}
    if draw(st.booleans()):
        light["bounce"] = {
            "bearing_deg": draw(numbers(0, 359)),
            "distance_m": draw(numbers(0.3, 5)),
            "width_m": draw(numbers(0.3, 3)),
            "height_of_board_m": draw(numbers(0.3, 3)),
        }
    return light
