"""A stock item as it comes in, from a form or the API: typed, and judged in one place. No database."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any

from pydantic import Field, StringConstraints, field_validator

from gear.inventory.entry import Minutes, Typed, read_typed
from gear.stock.models import StockItem

__all__ = ["StockEntry", "read_typed", "stock_fields"]

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]


class StockEntry(Typed):
    """What the store is told about one counted thing. ``gear_type`` is a slug or None."""

    name: Name
    gear_type: Annotated[str, Field(max_length=80)] | None = None
    counted_in: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=20)] = (
        "pieces"
    )
    whole: bool = True
    consumable: bool = False
    reorder_point: Annotated[Decimal, Field(ge=0, le=1_000_000, decimal_places=3)] | None = None
    overbooking_percent: Annotated[int, Field(ge=0, le=100)] = 0
    prep_minutes: Minutes = 0
    turnaround_minutes: Minutes = 0
    shelf: Annotated[str, Field(max_length=80)] = ""
    notes: Annotated[str, Field(max_length=10_000)] = ""

    @field_validator("gear_type")
    @classmethod
    def _none(cls, slug: str | None) -> str | None:
        return slug or None


def stock_fields(item: StockItem) -> dict[str, Any]:
    """The fields of a stored item under the names of `StockEntry`."""
    fields = {name: getattr(item, name) for name in StockEntry.model_fields if name != "gear_type"}
    return {**fields, "gear_type": item.gear_type.slug if item.gear_type else None}
