"""Kits for the tests, saved through the service."""

from __future__ import annotations

import itertools
from typing import Any

from gear.booking.models import Booking
from gear.booking.services import open_booking
from gear.inventory.models import Unit
from gear.kits.entry import KitEntry, read_typed
from gear.kits.models import Kit
from gear.kits.services import save_kit
from gear.stock.models import StockItem
from tests.gear.booking.times import between

__all__ = ["a_kit", "an_entry", "opened"]

_count = itertools.count(1)


def an_entry(*parts: Any, name: str = "") -> KitEntry:
    """Each part is one thing, a list of things (“one of these”), or (how many, a stock item)."""
    return read_typed(
        KitEntry,
        {"name": name or f"Kit {next(_count)}", "parts": [_part(part) for part in parts]},
        "The kit",
    )


def a_kit(*parts: Any, name: str = "") -> Kit:
    """A kit with these parts."""
    return save_kit(an_entry(*parts, name=name), None)


def opened(start: float = 10, end: float = 12, title: str = "A", **more: Any) -> Booking:
    """A confirmed booking of nothing yet, on the day of `tests.gear.booking.times`."""
    return open_booking(title, between(start, end), None, state=more.pop("state", "confirmed"), **more)


def _part(part: Any) -> dict[str, Any]:
    quantity = 1
    if isinstance(part, tuple):
        quantity, part = part
    things = part if isinstance(part, list) else [part]
    return {"quantity": quantity, "options": [_option(thing) for thing in things]}


def _option(thing: Unit | StockItem | Kit) -> dict[str, Any]:
    if isinstance(thing, Unit):
        return {"unit": thing.tag}
    return {"item": thing.pk} if isinstance(thing, StockItem) else {"kit": thing.pk}
