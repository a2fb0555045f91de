"""One booking becomes two, two become one, and no unit is free in between."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from gear.booking import services
from gear.booking.challenges import challenge
from gear.booking.clashes import UnitTaken
from gear.booking.models import Allocation
from gear.booking.parting import merge, split_at, split_off
from gear.booking.rules import now
from gear.errors import Conflict, Gone, Invalid, StaleEdit
from gear.kits.models import KitPromise
from gear.stock.models import StockItem, StockMovement, StockPromise
from gear.stock.promising import set_stock
from gear.stock.shortfall import StockShort
from tests.builders import a_person, a_unit
from tests.gear.booking.test_wait_in_line import place_of, waiting
from tests.gear.booking.times import a_type, at, between, booked, set_clock

pytestmark = pytest.mark.django_db


def blocked(booking, unit) -> tuple[float, float]:
    """The blocked hours of a unit."""
    during = booking.allocations.get(unit=unit).blocked
    return tuple((edge - at(0)) / timedelta(hours=1) for edge in (during.lower, during.upper))


def bags(count: int, **more) -> StockItem:
    """So many sandbags."""
    item = StockItem.objects.create(name=more.pop("name", "Sandbags"), **more)
    StockMovement.objects.create(
        item=item, kind="purchase", quantity=count, effective_at=now() - timedelta(days=1)
    )
    return item


# --- splitting in time


def test_the_parts_block_together_exactly_what_the_whole_blocked() -> None:
    unit = a_unit(a_type(prep=60, turnaround=120))
    whole = booked(10, 20, unit)
    later = split_at(whole, at(14), None)
    assert (blocked(whole, unit), blocked(later, unit)) == ((9, 14), (14, 22))
    assert (later.starts_at, later.ends_at, later.state) == (at(14), at(20), "confirmed")


@pytest.mark.parametrize(("start", "end"), [(9.5, 10), (13, 15), (13.9, 14), (14, 14.1), (21, 23)])
def test_nobody_gets_in_between_the_parts(start: float, end: float) -> None:
    unit = a_unit(a_type(prep=60, turnaround=120))
    split_at(booked(10, 20, unit), at(14), None)
    with pytest.raises(UnitTaken):
        booked(start, end, unit)


@pytest.mark.parametrize("hour", [10, 20, 9, 21])
def test_a_booking_is_split_only_within_its_time(hour: float) -> None:
    whole = booked(10, 20, a_unit(a_type()))
    with pytest.raises(Invalid, match="can only be split between"):
        split_at(whole, at(hour), None)
    assert whole.allocations.count() == 1


def test_what_came_back_early_stays_with_the_first_part(monkeypatch: pytest.MonkeyPatch) -> None:
    from gear.booking.returns import return_units

    back, stays = a_unit(a_type()), a_unit(a_type())
    whole = booked(10, 20, back, stays)
    set_clock(monkeypatch, at(12))
    return_units(whole, [back.pk], at(12))
    later = split_at(whole, at(14), None)
    assert list(later.allocations.values_list("unit", flat=True)) == [stays.pk]
    assert blocked(whole, back) == (10, 12)


def test_what_waits_in_line_waits_in_both_parts_at_its_place() -> None:
    unit = a_unit(a_type())
    booked(10, 20, unit)
    second = waiting(10, 20, unit)
    third = waiting(10, 20, unit)
    later = split_at(second, at(14), None)
    assert (place_of(second, unit).rank, place_of(later, unit).rank, place_of(third, unit).rank) == (2, 2, 3)


def test_what_has_left_the_store_is_not_split() -> None:
    unit = a_unit(a_type(), tag="K-03")
    whole = booked(10, 20, unit)
    Allocation.objects.update(pinned=True)
    with pytest.raises(Conflict, match="K-03 left the store already"):
        split_at(whole, at(14), None)
    assert whole.allocations.count() == 1


def test_what_has_to_decide_first_is_not_split() -> None:
    unit = a_unit(a_type())
    first = booked(10, 20, unit, state="hold", title="First")
    challenge(waiting(10, 20, unit), first, now() + timedelta(hours=3), None)
    with pytest.raises(Conflict, match="That must be answered"):
        split_at(first, at(14), None)


def test_returnable_things_serve_both_parts_and_what_is_used_up_is_promised_once() -> None:
    by = a_person()
    sandbags, tape = bags(10), bags(10, name="Tape", consumable=True)
    whole = booked(10, 20, a_unit(a_type()))
    set_stock(whole, sandbags.pk, 6, by)
    set_stock(whole, tape.pk, 2, by)
    later = split_at(whole, at(14), None)
    assert [(p.item, p.quantity) for p in later.stock_promises.all()] == [(sandbags, 6)]
    other = booked(12, 16, a_unit(a_type()))
    with pytest.raises(StockShort):
        set_stock(other, sandbags.pk, 5, by)
    set_stock(other, sandbags.pk, 4, by)


def test_a_cancelled_booking_is_not_split() -> None:
    whole = booked(10, 20, a_unit(a_type()))
    services.cancel(whole, None)
    with pytest.raises(Conflict, match="cancelled"):
        split_at(whole, at(14), None)


def test_an_old_page_does_not_split() -> None:
    whole = booked(10, 20, a_unit(a_type()))
    services.move_booking(whole, between(10, 18), None)
    with pytest.raises(StaleEdit):
        split_at(whole, at(14), None, version=1)


# --- splitting by units


def test_some_units_get_a_booking_of_their_own_for_the_same_time() -> None:
    goes, stays = a_unit(a_type()), a_unit(a_type())
    whole = booked(10, 20, goes, stays, state="hold")
    other = split_off(whole, [goes.pk], None, title="B camera")
    assert (other.title, other.state, other.hold_until) == ("B camera", "hold", whole.hold_until)
    assert [list(b.allocations.values_list("unit", flat=True)) for b in (whole, other)] == [
        [stays.pk],
        [goes.pk],
    ]
    with pytest.raises(UnitTaken, match="B camera"):
        booked(12, 14, goes)


def test_the_promises_themselves_go_over_so_that_they_never_stop_blocking() -> None:
    goes, stays = a_unit(a_type()), a_unit(a_type())
    whole = booked(10, 20, goes, stays)
    before = whole.allocations.get(unit=goes).pk
    other = split_off(whole, [goes.pk], None)
    assert other.allocations.get().pk == before


def test_not_all_of_them_go() -> None:
    unit = a_unit(a_type())
    whole = booked(10, 20, unit)
    with pytest.raises(Invalid, match="Leave at least one"):
        split_off(whole, [unit.pk], None)


def test_only_what_it_has_can_go() -> None:
    whole = booked(10, 20, a_unit(a_type()), a_unit(a_type()))
    with pytest.raises(Gone, match="Not all of these"):
        split_off(whole, [a_unit().pk], None)


def test_what_has_left_the_store_does_not_go_over() -> None:
    goes, stays = a_unit(a_type(), tag="K-03"), a_unit(a_type())
    whole = booked(10, 20, goes, stays)
    Allocation.objects.filter(unit=goes).update(pinned=True)
    with pytest.raises(Conflict, match="K-03 left the store"):
        split_off(whole, [goes.pk], None)
    split_off(whole, [stays.pk], None)


# --- merging


def test_two_that_meet_become_one_that_lasts_over_both() -> None:
    unit = a_unit(a_type(prep=0, turnaround=0))
    first, second = booked(10, 14, unit), booked(14, 20, unit, title="B")
    kept = merge(second, first, None)
    assert kept == first
    assert (kept.starts_at, kept.ends_at) == (at(10), at(20))
    assert blocked(kept, unit) == (10, 20)
    second.refresh_from_db()
    assert second.state == "cancelled"


def test_what_was_split_can_be_merged_again() -> None:
    unit = a_unit(a_type(prep=60, turnaround=120))
    whole = booked(10, 20, unit)
    later = split_at(whole, at(14), None)
    merge(whole, later, None)
    assert blocked(whole, unit) == (9, 22)


def test_a_unit_that_only_one_of_them_had_must_be_free_for_the_whole_time() -> None:
    shared, only = a_unit(a_type()), a_unit(a_type())
    first, second = booked(10, 14, shared, only), booked(14, 20, shared)
    booked(15, 16, only, title="Meanwhile")
    with pytest.raises(UnitTaken, match="Meanwhile"):
        merge(first, second, None)
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.ends_at, second.state) == (at(14), "confirmed")
    assert second.allocations.get().active


def test_a_unit_that_only_one_of_them_had_is_taken_along() -> None:
    shared, only = a_unit(a_type()), a_unit(a_type())
    first, second = booked(10, 14, shared), booked(12, 20, only)
    merge(first, second, None)
    assert (blocked(first, shared), blocked(first, only)) == ((10, 20), (10, 20))


def test_the_earlier_end_of_two_holds_is_the_end_of_the_one() -> None:
    unit = a_unit(a_type())
    first = booked(10, 14, unit, state="hold", hold_until=now() + timedelta(days=3))
    second = booked(14, 20, unit, state="hold", hold_until=now() + timedelta(days=2))
    assert merge(first, second, None).hold_until == second.hold_until


def test_bags_that_serve_one_after_the_other_are_the_larger_number() -> None:
    by, item = a_person(), bags(10)
    first, second = booked(10, 14, a_unit(a_type())), booked(14, 20, a_unit(a_type()))
    set_stock(first, item.pk, 6, by)
    set_stock(second, item.pk, 8, by)
    merge(first, second, None)
    assert StockPromise.objects.get(booking=first).quantity == Decimal(8)


def test_bags_that_both_need_at_once_are_added() -> None:
    by, item = a_person(), bags(10)
    first, second = booked(10, 14, a_unit(a_type())), booked(12, 20, a_unit(a_type()))
    set_stock(first, item.pk, 6, by)
    set_stock(second, item.pk, 4, by)
    merge(first, second, None)
    assert StockPromise.objects.get(booking=first).quantity == Decimal(10)


def test_bags_that_somebody_else_has_meanwhile_forbid_it() -> None:
    by, item = a_person(), bags(10)
    first, second = booked(10, 14, a_unit(a_type())), booked(14, 20, a_unit(a_type()))
    set_stock(first, item.pk, 6, by)
    set_stock(booked(16, 18, a_unit(a_type())), item.pk, 5, by)
    with pytest.raises(StockShort):
        merge(first, second, None)
    second.refresh_from_db()
    assert second.state == "confirmed"


@pytest.mark.parametrize(
    ("differ", "said"),
    [
        ({"state": "hold"}, "Make both equally firm"),
        ({"start": 15}, "There is time between them"),
    ],
)
def test_what_is_unlike_is_not_merged(differ, said: str) -> None:
    first = booked(10, 14, a_unit(a_type()))
    second = booked(differ.get("start", 14), 20, a_unit(a_type()), state=differ.get("state", "confirmed"))
    with pytest.raises(Conflict, match=said):
        merge(first, second, None)


def test_what_belongs_to_two_people_is_not_merged() -> None:
    first, second = booked(10, 14, a_unit(a_type())), booked(14, 20, a_unit(a_type()))
    second.asked_by = a_person()
    second.save()
    with pytest.raises(Conflict, match="different people"):
        merge(first, second, None)


def test_a_booking_is_not_merged_with_itself() -> None:
    first = booked(10, 14, a_unit(a_type()))
    with pytest.raises(Invalid, match="same booking"):
        merge(first, first, None)


def test_a_kit_that_both_have_is_one_kit_and_its_bags_are_not_doubled() -> None:
    from gear.kits.services import promise_kit
    from tests.gear.kits.sets import a_kit

    by, item, unit = a_person(), bags(10), a_unit(a_type())
    kit = a_kit(unit, (4, item))
    first, second = booked(10, 14), booked(14, 20)
    promise_kit(first, kit, by)
    promise_kit(second, kit, by)
    merge(first, second, None)
    assert KitPromise.objects.filter(booking=first).count() == 1
    assert [line.quantity for line in first.stock_promises.all()] == [4]


def test_a_kit_is_known_in_both_parts_of_a_split() -> None:
    from gear.kits.services import promise_kit, release_kit
    from tests.gear.kits.sets import a_kit

    by, item, unit = a_person(), bags(10), a_unit(a_type())
    whole = booked(10, 20)
    promise_kit(whole, a_kit(unit, (4, item)), by)
    later = split_at(whole, at(14), None)
    (promise,) = later.kits.all()
    assert [line.source for line in later.stock_promises.all()] == [promise.source]
    release_kit(promise, by)
    assert (later.allocations.count(), whole.allocations.count()) == (0, 1)
