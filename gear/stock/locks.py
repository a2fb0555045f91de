"""Which rows does a decision about counted things lock?

The rows of the items, by id, before any row of a unit and before anything about them is read: nothing in the table
itself forbids promising too many. Under READ COMMITTED the statement after the lock sees what the last holder wrote.
"""

from __future__ import annotations

from collections.abc import Iterable

from gear.errors import Gone
from gear.stock.models import StockItem

__all__ = ["locked_item", "locked_items"]


def locked_items(ids: Iterable[int]) -> list[StockItem]:
    """These items, locked in the order of their ids."""
    return list(StockItem.objects.select_for_update(no_key=True).filter(pk__in=set(ids)).order_by("pk"))


def locked_item(pk: int) -> StockItem:
    """One item, locked. Raises `Gone`."""
    found = locked_items([pk])
    if not found:
        raise Gone(f"There is no stock item {pk}. Look for it under Gear, Stock.")
    return found[0]
