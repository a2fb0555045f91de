"""The engine with one thing taken out at a time: what a careless change might leave behind."""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any
from unittest import mock

from django.db import connection

from gear.booking import blocking, clashes, interval, locks
from gear.booking.models import Allocation, Booking
from gear.booking.rules import use_of
from gear.inventory.models import Unit
from gear.kits import promising as kit_promising
from gear.shortages import services as shortage_services
from gear.stock import locks as stock_locks
from gear.stock import promising
from gear.stock.models import StockItem
from gear.stock.queries import availability
from gear.stock.shortfall import StockShort
from tests.everywhere import everywhere

__all__ = ["SABOTAGES"]


@contextlib.contextmanager
def booking_lock_dropped() -> Iterator[None]:
    def read(pk: int, version: int | None) -> Booking:
        found = Booking.objects.get(pk=pk)
        time.sleep(0.02)
        return found

    with everywhere(locks, "locked_by_id", read):
        yield


@contextlib.contextmanager
def unit_lock_dropped() -> Iterator[None]:
    with everywhere(locks, "locked_units", _units_read):
        yield


@contextlib.contextmanager
def locks_in_the_order_asked() -> Iterator[None]:
    """Locked one after the other as they come, instead of by their ids; of a kit as its parts come."""
    seen, real = threading.local(), kit_promising._asked

    def units(unit_ids: Any) -> list[Unit]:
        lock = Unit.objects.select_for_update(no_key=True, of=("self",)).select_related("gear_type")
        return [lock.get(pk=pk) for pk in dict.fromkeys(unit_ids)]

    def asked(*args: Any) -> Any:
        found = real(*args)
        seen.order = [choice.unit_id for _, choice in found.whole.everything()]
        return found

    def lock(unit_ids: Any, item_ids: Any) -> Any:
        found = units(sorted(unit_ids, key=seen.order.index))
        items = stock_locks.locked_items(item_ids)
        return kit_promising._Things({unit.pk: unit for unit in found}, {item.pk: item for item in items})

    with (
        everywhere(locks, "locked_units", units),
        mock.patch.object(kit_promising, "_asked", asked),
        mock.patch.object(kit_promising, "_lock", lock),
    ):
        yield


@contextlib.contextmanager
def stock_lock_dropped() -> Iterator[None]:
    with everywhere(stock_locks, "locked_items", _items_read):
        yield


@contextlib.contextmanager
def stock_checked_before_its_lock() -> Iterator[None]:
    """The check looks at what it saw before it waited for the lock."""
    seen, real = threading.local(), promising._locked

    def look_then_lock(booking: Booking, item_ids: Any) -> Any:
        items = StockItem.objects.filter(pk__in=list(item_ids))
        seen.free = {item.pk: availability(item, use_of(booking), ignoring=[booking.pk]) for item in items}
        time.sleep(0.02)
        return real(booking, item_ids)

    def refuse(booking: Booking, wanted: Any) -> None:
        for item, in_all in wanted.items():
            if in_all > seen.free[item.pk].free:
                raise StockShort(seen.free[item.pk], in_all, booking.zone)

    with (
        mock.patch.object(promising, "_locked", look_then_lock),
        everywhere(promising, "refuse_short", refuse),
    ):
        yield


@contextlib.contextmanager
def shortage_locked_before_its_unit() -> Iterator[None]:
    real = shortage_services._open

    def slowly(shortage: Any) -> Any:
        found = real(shortage)
        time.sleep(0.05)
        return found

    with (
        mock.patch.object(shortage_services, "locked_units", return_value=[]),
        mock.patch.object(shortage_services, "_open", slowly),
    ):
        yield


@contextlib.contextmanager
def look_beforehand_dropped() -> Iterator[None]:
    """Not a fault by itself: the constraint decides, and the refusal is only less kind."""
    with everywhere(clashes, "refuse_taken", lambda *args, **kwargs: None):
        yield


@contextlib.contextmanager
def constraint_dropped() -> Iterator[None]:
    with _without("booking_no_unit_twice"):
        yield


@contextlib.contextmanager
def ends_included() -> Iterator[None]:
    """``[)`` made ``[]``: what touches overlaps."""
    closed = property(lambda self: interval.DateTimeTZRange(self.starts_at, self.ends_at, "[]"))
    with _without("booking_ranges_half_open"), mock.patch.object(interval.Interval, "as_range", closed):
        yield


@contextlib.contextmanager
def buffers_dropped() -> Iterator[None]:
    """Neither prep nor turnaround is blocked, neither where Python reckons nor where the database does."""
    with (
        everywhere(interval, "blocked_interval", lambda use, prep, turnaround: use),
        everywhere(blocking, "blocked_from", lambda use, unit="": blocking.instant(use.starts_at)),
        everywhere(blocking, "blocked_to", lambda use, unit="": blocking.instant(use.ends_at)),
    ):
        yield


SABOTAGES: dict[str, Callable[[], contextlib.AbstractContextManager[None]]] = {
    act.__name__.replace("_", " "): act
    for act in (
        booking_lock_dropped,
        unit_lock_dropped,
        locks_in_the_order_asked,
        stock_lock_dropped,
        stock_checked_before_its_lock,
        shortage_locked_before_its_unit,
        look_beforehand_dropped,
        constraint_dropped,
        ends_included,
        buffers_dropped,
    )
}


def _units_read(unit_ids: Any) -> list[Unit]:
    found = list(Unit.objects.filter(pk__in=list(unit_ids)).select_related("gear_type"))
    time.sleep(0.05)
    return found


def _items_read(ids: Any) -> list[StockItem]:
    found = list(StockItem.objects.filter(pk__in=set(ids)))
    time.sleep(0.02)
    return found


@contextlib.contextmanager
def _without(name: str) -> Iterator[None]:
    """A database without one constraint of the promises; what got in meanwhile goes before it comes back."""
    (constraint,) = [one for one in Allocation._meta.constraints if one.name == name]
    with connection.schema_editor() as editor:
        editor.remove_constraint(Allocation, constraint)
    try:
        yield
    finally:
        Allocation.objects.all().delete()
        with connection.schema_editor() as editor:
            editor.add_constraint(Allocation, constraint)
