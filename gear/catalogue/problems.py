"""What a typed document expected where the input did not fit, in words for people.

Pydantic says which field failed and why; here that becomes a `FieldProblem` with a dotted path and a sentence.
Pure: no Django.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError

from gear.errors import FieldProblem

__all__ = ["field_problems", "unstorable_text"]

_BOUNDS = {
    "greater_than": ("gt", "above"),
    "greater_than_equal": ("ge", "of at least"),
    "less_than": ("lt", "below"),
    "less_than_equal": ("le", "of at most"),
}
_SHOWN_LENGTH = 40
_UNSTORABLE = re.compile("[\\x00\\ud800-\\udfff]")


def field_problems(
    error: ValidationError, *, under: str = "", names: Iterable[str] = ()
) -> tuple[FieldProblem, ...]:
    """One problem an entry of the error. ``under`` goes before every path; ``names`` are the fields that exist, for
    a guess at what a misspelt one meant.
    """
    known = tuple(names)
    return tuple(_problem(dict(entry), under, known) for entry in error.errors(include_url=False))


def unstorable_text(value: object, where: str = "") -> FieldProblem | None:
    """The first text in a nested value that a database cannot keep: with a zero byte or half a character pair."""
    if isinstance(value, str):
        if _UNSTORABLE.search(value):
            return FieldProblem(where, "expects readable text; it holds a character that cannot be stored")
        return None
    parts: Iterable[tuple[object, object]] = ()
    if isinstance(value, dict):
        parts = [(key, key) for key in value] + list(value.items())
    elif isinstance(value, (list, tuple)):
        parts = enumerate(value)
    for key, part in parts:
        found = unstorable_text(part)
        if found:
            shown = _UNSTORABLE.sub("?", str(key))
            return FieldProblem(".".join(p for p in (where, shown, found.where) if p), found.expected)
    return None


def _problem(entry: dict[str, Any], under: str, names: tuple[str, ...]) -> FieldProblem:
    where = ".".join(str(part) for part in (under, *entry["loc"]) if part != "")
    return FieldProblem(where or "document", _expected(entry, names))


def _expected(entry: dict[str, Any], names: tuple[str, ...]) -> str:
    kind, context = entry["type"], entry.get("ctx", {})
    got = _shown(entry.get("input"))
    if kind == "missing":
        return "is needed and was not given"
    if kind == "extra_forbidden":
        near = difflib.get_close_matches(str(entry["loc"][-1]), names, n=1)
        return "is not a field of this document" + (f"; did you mean {near[0]}?" if near else "")
    if kind in _BOUNDS:
        key, words = _BOUNDS[kind]
        return f"expects a number {words} {context[key]:g}, not {got}"
    if kind in ("float_parsing", "float_type", "finite_number"):
        return f"expects a number such as 2.5, not {got}"
    if kind in ("int_parsing", "int_type", "int_from_float", "int_parsing_size"):
        return f"expects a whole number, not {got}"
    if kind in ("literal_error", "enum"):
        return f"expects {context['expected']}, not {got}"
    if kind.startswith("date"):
        return f"expects a date written YYYY-MM-DD, not {got}"
    if kind.startswith("bool"):
        return f"expects true or false, not {got}"
    if kind == "string_too_long":
        return f"expects at most {context['max_length']} characters; this has {len(str(entry['input']))}"
    if kind == "string_too_short":
        return "must not be empty"
    if kind == "string_type":
        return f"expects text, not {got}"
    if kind in ("tuple_type", "list_type"):
        return f"expects a list, not {got}"
    if kind in ("dict_type", "model_type", "model_attributes_type"):
        return f"expects named fields, not {got}"
    return str(entry["msg"]).removeprefix("Value error, ")


def _shown(value: object) -> str:
    text = str(value)
    if value is None:
        return "nothing"
    if len(text) > _SHOWN_LENGTH:
        text = text[: _SHOWN_LENGTH - 1] + "…"
    return f"“{text}”"
