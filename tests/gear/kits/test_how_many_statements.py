"""What promising and releasing asks of the database, with what follows after the commit. The bounds are what was
counted; a row that is read again in the same transaction, or a thing that is seen to singly, goes beyond them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from gear.booking.services import promise_units, release_units
from gear.kits.services import promise_kit, release_kit
from gear.stock.services import Wanted, promise_stock, release_stock
from tests.builders import a_unit
from tests.gear.booking.times import a_type
from tests.gear.kits.sets import a_kit, opened
from tests.gear.stock.counted import an_item

pytestmark = pytest.mark.django_db(transaction=True)


def asked(act: Callable[[], Any]) -> tuple[int, Any]:
    """How many statements it took, those that begin and end a transaction among them, and what it answered."""
    with CaptureQueriesContext(connection) as told:
        answer = act()
    return len(told), answer


@pytest.mark.parametrize(("units", "items"), [(3, 2), (6, 5)])
def test_a_kit_is_promised_and_released_in_few_statements_however_much_is_in_it(units, items) -> None:
    bags = [an_item(10) for _ in range(items)]
    kit = a_kit(*(a_unit(a_type()) for _ in range(units)), *((2, item) for item in bags))
    booking = opened()
    promising, promise = asked(lambda: promise_kit(booking, kit, None))
    assert booking.allocations.count() == units
    assert booking.stock_promises.count() == items
    releasing, _ = asked(lambda: release_kit(promise, None))
    assert not booking.allocations.exists()
    assert not booking.stock_promises.exists()
    assert promising <= 22
    assert releasing <= 19


@pytest.mark.parametrize("count", [1, 4])
def test_counted_things_are_promised_and_released_in_few_statements_however_many(count) -> None:
    items, booking = [an_item(10).pk for _ in range(count)], opened()
    promising, made = asked(lambda: promise_stock(booking, [Wanted(pk, 1) for pk in items], None))
    assert len(made) == count
    releasing, _ = asked(lambda: release_stock(booking, items, None))
    assert not booking.stock_promises.exists()
    assert promising <= 15
    assert releasing <= 12


@pytest.mark.parametrize("count", [1, 4])
def test_units_that_nobody_waits_for_are_released_in_few_statements_however_many(count) -> None:
    units, booking = [a_unit(a_type()).pk for _ in range(count)], opened()
    promise_units(booking, units, None)
    releasing, gone = asked(lambda: release_units(booking, units, None))
    assert gone == count
    assert releasing <= 12
