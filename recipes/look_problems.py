"""What is wrong with a recipe document, where, and what is expected there instead?

The typed parts know their rules; here the failures of those rules become sentences for the person who writes the
document: a dotted path with list places counted from 0 (``lights.0.bearing_deg``), and what that field expects.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError
from pydantic_core import PydanticCustomError

__all__ = [
    "NAME_PATTERN",
    "TEXT_PATTERN",
    "TIME_PATTERN",
    "LookError",
    "Problem",
    "problems_of",
    "refuse",
]

NAME_PATTERN = r"^[^\s\x00-\x1f\x7f]([^\x00-\x1f\x7f]*[^\s\x00-\x1f\x7f])?$"
TEXT_PATTERN = r"^[^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*$"
TIME_PATTERN = r"^([01][0-9]|2[0-3]):[0-5][0-9]$"

MOST_PROBLEMS = 60
"""More than this many at once is not a list that a person reads; the last entry then says how many are left."""

_PATTERNS = {
    NAME_PATTERN: "one line of text with no space at either end",
    TEXT_PATTERN: "plain text without control characters",
    TIME_PATTERN: "a time of day as HH:MM, for example 14:30",
}

_KINDS = {
    "bool_type": "true or false",
    "dict_type": "an object with named fields, in braces",
    "extra_forbidden": "no such field here; check the spelling against the schema",
    "finite_number": "a finite number",
    "float_type": "a number",
    "int_from_float": "a whole number",
    "int_type": "a whole number",
    "invalid_key": "field names are text",
    "missing": "this field is required",
    "model_type": "an object with named fields, in braces",
    "string_type": "text",
    "string_unicode": "text that can be written as UTF-8",
    "tuple_type": "a list, in square brackets",
}


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a document: where (a dotted path, empty for the whole), and what is expected there."""

    field: str
    expected: str


class LookError(ValueError):
    """A document that is not a recipe; ``problems`` says where and why, for a person to mend."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{p.field or 'document'}: {p.expected}" for p in problems))


def refuse(problems: Sequence[Problem], beside: bool = False) -> None:
    """Inside a validator: fail with problems whose paths start at what is validated. No problems, no failure.

    With ``beside`` the paths start one level up: a field's validator speaks about the fields beside it.
    """
    if problems:
        context = {"problems": [*problems], "beside": beside}
        raise PydanticCustomError("look", "see the problems in its context", context)


def problems_of(error: ValidationError) -> tuple[Problem, ...]:
    """Every failed rule as a sentence, in the order of the document; at most `MOST_PROBLEMS`."""
    found: list[Problem] = []
    for entry in error.errors():
        found += _sentences(dict(entry))
    if len(found) > MOST_PROBLEMS:
        left = len(found) - MOST_PROBLEMS + 1
        found[MOST_PROBLEMS - 1 :] = [Problem("", f"and {left} more; mend these first")]
    return tuple(found)


def _sentences(entry: dict[str, Any]) -> list[Problem]:
    context = entry.get("ctx", {})
    places = entry["loc"][:-1] if context.get("beside") else entry["loc"]
    where = ".".join(_shown(str(part), 60) for part in places)
    if entry["type"] == "look":
        return [
            Problem(".".join(part for part in (where, problem.field) if part), problem.expected)
            for problem in context["problems"]
        ]
    if entry["type"] == "extra_forbidden":
        return [Problem(where, _KINDS["extra_forbidden"])]
    return [Problem(where, f"{_expected(entry, context)}{_got(entry.get('input'))}")]


def _expected(entry: dict[str, Any], context: dict[str, Any]) -> str:
    match entry["type"]:
        case "greater_than":
            return f"a number above {context['gt']:g}"
        case "greater_than_equal":
            return f"a number of at least {context['ge']:g}"
        case "less_than_equal":
            return f"a number of at most {context['le']:g}"
        case "literal_error":
            return f"one of {context['expected']}"
        case "string_too_short":
            return "some text, not nothing"
        case "string_too_long":
            return f"at most {context['max_length']} characters"
        case "too_long":
            return f"at most {context['max_length']} entries"
        case "too_short":
            return f"at least {context['min_length']} entry"
        case "string_pattern_mismatch":
            return _PATTERNS.get(context["pattern"], f"text of the form {context['pattern']}")
        case kind:
            return _KINDS.get(kind, str(entry["msg"]))


def _got(value: Any) -> str:
    if isinstance(value, int) and value.bit_length() > 200:
        return " (got a number with far too many digits)"
    if isinstance(value, (str, int, float)):
        return f" (got {_shown(repr(value), 60)})"
    if value is None:
        return " (got null)"
    return ""


def _shown(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"
