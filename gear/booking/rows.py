"""Rows of a hand-written statement as objects. Every booking goes through a few statements; putting them together with
the query builder each time took longer than what the database does.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, Generic, TypeVar

from django.db import DEFAULT_DB_ALIAS
from django.db.models import Model

__all__ = ["Columns"]

M = TypeVar("M", bound=Model)


class Columns(Generic[M]):
    """The columns of a model in a statement that calls its table ``table``, and an object from what they hold.

    What is left out (``but``, names of fields) is read when somebody asks for it. A field that has to be converted from
    what the database says cannot be among them: `TypeError`.
    """

    def __init__(self, model: type[M], table: str, but: Collection[str] = ()) -> None:
        fields = [field for field in model._meta.concrete_fields if field.name not in but]
        converted = [field.name for field in fields if hasattr(field, "from_db_value")]
        if converted:
            raise TypeError(f"{', '.join(converted)} of {model.__name__} would not be converted.")
        self._model = model
        self._names = [field.attname for field in fields]
        self.sql = ", ".join(f"{table}.{field.column}" for field in fields)

    def __len__(self) -> int:
        return len(self._names)

    def object(self, values: Sequence[Any]) -> M:
        """The object with these values, in the order of the columns."""
        return self._model.from_db(DEFAULT_DB_ALIAS, self._names, values)
