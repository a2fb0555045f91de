"""How does a recipe look while somebody is typing it?

The same shape as the document, but every figure is the text that was typed, right or wrong, so that nothing is lost
between two steps. `document_of` reads it as a document; whether that is a recipe, `recipes.look.parse_look` alone says.
Places in lists are the same in both, so a problem's path points at what was typed.
"""

from __future__ import annotations

import re
from fractions import Fraction
from math import isfinite
from typing import Any

from recipes.look import (
    READING_FORMS,
    AmbientReading,
    Bounce,
    CameraPlan,
    Light,
    Look,
    LookError,
    ModifierPlan,
    Panel,
    Problem,
    Session,
    Subject,
    Target,
    Zone,
    parse_look,
)
from recipes.look_parts import Part
from recipes.records.tree import LIFT_FORMS

__all__ = [
    "Typed",
    "blank_gel",
    "blank_lift",
    "blank_light",
    "blank_look",
    "blank_panel",
    "blank_reading",
    "blank_zone",
    "document_of",
    "is_blank",
    "read",
    "read_number",
    "typed_of",
]

Typed = dict[str, Any]

WORDS = frozenset(
    {"title", "notes", "aperture", "shutter", "iso", "series", "name", "reading", "zone", "at"}
    | {"role", "source", "aim", "shape", "surface", "form", "kind"}
)
"""Fields that are text also when they look like a figure: ISO 100, a zone called 2."""

_PARTS = (
    *(Look, CameraPlan, Zone, Target, AmbientReading, Light, ModifierPlan, Bounce, Panel, Subject, Session),
)
_PLACES = {
    name: place for place, name in enumerate(dict.fromkeys(n for part in _PARTS for n in part.model_fields))
}

_TRIPLE = {"aperture": "", "shutter": "", "iso": "", "series": "third"}


def read_number(text: str) -> int | float | str:
    """The figure that was typed: 1.5, 1,5, −0.3, +2/3, 1 1/3. Anything else comes back as typed."""
    plain = text.strip().replace("−", "-").replace("–", "-").replace(",", ".")
    if re.fullmatch(r"[+-]?\d{1,12}", plain, re.ASCII):
        return int(plain)
    if re.fullmatch(
        r"[+-]?(\d{1,12}\.\d{0,20}|\.\d{1,20})(e[+-]?\d{1,3})?|[+-]?\d{1,12}e[+-]?\d{1,3}", plain, re.ASCII
    ):
        return float(plain) if isfinite(float(plain)) else text
    parts = re.fullmatch(r"([+-]?)(?:(\d{1,4})\s+)?(\d{1,4})/([1-9]\d{0,3})", plain, re.ASCII)
    if parts:
        sign, whole, above, below = parts.groups()
        return float((-1 if sign == "-" else 1) * (int(whole or 0) + Fraction(int(above), int(below))))
    return text


def typed_of(look: Look) -> Typed:
    """A look as if somebody had typed it."""
    document = look.model_dump(mode="json")
    typed: Typed = _as_typed({key: value for key, value in document.items() if key != "schema_version"})
    typed["extras"] = "\n".join(document["extras"])
    typed["ambient"] = [_reading(part) for part in document["ambient"]]
    for light, part in zip(typed["lights"], document["lights"], strict=True):
        light["modifier"] = _as_typed(part["modifier"]) if part["modifier"] else blank_part(ModifierPlan)
        light["bounce"] = _as_typed(part["bounce"]) if part["bounce"] else blank_part(Bounce)
        light["lifts"] = [_one_of(lift, LIFT_FORMS) for lift in part["lifts"]]
    return typed


def document_of(typed: Typed) -> dict[str, Any]:
    """What was typed, as a document: blank fields left out, figures read where they can be read."""
    document = _as_document(typed)
    document["extras"] = [line.strip() for line in str(typed.get("extras", "")).splitlines() if line.strip()]
    document["ambient"] = [_spread(reading) for reading in typed.get("ambient", [])]
    for light, part in zip(document.get("lights", []), typed.get("lights", []), strict=True):
        for group, blank in (("modifier", blank_part(ModifierPlan)), ("bounce", blank_part(Bounce))):
            if not _is_used(part.get(group, {}), blank):
                light.pop(group, None)
        light["lifts"] = [_spread(lift) for lift in part.get("lifts", [])]
    ordered: dict[str, Any] = _in_order(document)
    return ordered


