"""Gear types as a file: one JSON document with a list of them, or one JSON object a line. No database."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from gear.catalogue.entry import GearTypeEntry, read_json
from gear.errors import FieldProblem, Invalid

__all__ = ["TypeRow", "read_type_document", "write_type_document"]

TYPES_AT_MOST = 20_000


@dataclass(frozen=True)
class TypeRow:
    """One entry of the document, not judged yet; ``number`` counts from 1, in JSON lines it is the line."""

    number: int
    data: Mapping[str, Any]


def read_type_document(text: str) -> tuple[TypeRow, ...]:
    """The entries of a document: ``{"gear_types": [...]}``, a bare list, or JSON lines.

    Raises `Invalid` when the text is none of these.
    """
    if not text.strip():
        raise Invalid("The file is empty. Choose a JSON file with a list of gear types.")
    lines = [(number, line) for number, line in enumerate(text.split("\n"), start=1) if line.strip()]
    if len(lines) > 1 and _is_object(lines[0][1]) and "gear_types" not in json.loads(lines[0][1]):
        found = [(number, read_json(line, f"Line {number} of the file")) for number, line in lines]
    else:
        document = read_json(text, "The file")
        if isinstance(document, dict) and "gear_types" in document:
            extra = sorted(set(document) - {"gear_types", "schema_version"})
            if extra:
                raise Invalid(
                    f"The document has {', '.join(extra)} beside gear_types; it expects only schema_version there."
                )
            document = document["gear_types"]
        elif isinstance(document, dict):
            document = [document]
        if not isinstance(document, list):
            raise Invalid("The file holds no list of gear types: it expects {“gear_types”: [ … ]}.")
        found = list(enumerate(document, start=1))
    if len(found) > TYPES_AT_MOST:
        raise Invalid(f"The file has {len(found)} gear types; at most {TYPES_AT_MOST} go at once. Split it.")
    for number, data in found:
        if not isinstance(data, dict):
            raise Invalid(
                f"Entry {number} is not an object with slug, name, kind and spec.",
                (FieldProblem(f"row {number}", "expects an object with named fields"),),
            )
    return tuple(TypeRow(number, data) for number, data in found)


def write_type_document(entries: Iterable[GearTypeEntry]) -> str:
    """The document of these entries, one entry a line, so that two versions can be compared line by line."""
    lines = [
        json.dumps(entry.model_dump(mode="json", exclude_defaults=True), ensure_ascii=False, sort_keys=True)
        for entry in entries
    ]
    return '{"schema_version": 1, "gear_types": [\n' + ",\n".join(lines) + "\n]}\n"


def _is_object(line: str) -> bool:
    try:
        return isinstance(json.loads(line), dict)
    except (ValueError, RecursionError):
        return False
