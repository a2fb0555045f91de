"""What left, what came back, what was used: counted facts."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from gear.booking import rules as booking_rules
from gear.errors import Conflict, Invalid
from gear.stock import counting, queries
from gear.stock.queries import availability, on_hand
from gear.stock.services import (
    count_back,
    count_out,
    count_stock,
    count_used,
    record_movement,
    report_lost,
    set_stock,
)
from gear.stock.shortfall import StockShort
from tests.gear.stock.counted import an_item, day, days, had

pytestmark = pytest.mark.django_db


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch):
    """Set the clock to a day after the Monday."""

    def set_to(number: float) -> None:
        for module in (booking_rules, counting, queries):
            monkeypatch.setattr(module, "now", lambda: day(number))
        monkeypatch.setattr("gear.booking.queries.now", lambda: day(number))

    return set_to


def left(item, quantity, start=0, end=1):
    promise = had(item, quantity, start, end).stock_promises.get()
    return count_out(promise.pk, quantity, None)


def test_two_that_did_not_come_back_stay_blocked(clock) -> None:
    """Case 92: 8 of 10 back."""
    item = an_item(10)
    promise = left(item, 10)
    clock(1)
    assert count_back(promise.pk, 8, None).still_out == 2
    assert availability(item, days(1.5, 2).interval).free == 8
    count_back(promise.pk, 2, None)
    assert availability(item, days(1.5, 2).interval).free == 10


def test_what_was_not_counted_back_at_all_stays_blocked_when_its_time_is_over(clock) -> None:
    item = an_item(10)
    left(item, 10)
    clock(0.5)
    assert availability(item, days(2, 3).interval).free == 10
    clock(1.1)
    assert availability(item, days(2, 3).interval).free == 0


def test_early_back_is_free_from_the_real_return_plus_turnaround(clock) -> None:
    item = an_item(10, turnaround_minutes=60)
    promise = left(item, 10, 0, 2)
    clock(1)
    count_back(promise.pk, 10, None)
    assert availability(item, days(1, 2).interval).free == 0
    assert availability(item, days(1 + 1 / 24, 2).interval).free == 10


def test_eleven_back_of_ten_stops_and_saves_nothing(clock) -> None:
    """Case 95."""
    promise = left(an_item(20), 10)
    with pytest.raises(Conflict, match="Stop, and count again") as refused:
        count_back(promise.pk, 11, None)
    assert refused.value.code == "recount"
    promise.refresh_from_db()
    assert promise.back_quantity == 0


def test_more_cannot_leave_than_was_promised() -> None:
    promise = left(an_item(20), 10)
    with pytest.raises(Conflict, match=r"11 of .* would have left, but 10 are promised"):
        count_out(promise.pk, 1, None)


def test_used_up_things_are_fewer_and_later_promises_see_it(clock) -> None:
    """Case 31: 3 booked, 2 used, 1 back."""
    tape = an_item(10, consumable=True)
    promise = left(tape, 3)
    clock(1)
    count_used(promise.pk, 2, None)
    promise = count_back(promise.pk, 1, None)
    assert (on_hand(tape, day(1)), promise.still_out, promise.active) == (8, 0, False)
    assert availability(tape, days(2, 3).interval).free == 8
    with pytest.raises(StockShort):
        had(tape, 9, 2, 3)


def test_what_is_to_be_used_up_is_not_there_for_anybody_later() -> None:
    tape = an_item(10, consumable=True)
    had(tape, 8, 0, 1)
    with pytest.raises(StockShort):
        had(tape, 3, 5, 6)


def test_what_a_later_job_is_to_use_up_is_not_there_for_an_earlier_one() -> None:
    tape = an_item(10, consumable=True)
    had(tape, 8, 5, 6)
    with pytest.raises(StockShort, match="2 free"):
        had(tape, 3, 0, 1)


def test_a_purchase_between_two_jobs_counts_for_the_later() -> None:
    tape = an_item(10, consumable=True)
    record_movement(tape.pk, "purchase", 5, None, effective_at=day(3))
    had(tape, 10, 0, 1)
    had(tape, 5, 4, 5)
    with pytest.raises(StockShort):
        had(tape, 1, 0, 1)


def test_a_sandbag_is_not_used_up() -> None:
    with pytest.raises(Conflict, match="returned, not used up"):
        count_used(left(an_item(10), 3).pk, 1, None)


def test_what_is_reported_lost_is_gone_and_says_why(clock) -> None:
    item = an_item(10)
    promise = left(item, 10)
    clock(1)
    count_back(promise.pk, 8, None)
    with pytest.raises(Invalid):
        report_lost(promise.pk, 2, " ", None)
    assert report_lost(promise.pk, 2, "Left on the roof", None).still_out == 0
    assert on_hand(item, day(1)) == 8
    assert "Left on the roof" in item.movements.get(kind="loss").note


def test_a_count_enters_the_difference() -> None:
    item = an_item(10)
    assert count_stock(item.pk, 8, None).quantity == Decimal(-2)
    assert count_stock(item.pk, 8, None) is None
    assert on_hand(item) == 8


def test_more_cannot_be_lost_than_there_ever_were() -> None:
    item = an_item(10)
    with pytest.raises(Conflict, match="There are 10 of"):
        record_movement(item.pk, "loss", 11, None)


def test_only_a_purchase_can_lie_ahead() -> None:
    with pytest.raises(Invalid, match="lies ahead"):
        record_movement(an_item().pk, "loss", 1, None, effective_at=booking_rules.now() + timedelta(days=1))


def test_what_is_promised_anew_after_a_return_blocks_again(clock) -> None:
    """Three went out and came back at noon; then the job asks for eight in all. None of the eight is anybody else's."""
    item = an_item(10)
    booking = had(item, 3, 0, 2)
    promise = booking.stock_promises.get()
    clock(0.2)
    count_out(promise.pk, 3, None)
    clock(0.5)
    count_back(promise.pk, 3, None)
    set_stock(booking, item.pk, 8, None)
    assert availability(item, days(1, 2).interval).free == 2
