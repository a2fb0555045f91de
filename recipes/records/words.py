"""How are the fields and figures of a recipe said to a person?"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

from recipes.records.tree import MISSING, OneOf, Path

__all__ = [
    "number",
    "placement",
    "problem_in_words",
    "side_of_camera",
    "stops",
    "value_in_words",
    "values_in_words",
    "where_in_words",
]

_PLACES = {
    "zones": "Zone {}",
    "ambient": "Ambient at {}",
    "lights": "Light {}",
    "panels": "Panel {}",
    "lifts": "at {}",
    "extras": "Also pack: {}",
}

_FIELDS = {
    "aim": "aim",
    "allowed_blur_mm": "blur allowed on the sensor",
    "at": "time of day",
    "bearing_deg": "bearing",
    "burst_frames": "frames in a burst",
    "burst_rate_hz": "rate of a burst",
    "cct_k": "colour temperature",
    "direct_share": "part that goes straight through",
    "distance_m": "distance",
    "extras": "Also pack",
    "facing_deg": "faces bearing",
    "facing_up_deg": "looks up by",
    "focal_length_mm": "focal length",
    "frame_height_m": "height of the picture at the subject",
    "frames": "frames",
    "glows": "has its own light",
    "heads": "heads",
    "height_m": "height",
    "height_of_board_m": "height of the board",
    "height_of_panel_m": "its height",
    "high_speed_sync": "high-speed sync",
    "iso": "ISO",
    "mired_shift": "mired shift",
    "movement_angle_deg": "angle of the movement to the lens axis",
    "movement_m_per_s": "fastest movement that must be sharp",
    "nd_stops": "neutral density",
    "on_boom": "on a boom",
    "pace_s": "time between frames",
    "placement_stops": "placement",
    "reading": "how it is read",
    "scrim_transmittance": "scrim transmittance",
    "schema_version": "schema version",
    "series": "engraved in steps of",
    "setting_stops": "fixed setting",
    "spread_stops": "spread of the reading",
    "stays_dark": "stays dark",
    "tilt_up_deg": "tilts up by",
    "tolerance_stops": "tolerance",
    "transmittance": "transmittance",
    "turn_deg": "turned to bearing",
    "value": "reading",
    "width_m": "width",
}

_SIGNED = {"placement_stops", "setting_stops", "lift_stops", "alone_stops"}

_UNITS = (
    ("_m_per_s", "m/s"),
    ("_mm", "mm"),
    ("_m", "m"),
    ("_deg", "°"),
    ("_stops", "stops"),
    ("_k", "K"),
    ("_s", "s"),
    ("_hz", "per second"),
    ("mired_shift", "mired"),
)

_VALUES = {
    "third": "third stops",
    "half": "half stops",
    "full": "full stops",
    "incident": "at the subject (incident)",
    "luminance": "from the camera (spot)",
}


def number(value: float) -> str:
    """A figure as short as it is exact to a person, with a real minus sign: 1.5, 3, −0.7."""
    shown = f"{value:.4g}" if abs(value) < 10_000 else f"{value:,.0f}".replace(",", "\u202f")
    return "0" if shown == "-0" else shown.replace("-", "−")


def stops(value: float) -> str:
    """A change in stops with its sign, in thirds or halves where it is one: +2/3, −1 1/2, +1, +0.8."""
    sign = "+" if value > 0 else "−"
    size = abs(value)
    for parts in (1, 2, 3):
        count = round(size * parts)
        if math.isclose(size * parts, count, abs_tol=0.005):
            whole, rest = divmod(Fraction(count, parts), 1)
            said = " ".join(text for text in (str(whole) if whole else "", str(rest) if rest else "") if text)
            return f"{sign}{said}" if said else "0"
    return f"{sign}{size:.1f}"


def placement(value: float) -> str:
    """A placement with its sign and one decimal, as the pages show it everywhere: +0.7, −1.0, 0.0."""
    rounded = round(value, 1)
    return "0.0" if rounded == 0 else f"{'+' if rounded > 0 else '−'}{abs(rounded):.1f}"


def side_of_camera(bearing_deg: float) -> str:
    """On which side of the picture a bearing lies. Clockwise from above is towards the left of the camera."""
    turned = bearing_deg % 360
    if min(turned, 360 - turned) <= 5:
        return "from the camera"
    if abs(turned - 180) <= 5:
        return "behind the mark"
    side = "left" if turned < 180 else "right"
    return f"camera {side}, from behind" if 100 < turned < 260 else f"camera {side}"


def where_in_words(path: Path) -> str:
    """A path of the tree as a person would say it: "Light Key: bounce width"."""
    if not path:
        return "The recipe"
    first, *rest = path
    if first in _PLACES and rest:
        head, rest = _PLACES[first].format(rest[0]), rest[1:]
    else:
        head = _FIELDS.get(first, first.replace("_", " ")).capitalize()
    said = []
    while rest:
        word, *rest = rest
        if word == "lifts" and rest:
            said.append(f"lift at {rest[0]}")
            rest = [part for part in rest[1:] if part != "value"]
        else:
            said.append(_FIELDS.get(word, word.replace("_", " ")))
    return f"{head}: {' '.join(said)}" if said else head


def problem_in_words(field: str, document: Any) -> str:
    """A problem's dotted path with the names of its parts: ``lights.0.bearing_deg`` is "Light Key: bearing".

    ``document`` is what the path belongs to, as a document or as typed; whatever it holds, this gives some words.
    """
    parts = field.split(".") if field else []
    if len(parts) > 1 and parts[0] in ("zones", "lights", "panels", "ambient") and parts[1].isdigit():
        parts[1] = _name_of(document, parts[0], int(parts[1]))
    return where_in_words(tuple(str(int(part) + 1) if part.isdecimal() else part for part in parts))


def _name_of(document: Any, group: str, index: int) -> str:
    try:
        part = document[group][index]
        return str(part.get("name") or part.get("zone") or "") or f"number {index + 1}"
    except (KeyError, IndexError, TypeError, AttributeError):
        return f"number {index + 1}"


def values_in_words(path: Path, *values: Any) -> tuple[str, ...]:
    """Several values at one path. Where two that differ would read the same, all come in all their digits."""
    said = tuple(value_in_words(path, value) for value in values)
    for place, (value, words) in enumerate(zip(values, said, strict=True)):
        if any(words == said[other] and value != values[other] for other in range(place)):
            return tuple(value_in_words(path, one, exact=True) for one in values)
    return said


def value_in_words(path: Path, value: Any, exact: bool = False) -> str:
    """The value at a path, with its unit; with ``exact`` figures in all their digits, not as people say them."""
    field = path[-1] if path else ""
    if value is MISSING or value is None:
        return "not there"
    if isinstance(value, OneOf):
        return _one_of(value, exact)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return _figure(field, value, exact)
    if isinstance(value, str):
        return _VALUES.get(value, value) if field in ("series", "reading") else value or "empty"
    if isinstance(value, dict):
        inner = (
            f"{_FIELDS.get(key, key.replace('_', ' '))} {value_in_words((*path, key), child, exact)}"
            for key, child in value.items()
            if child not in ({}, [], "", False)
        )
        return ", ".join(inner) or "there"
    return "; ".join(value_in_words(path, item, exact) for item in value) or "none"


def _figure(field: str, value: float, exact: bool = False) -> str:
    if exact:
        shown = _all_digits(value, signed=field in _SIGNED)
    else:
        shown = placement(value) if field in _SIGNED else number(value)
    for ending, unit in _UNITS:
        if field.endswith(ending):
            return f"{shown}{'' if unit == '°' else ' '}{unit}"
    return shown


def _all_digits(value: float, signed: bool) -> str:
    return f"{'+' if signed and value > 0 else ''}{value!r}".replace("-", "−")


def _one_of(value: OneOf, exact: bool) -> str:
    if value.form == "triple":
        said = value.value
        return f"{said['aperture']} at {said['shutter']}, ISO {said['iso']}{_in_series(said, exact)}"
    shown = _all_digits(value.value, signed=value.form in _SIGNED) if exact else number(value.value)
    match value.form:
        case "ev100":
            return f"EV {shown} at ISO 100"
        case "lux":
            return f"{shown} lx"
        case "cd_m2":
            return f"{shown} cd/m²"
        case "lift_stops":
            return f"{shown if exact else placement(value.value)} stops above the ambient"
        case _:
            return f"{shown if exact else placement(value.value)} stops with everything else dark"


def _in_series(triple: dict[str, str], exact: bool) -> str:
    """The series matters where it is another than usual, and where two readings differ in nothing else."""
    return f" ({_VALUES[triple['series']]})" if exact or triple["series"] != "third" else ""