def read(typed: Typed) -> tuple[Look | None, tuple[Problem, ...]]:
    """The look that was typed, or what is still wrong with it."""
    try:
        return parse_look(document_of(typed)), ()
    except LookError as error:
        return None, error.problems


def blank_look() -> Typed:
    """A new recipe with the usual figures filled in, one zone and one light."""
    return {
        "title": "",
        "notes": "",
        "camera": {**blank_part(CameraPlan), "aperture": "", "shutter": "", "iso": "100"},
        "subject": blank_part(Subject),
        "session": blank_part(Session),
        "zones": [{**blank_zone(), "name": "face"}],
        "ambient": [],
        "lights": [{**blank_light(), "name": "Key"}],
        "panels": [],
        "extras": "",
    }


def blank_zone() -> Typed:
    return {**blank_part(Zone), "name": "", "target": {"placement_stops": "0", "tolerance_stops": "0.5"}}


def blank_reading(zone: str) -> Typed:
    kept = {k: v for k, v in blank_part(AmbientReading).items() if k not in READING_FORMS}
    return {**kept, "zone": zone, "form": "", "value": "", "triple": dict(_TRIPLE)}


def blank_light() -> Typed:
    return {
        **blank_part(Light),
        "role": "key",
        "modifier": blank_part(ModifierPlan),
        "bounce": blank_part(Bounce),
        "gels": [],
        "lifts": [],
    }


def blank_panel() -> Typed:
    return {**blank_part(Panel), "name": ""}


def blank_lift() -> Typed:
    return {"zone": "", "form": "lift_stops", "value": ""}


def blank_gel() -> Typed:
    return {"mired_shift": "", "transmittance": ""}


def blank_part(part: type[Part]) -> Typed:
    """Every field of a part as it stands before anybody types: its usual value, or nothing."""
    blank: Typed = {}
    for name, field in part.model_fields.items():
        blank[name] = "" if field.is_required() else _as_typed(field.default)
    return blank


def is_blank(row: Typed, besides: tuple[str, ...] = ()) -> bool:
    """Whether nothing was typed in a row; ``besides`` are choices that always hold something."""
    return not any(value for key, value in row.items() if key not in besides)


def _as_typed(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _as_typed(child) for key, child in value.items()}
    if isinstance(value, (list, tuple)):
        return [_as_typed(child) for child in value]
    if isinstance(value, bool):
        return value
    if value is None:
        return ""
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return str(value)


def _as_document(value: Any, field: str = "") -> Any:
    if isinstance(value, dict):
        return {key: _as_document(child, key) for key, child in value.items() if child != ""}
    if isinstance(value, list):
        return [_as_document(child) for child in value]
    if isinstance(value, str) and field not in WORDS:
        return read_number(value)
    return value


def _in_order(value: Any) -> Any:
    """Fields in the order of the document; the database keeps them in another."""
    if isinstance(value, dict):
        return {key: _in_order(value[key]) for key in sorted(value, key=lambda key: _PLACES.get(key, 0))}
    return [_in_order(child) for child in value] if isinstance(value, list) else value


def _reading(part: dict[str, Any]) -> Typed:
    reading = _one_of(part, READING_FORMS)
    reading["triple"] = _as_typed(part["triple"]) if part["triple"] else dict(_TRIPLE)
    if reading["form"] == "triple":
        reading["value"] = ""
    return reading


def _one_of(part: dict[str, Any], forms: tuple[str, ...]) -> Typed:
    form = next(form for form in forms if part[form] is not None)
    kept = {key: value for key, value in part.items() if key not in forms}
    return {**_as_typed(kept), "form": form, "value": _as_typed(part[form])}


def _spread(row: Typed) -> dict[str, Any]:
    """A typed row with its form and value as the document has them."""
    kept = {key: value for key, value in row.items() if key not in ("form", "value", "triple")}
    part: dict[str, Any] = _as_document(kept)
    if row.get("form") == "triple":
        part["triple"] = _as_document(row.get("triple", {}))
    elif row.get("form") and row.get("value", "") != "":
        part[row["form"]] = read_number(row["value"])
    return part


def _is_used(group: Typed, blank: Typed) -> bool:
    """Something was typed into it; a choice alone (shape, surface) does not make one."""
    return any(
        group.get(key, value) != value for key, value in blank.items() if key not in ("shape", "surface")
    )
