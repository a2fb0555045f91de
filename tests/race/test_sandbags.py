"""Counted things are locked by their ids, whatever the order in which they are asked for."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db.models import Sum

from gear.booking import services as booking_services
from gear.errors import Conflict
from gear.stock.models import StockPromise
from gear.stock.services import Wanted, promise_stock, release_stock
from tests.gear.stock.counted import an_item, days
from tests.race.audit import deadlocks
from tests.race.server import at_once

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


def test_items_asked_for_in_opposite_order_meet_no_deadlock() -> None:
    items = [an_item(3).pk for _ in range(4)]
    bookings = _open(8)
    before = deadlocks()

    def ask(number: int) -> int:
        order = items if number % 2 else items[::-1]
        done = 0
        for _ in range(15):
            try:
                promise_stock(bookings[number], [Wanted(pk, 1) for pk in order], None)
                release_stock(bookings[number], order, None)
                done += 1
            except Conflict:
                pass
        return done

    assert sum(at_once([lambda n=n: ask(n) for n in range(8)])) > 0
    assert deadlocks() == before


def test_promising_and_confirming_the_same_bookings_meet_no_deadlock() -> None:
    items = [an_item(100).pk for _ in range(2)]
    bookings = [booking_services.open_booking(f"B{n}", days(0, 1), None) for n in range(2)]
    before = deadlocks()

    def act(number: int) -> None:
        mine = bookings[number % 2]
        for _ in range(15):
            if number < 2:
                promise_stock(mine, [Wanted(pk, 1) for pk in items[:: 1 if number else -1]], None)
            else:
                booking_services.confirm(mine, None)
                booking_services.hold(mine, None)

    at_once([lambda n=n: act(n) for n in range(4)])
    assert deadlocks() == before
    assert StockPromise.objects.aggregate(all=Sum("quantity"))["all"] == Decimal(60)


def _open(count: int) -> list:
    return [
        booking_services.open_booking(f"Booking {n}", days(0, 1), None, state="confirmed")
        for n in range(count)
    ]
