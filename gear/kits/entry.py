"""A kit as it comes in: typed. No database."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import Field, StringConstraints, model_validator

from gear.inventory.entry import Typed, read_typed

__all__ = ["KitEntry", "OptionEntry", "PartEntry", "read_typed"]

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]


class OptionEntry(Typed):
    """One thing that may fill a place: the tag of a unit, the number of a stock item, or the number of a kit."""

    unit: str | None = None
    item: int | None = None
    kit: int | None = None

    @model_validator(mode="after")
    def _one(self) -> OptionEntry:
        if sum(value is not None for value in (self.unit, self.item, self.kit)) != 1:
            raise ValueError("expects exactly one of unit, item and kit")
        return self


class PartEntry(Typed):
    """A place in a kit; with several options it is “one of these”."""

    name: Annotated[str, StringConstraints(strip_whitespace=True, max_length=80)] = ""
    quantity: Annotated[Decimal, Field(gt=0, le=1_000_000, decimal_places=3)] = Decimal(1)
    options: Annotated[tuple[OptionEntry, ...], Field(min_length=1, max_length=20)]


class KitEntry(Typed):
    """What the store is told about a kit."""

    name: Name
    notes: Annotated[str, Field(max_length=10_000)] = ""
    parts: Annotated[tuple[PartEntry, ...], Field(min_length=1, max_length=100)]
