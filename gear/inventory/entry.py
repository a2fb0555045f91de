"""A unit as it comes in, from a form, the API or a file: typed, and judged in one place. No database."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError, field_validator

from gear.catalogue.problems import field_problems, unstorable_text
from gear.errors import Invalid
from gear.inventory.short_code import is_code

__all__ = ["CareNote", "FaultReport", "UnitEntry", "UnitRow", "read_typed"]

M = TypeVar("M", bound=BaseModel)

_TAG = r"^[A-Z0-9][A-Z0-9-]{0,18}[A-Z0-9]$"
Line = Annotated[str, StringConstraints(strip_whitespace=True)]
Minutes = Annotated[int, Field(ge=0, le=60 * 24 * 30)]
Health = Annotated[float, Field(ge=0.05, le=1.2, allow_inf_nan=False)]
FlashCount = Annotated[int, Field(ge=0, le=100_000_000)]


class Typed(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class UnitEntry(Typed):
    """What the store is told about one unit. ``gear_type`` is a slug, ``case`` the tag of a case or None."""

    tag: Line
    gear_type: Annotated[Line, Field(min_length=1, max_length=80)]
    serial: Annotated[str, Field(max_length=80)] = ""
    shelf: Annotated[str, Field(max_length=80)] = ""
    case: Line | None = None
    prep_minutes: Minutes | None = None
    turnaround_minutes: Minutes | None = None
    radio_channel: Annotated[int, Field(ge=0, le=32767)] | None = None
    inspection_due: date | None = None
    bought_on: date | None = None
    notes: Annotated[str, Field(max_length=10_000)] = ""

    @field_validator("tag", "case")
    @classmethod
    def _tag_form(cls, tag: str | None) -> str | None:
        if tag is None:
            return None
        tag = tag.upper()
        if not re.fullmatch(_TAG, tag):
            raise ValueError("expects 2 to 20 letters, digits and dashes, for example K-03")
        return tag


class UnitRow(UnitEntry):
    """A unit in an import file: also its short code, and its state, which on the pages has acts of its own."""

    code: Line = ""
    condition: Literal["ready", "quarantine", "repair", "lost", "written-off"] = "ready"
    condition_note: Annotated[str, Field(max_length=300)] = ""
    health: Health | None = None

    @field_validator("code")
    @classmethod
    def _code_form(cls, code: str) -> str:
        code = code.upper()
        if code and not is_code(code):
            raise ValueError("expects a short code as it stands on a label, or an empty cell")
        return code


class CareNote(Typed):
    """One line for the care history. ``happened_on`` is when it was true; None is today."""

    kind: Literal["note", "repair", "inspection", "measurement", "firmware"]
    text: Annotated[Line, Field(min_length=1, max_length=500)]
    happened_on: date | None = None
    health: Health | None = None
    flash_count: FlashCount | None = None
    firmware: Annotated[Line, Field(max_length=40)] = ""
    next_inspection: date | None = None
    cost: Annotated[Decimal, Field(ge=0, max_digits=10, decimal_places=2)] | None = None
    currency: Annotated[Line, Field(max_length=3)] = ""

    @field_validator("currency")
    @classmethod
    def _three_letters(cls, currency: str) -> str:
        currency = currency.upper()
        if currency and not re.fullmatch("[A-Z]{3}", currency):
            raise ValueError("expects the three letters of a currency, for example EUR")
        return currency


class FaultReport(Typed):
    """What is wrong with a unit. ``happened_on`` None is today."""

    text: Annotated[Line, Field(min_length=1, max_length=500)]
    happened_on: date | None = None


def read_typed(model: type[M], data: Mapping[str, Any], what: str) -> M:
    """``data`` as ``model``. Raises `Invalid` that names every field at fault and what it expects."""
    unstorable = unstorable_text(dict(data))
    if unstorable:
        raise Invalid(f"{what} holds text that cannot be stored.", (unstorable,))
    try:
        return model.model_validate(dict(data))
    except ValidationError as error:
        problems = field_problems(error, names=model.model_fields)
        raise Invalid(
            f"{what} cannot be kept like this: "
            + (
                f"{problems[0].where} {problems[0].expected}."
                if len(problems) == 1
                else f"{len(problems)} fields need mending."
            ),
            problems,
        ) from None
