"""How many can be promised: what is there less what others have, over the whole of the time."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction

from gear.booking import rules as booking_rules
from gear.booking import services as booking_services
from gear.booking.models import Booking
from gear.errors import Conflict, Invalid
from gear.stock.models import StockPromise
from gear.stock.queries import availability, free_of_model
from gear.stock.services import (
    Wanted,
    promise_any_of_model,
    promise_stock,
    record_movement,
    release_stock,
    set_stock,
)
from gear.stock.shortfall import StockShort
from tests.builders import a_gear_type, a_unit
from tests.gear.stock.counted import an_item, day, days, had

pytestmark = pytest.mark.django_db


def test_what_is_promised_is_not_free() -> None:
    item = an_item(10)
    had(item, 4, 0, 2)
    assert availability(item, days(0, 2).interval).free == 6


def test_six_and_six_that_only_meet_are_accepted_for_the_peak_is_six() -> None:
    """Case 25."""
    item = an_item(10)
    had(item, 6, 0, 2)
    had(item, 6, 2, 4)
    assert availability(item, days(0, 4).interval).free == 4


def test_six_and_five_that_overlap_are_refused_with_what_is_free_on_which_day() -> None:
    """Case 26."""
    item = an_item(10)
    had(item, 6, 0, 2)
    with pytest.raises(StockShort, match="4 free Tue, 10 free Wed") as refused:
        had(item, 5, 1, 3)
    assert refused.value.free == 4
    assert "Take 4: they are free for the whole time." in refused.value.ways_out
    assert any(way.startswith("Start from Wed") for way in refused.value.ways_out)


def test_a_purchase_raises_the_number_on_its_day_and_not_before() -> None:
    """Case 29."""
    item = an_item(10)
    record_movement(item.pk, "purchase", 5, None, effective_at=day(2))
    assert availability(item, days(1, 2).interval).free == 10
    assert availability(item, days(1, 3).interval).free == 10
    assert availability(item, days(2, 3).interval).free == 15
    with pytest.raises(StockShort):
        had(item, 12, 1, 3)
    had(item, 12, 2, 3)


def test_a_fact_is_accepted_whatever_was_promised() -> None:
    """Case 30, the fact: 2 of 10 break while 9 are promised."""
    item = an_item(10)
    booking = had(item, 9, 0, 1)
    record_movement(item.pk, "break", 2, None)
    assert availability(item, days(0, 1).interval).free == 0
    assert booking.stock_promises.get().quantity == 9


def test_overbooking_is_a_setting_of_an_item_in_whole_things() -> None:
    """Case 33: 10 percent of 15 rolls are one."""
    tape, bags = an_item(15, overbooking_percent=10, consumable=True), an_item(15)
    had(tape, 16, 0, 1)
    with pytest.raises(StockShort):
        had(tape, 1, 0, 1)
    with pytest.raises(StockShort):
        had(bags, 16, 0, 1)


@pytest.mark.parametrize("asked", [0, -1, "1.5", "ten", "NaN", "Infinity", "", "1e9"])
def test_a_quantity_that_cannot_be_is_refused(asked) -> None:
    """Case 34."""
    item = an_item(10)
    booking = booking_services.open_booking("A", days(0, 1), None)
    with pytest.raises(Invalid) as refused:
        promise_stock(booking, [Wanted(item.pk, asked)], None)
    assert refused.value.status == 422
    assert refused.value.problems[0].where == "quantity"
    assert not booking.stock_promises.exists()


def test_what_is_not_whole_is_promised_in_parts() -> None:
    paper = an_item("11.5", whole=False, counted_in="metres")
    assert had(paper, "1.5", 0, 1).stock_promises.get().quantity == Decimal("1.5")


def test_two_lines_of_one_item_are_added_before_the_check() -> None:
    """Case 38."""
    item = an_item(10)
    booking = booking_services.open_booking("A", days(0, 1), None)
    with pytest.raises(StockShort, match=r"^12 of"):
        promise_stock(booking, [Wanted(item.pk, 6), Wanted(item.pk, 6)], None)
    promise_stock(booking, [Wanted(item.pk, 5), Wanted(item.pk, 5)], None)
    assert booking.stock_promises.get().quantity == 10


def test_a_later_line_of_the_same_item_is_added_to_the_first() -> None:
    item = an_item(10)
    booking = had(item, 6, 0, 1)
    with pytest.raises(StockShort):
        promise_stock(booking, [Wanted(item.pk, 5)], None)
    promise_stock(booking, [Wanted(item.pk, 3)], None, source="Grip kit")
    with pytest.raises(StockShort):
        promise_stock(booking, [Wanted(item.pk, 2)], None, source="Grip kit")
    assert sum(p.quantity for p in booking.stock_promises.all()) == 9


def test_one_item_that_is_short_leaves_the_others_unpromised() -> None:
    plenty, scarce = an_item(10), an_item(1)
    booking = booking_services.open_booking("A", days(0, 1), None)
    with pytest.raises(StockShort):
        promise_stock(booking, [Wanted(plenty.pk, 1), Wanted(scarce.pk, 2)], None)
    assert not StockPromise.objects.exists()


def test_any_of_a_model_sees_tagged_and_counted_ones() -> None:
    """Case 36: three with a tag and five counted."""
    kind = a_gear_type(turnaround_minutes=0)
    units = [a_unit(kind) for _ in range(3)]
    item = an_item(5, gear_type=kind)
    assert free_of_model(kind, days(0, 1).interval).count == 8
    booking = booking_services.open_booking("A", days(0, 1), None)
    promise_any_of_model(booking, kind, 7, None)
    assert booking.allocations.count() == len(units)
    assert booking.stock_promises.get(item=item).quantity == 4
    other = booking_services.open_booking("B", days(0, 1), None)
    with pytest.raises(Conflict, match=r"^1 of .* are free"):
        promise_any_of_model(other, kind, 2, None)
    assert not other.allocations.exists()


def test_the_turnaround_of_an_item_blocks_it_after_use() -> None:
    item = an_item(10, turnaround_minutes=120)
    had(item, 10, 0, 1)
    with pytest.raises(StockShort):
        had(item, 1, 1, 2)
    had(item, 10, 1 + 2 / 24, 2)


def test_an_ended_hold_does_not_block(monkeypatch: pytest.MonkeyPatch) -> None:
    item = an_item(10)
    held = had(item, 10, 0, 1, state="hold")
    Booking.objects.filter(pk=held.pk).update(hold_until=booking_rules.now() - timedelta(seconds=1))
    had(item, 10, 0, 1)
    held.refresh_from_db()
    with pytest.raises(StockShort):
        booking_services.confirm(held, None)


def test_an_enquiry_promises_nothing_until_it_is_held() -> None:
    item = an_item(10)
    asked = had(item, 20, 0, 1, state="enquiry")
    assert availability(item, days(0, 1).interval).free == 10
    with pytest.raises(StockShort):
        booking_services.hold(asked, None)
    set_stock(asked, item.pk, 8, None)
    booking_services.hold(asked, None)
    assert availability(item, days(0, 1).interval).free == 2


def test_a_cancelled_booking_frees_its_things_and_taken_up_again_is_a_fresh_check() -> None:
    item = an_item(10)
    booking = had(item, 10, 0, 1)
    booking_services.cancel(booking, None)
    had(item, 1, 0, 1)
    with pytest.raises(StockShort):
        booking_services.uncancel(booking, None)
    booking.refresh_from_db()
    assert booking.state == "cancelled"


def test_a_moved_booking_takes_its_things_along_or_does_not_move() -> None:
    item = an_item(10)
    booking = had(item, 8, 0, 1)
    had(item, 4, 2, 3)
    with pytest.raises(StockShort):
        booking_services.move_booking(booking, days(2, 3), None)
    booking.refresh_from_db()
    assert booking.starts_at == day(0)
    booking_services.move_booking(booking, days(1, 2), None)
    assert booking.stock_promises.get().use.lower == day(1)


def test_things_let_go_are_free_again() -> None:
    item = an_item(10)
    booking = had(item, 10, 0, 1)
    release_stock(booking, [item.pk], None)
    had(item, 10, 0, 1)


@pytest.mark.parametrize(
    ("sql", "constraint"),
    [
        ("quantity = 0", "stock_promise_of_something"),
        ("use = tstzrange(lower(use), lower(use))", r"stock_ranges_(not_empty|half_open)"),
        ("blocked = tstzrange(lower(blocked), NULL)", "stock_ranges_finite"),
        ("blocked = tstzrange(lower(blocked), upper(blocked), '[]')", "stock_ranges_half_open"),
        ("back_quantity = 1", "stock_back_at_most_what_went_out"),
    ],
)
def test_the_table_itself_refuses(sql, constraint) -> None:
    promise = had(an_item(), 1, 0, 1).stock_promises.get()
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"UPDATE stock_stockpromise SET {sql} WHERE id = %s", [promise.pk])


def test_who_goes_with_fewer_is_not_refused_for_what_others_are_short_of() -> None:
    item = an_item(10)
    first, second = had(item, 5, 0, 2), had(item, 5, 0, 2)
    record_movement(item.pk, "loss", 8, None)
    set_stock(second, item.pk, 3, None)
    set_stock(first, item.pk, 2, None)
    assert [promise.quantity for promise in item.promises.order_by("booking")] == [2, 3]
