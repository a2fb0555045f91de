"""What an API request says, judged by its serializer and refused in the one shape of refusals."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rest_framework import serializers

from gear.errors import FieldProblem, Invalid

__all__ = ["read_input"]


def read_input(
    serializer: type[serializers.Serializer], data: Any, *, partial: bool = False
) -> dict[str, Any]:
    """The input as the serializer reads it. Raises `Invalid` that names every field at fault, unknown ones included."""
    reader = serializer(data=data, partial=partial)
    if isinstance(data, dict):
        strange = sorted(set(data) - set(reader.fields))
        if strange:
            known = ", ".join(reader.fields)
            raise Invalid(
                f"There is no field {strange[0][:40]!r} here. The fields are: {known}.",
                tuple(FieldProblem(name[:40], "no such field") for name in strange),
            )
    if not reader.is_valid():
        problems = tuple(_problems(reader.errors))
        raise Invalid(
            "Some of the input cannot be read: "
            + "; ".join(f"{problem.where}: {problem.expected}" for problem in problems),
            problems,
        )
    return dict(reader.validated_data)


def _problems(errors: Any, where: str = "") -> Iterator[FieldProblem]:
    if isinstance(errors, dict):
        for name, inner in errors.items():
            inside = where if name == "non_field_errors" else f"{where}.{name}".strip(".")
            yield from _problems(inner, inside)
        return
    for error in errors:
        if isinstance(error, dict | list):
            yield from _problems(error, where)
        else:
            yield FieldProblem(where or "body", str(error))
