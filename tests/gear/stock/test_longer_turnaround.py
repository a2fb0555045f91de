"""A turnaround of a counted thing that was lengthened: what it would leave too few of is listed, nobody loses any."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from gear.booking.services import cancel
from gear.shortages.models import Shortage
from gear.stock.models import StockItem, StockPromise
from gear.stock.services import record_movement
from gear.stock.today import TooFew, would_be_too_few
from tests.builders import a_person
from tests.gear.stock.counted import an_item, day, had

pytestmark = pytest.mark.django_db

DAY = 24 * 60


def with_minutes(item: StockItem, **minutes: int) -> StockItem:
    StockItem.objects.filter(pk=item.pk).update(**minutes)
    return StockItem.objects.get(pk=item.pk)


def said(found: list[TooFew]) -> list[tuple[Any, ...]]:
    return [(one.starts_at, one.ends_at, one.short, [b.title for b in one.bookings]) for one in found]


def test_what_a_longer_turnaround_would_leave_too_few_of_is_listed_and_stays_promised() -> None:
    item = an_item(10)
    had(item, 6, 0, 1, title="First")
    had(item, 6, 1, 2, title="Second")
    assert would_be_too_few(item) == []
    before = list(StockPromise.objects.values_list("quantity", "blocked"))
    item = with_minutes(item, turnaround_minutes=DAY // 2)
    assert said(would_be_too_few(item)) == [(day(1), day(1.5), Decimal(2), ["First", "Second"])]
    assert list(StockPromise.objects.values_list("quantity", "blocked")) == before


def test_preparation_counts_too_and_what_fits_all_the_same_is_not_listed() -> None:
    item = an_item(10)
    had(item, 6, 0, 1, title="First")
    had(item, 4, 1, 2, title="Second")
    last = had(item, 7, 2, 3, title="Third")
    item = with_minutes(item, prep_minutes=DAY // 4)
    assert said(would_be_too_few(item)) == [(day(1.75), day(2), Decimal(1), ["Second", "Third"])]
    cancel(last, a_person())
    assert would_be_too_few(item) == []


def test_what_may_be_overbooked_is_short_only_of_more() -> None:
    item = an_item(10, overbooking_percent=20)
    had(item, 6, 0, 1)
    had(item, 6, 1, 2)
    had(item, 9, 4, 5, title="Third")
    had(item, 4, 5, 6, title="Fourth")
    item = with_minutes(item, turnaround_minutes=60)
    assert said(would_be_too_few(item)) == [
        (day(5), day(5) + timedelta(hours=1), Decimal(1), ["Third", "Fourth"])
    ]


def test_what_is_short_already_is_a_shortage_and_not_listed_again() -> None:
    item = an_item(10)
    had(item, 6, 0, 1)
    had(item, 6, 1, 2)
    record_movement(item.pk, "loss", 5, a_person())
    assert Shortage.objects.filter(closed_at=None).count() == 2
    item = with_minutes(item, turnaround_minutes=DAY // 2)
    assert would_be_too_few(item) == []


def test_the_page_of_the_item_says_it(signed_in: Callable[..., Any]) -> None:
    item = an_item(10)
    had(item, 6, 0, 1, title="First")
    had(item, 6, 1, 2, title="Second")
    address, client = reverse("stock:item", args=[item.pk]), signed_in("assistant")
    assert "there would be too few" not in client.get(address).content.decode()
    with_minutes(item, turnaround_minutes=60)
    page = client.get(address).content.decode()
    assert "there would be too few" in page
    assert "<b>2</b> too few, First, Second" in page
