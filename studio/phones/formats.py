"""How an act is written down on a phone, in every format that this server reads. No database.

A phone keeps an act in the format of the page that noted it, and sends it so, however old: format 1 knew tags and
whole milliseconds, 2 brought notes and counted things, 3 says who was signed in, whether the phone had the unit on its
list, and carries a picture. A new format gets a reader of its own here and an example in the tests; the two before it
stay.
"""

from __future__ import annotations

import base64
import binascii
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Any, Literal, TypeVar
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from gear.catalogue.problems import field_problems, unstorable_text
from gear.errors import FieldProblem, Invalid

__all__ = ["ACTS", "NEWEST", "Act", "key_of", "read_act", "without_photo"]

M = TypeVar("M", bound=BaseModel)

NEWEST = 3
ACTS = ("out", "in", "undo", "used", "missing", "damaged", "count-out", "count-in")

UnitAct = Literal["out", "in", "undo", "used", "missing", "damaged"]
AnyAct = Literal["out", "in", "undo", "used", "missing", "damaged", "count-out", "count-in"]
Number = Annotated[int, Field(ge=1, le=10**9)]
Line = Annotated[str, Field(max_length=500)]
Note = Annotated[str, Field(max_length=250)]


@dataclass(frozen=True)
class Act:
    """What was done, whatever format said so. ``acted_at`` is by the phone's clock. ``made_by`` is None where the
    format did not say; ``listed`` is whether the phone had the thing on its list."""

    act: str
    shoot_id: int
    mark: str
    acted_at: datetime
    note: str = ""
    line_id: int | None = None
    quantity: str = ""
    made_by: int | None = None
    listed: bool = False
    photo: bytes | None = None


class Written(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=False)


class _Format1(Written):
    format: Literal[1]
    id: UUID
    n: Number
    shoot: Number
    tag: Line
    act: UnitAct
    ms: Annotated[int, Field(ge=0, le=4_102_444_800_000)]

    def meant(self) -> Act:
        return Act(self.act, self.shoot, self.tag, datetime.fromtimestamp(self.ms / 1000, UTC))


class _Format2(Written):
    format: Literal[2]
    key: UUID
    number: Number
    shoot: Number
    act: AnyAct
    mark: Line = ""
    note: Note = ""
    line: Number | None = None
    quantity: Annotated[str, Field(max_length=20)] = ""
    at: AwareDatetime

    def meant(self) -> Act:
        return Act(self.act, self.shoot, self.mark, self.at, self.note, self.line, self.quantity)


class _Format3(_Format2):
    format: Literal[3]  # type: ignore[assignment]
    person: Number
    listed: bool = False
    photo: str = ""

    def meant(self) -> Act:
        return Act(
            self.act,
            self.shoot,
            self.mark,
            self.at,
            self.note,
            self.line,
            self.quantity,
            self.person,
            self.listed,
            _picture(self.photo),
        )


_READERS: dict[int, type[_Format1] | type[_Format2] | type[_Format3]] = {
    1: _Format1,
    2: _Format2,
    3: _Format3,
}


class _Key(BaseModel):
    key: UUID
    number: Number


def key_of(document: Any) -> tuple[UUID, int]:
    """The key and the number of an act, even where the rest cannot be read. Raises `Invalid`."""
    if not isinstance(document, Mapping):
        raise Invalid("An act is an object with a format, a key and a number.")
    old = document.get("format") == 1
    return _typed(
        _Key,
        {"key": document.get("id" if old else "key"), "number": document.get("n" if old else "number")},
        lambda found: (found.key, found.number),
    )


def read_act(document: Mapping[str, Any]) -> Act:
    """What was done. Raises `Invalid` that names each field at fault, and for a format that this server cannot read."""
    reader = _READERS.get(document.get("format"))  # type: ignore[arg-type]
    if reader is None:
        raise Invalid(
            f"This server reads the formats {', '.join(map(str, _READERS))} of an act, not "
            f"{str(document.get('format'))[:20]}. It stays on the phone until the server has been renewed.",
            (FieldProblem("format", "a format that this server reads"),),
            code="unknown-format",
        )
    unstorable = unstorable_text({name: value for name, value in document.items() if name != "photo"})
    if unstorable:
        raise Invalid("The act holds text that cannot be stored.", (unstorable,))
    act = _typed(reader, document, lambda found: found.meant())
    if act.act.startswith("count-"):
        if act.line_id is None or not act.quantity:
            raise Invalid(
                "A count names its line and how many.", (FieldProblem("line", "a line of the list"),)
            )
    elif not act.mark.strip():
        raise Invalid("The act names no thing.", (FieldProblem("mark", "what was scanned or typed"),))
    return act


def without_photo(document: Mapping[str, Any]) -> dict[str, Any]:
    """What is kept of a document beside its picture."""
    return {name: value for name, value in document.items() if name != "photo"}


def _typed(model: type[M], data: Mapping[str, Any], mean: Callable[[M], Any]) -> Any:
    try:
        return mean(model.model_validate(dict(data)))
    except ValidationError as error:
        problems = field_problems(error, names=model.model_fields)
        first = problems[0]
        raise Invalid(f"The act cannot be read: {first.where} {first.expected}.", problems) from None


def _picture(text: str) -> bytes | None:
    """The picture in base64, with or without the head of a data address; None for nothing or what is none."""
    if not text:
        return None
    try:
        return base64.b64decode(text.rpartition(",")[2], validate=True)
    except (binascii.Error, ValueError):
        return None
