"""A catalogue entry as it comes in, from a form, the API or a file: typed, and judged in one place. No database."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationError,
    ValidationInfo,
    field_validator,
)

from gear.catalogue.problems import field_problems, unstorable_text
from gear.errors import FieldProblem, Invalid
from gear.specs import KINDS

__all__ = ["INSPECTION_DAYS_AT_MOST", "GearTypeEntry", "read_entry", "read_json", "read_sheet"]

MINUTES_AT_MOST = 60 * 24 * 30
INSPECTION_DAYS_AT_MOST = 3660
_RESERVED_SLUGS = {"new", "schema", "export"}

Line = Annotated[str, StringConstraints(strip_whitespace=True)]
Minutes = Annotated[int, Field(ge=0, le=MINUTES_AT_MOST)]


class GearTypeEntry(BaseModel):
    """What the catalogue is told about one gear type. ``spec`` is the sheet's document, already judged by
    `read_entry`.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    slug: Annotated[Line, Field(max_length=80)]
    name: Annotated[Line, Field(min_length=1, max_length=120)]
    maker: Annotated[Line, Field(max_length=80)] = ""
    kind: str
    spec: dict[str, Any]
    prep_minutes: Minutes = 0
    turnaround_minutes: Minutes = 30
    inspection_days: Annotated[int, Field(ge=1, le=INSPECTION_DAYS_AT_MOST)] | None = None
    inspection_source: Annotated[Line, Field(max_length=200, validate_default=True)] = ""
    notes: Annotated[str, Field(max_length=10_000)] = ""

    @field_validator("slug")
    @classmethod
    def _addressable(cls, slug: str) -> str:
        if not slug or not all(c.isascii() and (c.isalnum() or c in "-_") for c in slug):
            raise ValueError("expects letters a to z, digits and dashes, for example strobe-500")
        if slug in _RESERVED_SLUGS:
            raise ValueError(f"cannot be “{slug}”: a page of the catalogue has that address")
        return slug

    @field_validator("inspection_source")
    @classmethod
    def _says_where_from(cls, source: str, info: ValidationInfo) -> str:
        if info.data.get("inspection_days") and not source:
            raise ValueError(
                "expects where the interval comes from: a local rule, the maker's manual, the studio's own decision"
            )
        return source

    @field_validator("kind")
    @classmethod
    def _known(cls, kind: str) -> str:
        if kind not in KINDS:
            raise ValueError(f"expects one of {', '.join(KINDS)}")
        return kind


def read_sheet(kind: str, spec: Mapping[str, Any]) -> dict[str, Any]:
    """The stored form of a spec sheet: only what was stated, in plain JSON values, with its kind.

    Raises `Invalid` whose problems name each field by its dotted path under ``spec``.
    """
    model = KINDS[kind][1]
    stated = spec.get("kind", kind)
    if stated != kind:
        raise Invalid(
            f"The spec sheet says kind “{stated}”, the entry says “{kind}”. Make them the same.",
            (FieldProblem("spec.kind", f"expects {kind}"),),
        )
    unstorable = unstorable_text(dict(spec), "spec")
    if unstorable:
        raise Invalid("The spec sheet holds text that cannot be stored.", (unstorable,))
    try:
        sheet = model.model_validate({**spec, "kind": kind})
    except ValidationError as error:
        problems = field_problems(error, under="spec", names=model.model_fields)
        raise Invalid(_how_many(problems, "The spec sheet"), problems) from None
    return {"kind": kind, **sheet.model_dump(mode="json", exclude_unset=True, exclude_none=True)}


def read_entry(data: Mapping[str, Any]) -> GearTypeEntry:
    """A catalogue entry from plain values. Raises `Invalid` that names every field at fault, sheet included."""
    problems: tuple[FieldProblem, ...] = ()
    entry: GearTypeEntry | None = None
    unstorable = unstorable_text({key: value for key, value in data.items() if key != "spec"})
    if unstorable:
        raise Invalid("The entry holds text that cannot be stored.", (unstorable,))
    try:
        entry = GearTypeEntry.model_validate(dict(data))
    except ValidationError as error:
        problems = field_problems(error, names=GearTypeEntry.model_fields)
    kind, spec = data.get("kind"), data.get("spec")
    stored: dict[str, Any] = {}
    if isinstance(kind, str) and kind in KINDS and isinstance(spec, Mapping):
        try:
            stored = read_sheet(kind, spec)
        except Invalid as refusal:
            problems += refusal.problems
    if problems or entry is None:
        raise Invalid(_how_many(problems, "The gear type"), problems)
    return entry.model_copy(update={"spec": stored})


def read_json(text: str, what: str) -> Any:
    """A JSON value from text. Raises `Invalid` with the line and column where reading stopped."""
    try:
        return json.loads(text, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        raise Invalid(
            f"{what} is not readable JSON: line {error.lineno}, column {error.colno}: "
            f"{error.msg[:1].lower()}{error.msg[1:]}."
        ) from None
    except RecursionError:
        raise Invalid(f"{what} is nested too deeply to be a list of gear types.") from None
    except ValueError as error:
        raise Invalid(f"{what} is not readable JSON: {error}.") from None


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number that JSON knows; leave the field out instead")


def _how_many(problems: tuple[FieldProblem, ...], what: str) -> str:
    if len(problems) == 1:
        return f"{what} cannot be kept like this: {problems[0].where} {problems[0].expected}."
    return f"{what} cannot be kept like this; {len(problems)} fields need mending."
