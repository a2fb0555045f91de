"""Which rows does a decision about counted things lock?

The rows of the items, by id, before any row of a unit and before anything about them is read: nothing in the table
itself forbids promising too many. Under READ COMMITTED the statement after the lock sees what the last holder wrote.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.db import connection

from gear.booking.rows import Columns
from gear.errors import Gone
from gear.stock.models import StockItem

__all__ = ["locked_item", "locked_items"]


def locked_items(ids: Iterable[int]) -> list[StockItem]:
    """These items, locked in the order of their ids."""
    wanted = list(ids)
    if not wanted:
        return []
    with connection.cursor() as cursor:
        cursor.execute(_LOCK, [wanted])
        return [_ITEM.object(row) for row in cursor.fetchall()]


def locked_item(pk: int) -> StockItem:
    """One item, locked. Raises `Gone`."""
    found = locked_items([pk])
    if not found:
        raise Gone(f"There is no stock item {pk}. Look for it under Gear, Stock.")
    return found[0]


_ITEM = Columns(StockItem, "i")
_LOCK = f"""
    SELECT {_ITEM.sql} FROM stock_stockitem i WHERE i.id = ANY(%s::bigint[]) ORDER BY i.id FOR NO KEY UPDATE
"""
