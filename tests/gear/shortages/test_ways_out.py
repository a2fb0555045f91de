"""Every shortage has ways out, each with its cost, and taking one settles it with who and how."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from gear.errors import Conflict
from gear.inventory.services import report_fault
from gear.kits.services import promise_kit, release_kit
from gear.shortages.models import Shortage
from gear.shortages.services import go_without, move_for, report_late, swap, take_fewer
from gear.shortages.ways_out import ways_out
from gear.stock.services import record_movement
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, booked
from tests.gear.kits.sets import a_kit, opened
from tests.gear.shortages.test_open_shortage import late_unit
from tests.gear.stock.counted import an_item, day, days, had
from tests.gear.subhire.test_borrow_unit import borrowed

pytestmark = pytest.mark.django_db


def a_damaged_one(kind=None):
    unit = a_unit(kind or a_type())
    booking = booked(10, 12, unit)
    report_fault(unit.tag, "does not fire", None)
    return unit, booking, Shortage.objects.get(closed_at=None)


def by_act(shortage):
    found: dict[str, list] = {}
    for way in ways_out(shortage):
        found.setdefault(way.act, []).append(way)
    return found


def test_a_damaged_unit_may_be_swapped_borrowed_or_gone_without() -> None:
    kind = a_type()
    unit, _, shortage = a_damaged_one(kind)
    same, other = a_unit(kind), a_unit(a_type())
    ways = by_act(shortage)
    assert [(w.value, w.cost) for w in ways["swap"]] == [
        (same.tag, "same model, free for the whole time"),
        (other.tag, "another model: the look is checked anew"),
    ]
    assert "price not known" in ways["borrow"][0].cost
    assert unit.tag in ways["without"][0].words


def test_what_borrowing_cost_last_time_is_said() -> None:
    kind = a_type()
    borrowed(kind=kind, price="45.00", contact="front desk")
    _, _, shortage = a_damaged_one(kind)
    assert by_act(shortage)["borrow"][0].cost == "last time 45.00, from Lantern House (front desk)"


def test_a_swap_promises_the_other_unit_and_settles_it() -> None:
    kind = a_type()
    unit, booking, shortage = a_damaged_one(kind)
    other, person = a_unit(kind), a_person()
    swap(shortage, other.tag, person)
    shortage.refresh_from_db()
    assert [a.unit for a in booking.allocations.all()] == [other]
    assert (shortage.how, shortage.closed_by) == ("swap", person)
    assert f"{other.tag} ({kind}) goes instead of {unit.tag}" in shortage.notes.last().text
    assert ways_out(shortage) == ()
    with pytest.raises(Conflict, match="settled already"):
        swap(shortage, other.tag, person)


def test_a_swap_to_a_unit_that_is_taken_changes_nothing() -> None:
    kind = a_type()
    unit, booking, shortage = a_damaged_one(kind)
    taken = a_unit(kind)
    booked(11, 13, taken)
    with pytest.raises(Conflict):
        swap(shortage, taken.tag, None)
    assert [a.unit for a in booking.allocations.all()] == [unit]
    assert Shortage.objects.get(pk=shortage.pk).closed_at is None


def test_going_without_releases_the_unit() -> None:
    _, booking, shortage = a_damaged_one()
    go_without(shortage, None)
    assert not booking.allocations.exists()
    assert Shortage.objects.get().how == "without"


def test_a_swap_of_what_a_kit_brought_stays_with_the_kit() -> None:
    kind = a_type()
    unit, other = a_unit(kind), a_unit(kind)
    booking = opened()
    promise = promise_kit(booking, a_kit(unit), None)
    report_fault(unit.tag, "does not fire", None)
    swap(Shortage.objects.get(), other.tag, None)
    taken = promise.taken.get()
    assert (taken.unit, taken.instead_of) == (other, unit.tag)
    release_kit(promise, None)
    assert not booking.allocations.exists()


def test_fewer_bags_go_and_the_shortage_is_settled() -> None:
    item = an_item(10)
    booking = had(item, 9, 0, 1)
    record_movement(item.pk, "break", 2, None)
    shortage = Shortage.objects.get()
    way = by_act(shortage)["fewer"][0]
    assert (way.words, way.cost) == ("Go with 8 instead of 9", f"1 {item} fewer on set")
    take_fewer(shortage, None)
    assert booking.stock_promises.get().quantity == 8
    assert Shortage.objects.get().how == "fewer"


def test_where_nothing_is_left_it_goes_without() -> None:
    item = an_item(2)
    booking = had(item, 2, 0, 1)
    record_movement(item.pk, "break", 2, None)
    shortage = Shortage.objects.get()
    assert by_act(shortage)["fewer"][0].words == f"Go without {item}"
    take_fewer(shortage, None)
    assert not booking.stock_promises.exists()
    assert Shortage.objects.get().how == "fewer"


def test_fewer_than_a_kit_needs_is_refused() -> None:
    item = an_item(10)
    promise_kit(opened(), a_kit((9, item)), None)
    record_movement(item.pk, "break", 2, None)
    shortage = Shortage.objects.get()
    assert "fewer" not in by_act(shortage)
    with pytest.raises(Conflict, match="with a kit"):
        take_fewer(shortage, None)


def test_a_booking_may_move_to_when_the_late_unit_is_ready() -> None:
    unit, start, (_, following, _) = late_unit(turnaround=60)
    (shortage,) = report_late(unit.tag, start + timedelta(hours=3), None)
    way = by_act(shortage)["move"][0]
    move_for(shortage, _moment(way.value), None)
    following.refresh_from_db()
    assert start + timedelta(hours=4) <= following.starts_at <= start + timedelta(hours=4, minutes=16)
    assert Shortage.objects.get().how == "move"


def test_a_booking_of_bags_may_move_to_when_there_are_enough() -> None:
    item = an_item(10)
    had(item, 6, 0, 1)
    booking = had(item, 4, 0, 1, title="Later")
    record_movement(item.pk, "break", 2, None)
    shortage = Shortage.objects.get()
    way = by_act(shortage)["move"][0]
    assert _moment(way.value) == day(1)
    move_for(shortage, day(1), None)
    booking.refresh_from_db()
    assert booking.starts_at == day(1)


def test_a_move_to_a_time_that_is_short_as_well_moves_nothing() -> None:
    unit, booking, shortage = a_damaged_one()
    with pytest.raises(Conflict, match=r"missing for .* as well"):
        move_for(shortage, days(3, 4).interval.starts_at, None)
    before = booking.starts_at
    booking.refresh_from_db()
    assert booking.starts_at == before
    assert Shortage.objects.get(pk=shortage.pk).closed_at is None
    assert unit.allocations.count() == 1


def _moment(text: str):
    return datetime.fromisoformat(text)


def test_a_unit_is_not_swapped_with_itself() -> None:
    unit = a_unit(a_type())
    booking = booked(10, 12, unit)
    report_fault(unit.tag, "The tube flickers", None)
    shortage = Shortage.objects.get()
    with pytest.raises(Conflict, match="Choose another"):
        swap(shortage, unit.tag, None)
    assert booking.allocations.get().unit == unit


def test_a_unit_that_has_its_place_in_the_kit_stands_in_for_no_other_of_it() -> None:
    """It cannot fill two places: the kit would have one part too few, and nobody would know."""
    first, second = a_unit(), a_unit()
    booking = opened()
    made = promise_kit(booking, a_kit(first, second), None)
    report_fault(first.tag, "The tube flickers", None)
    with pytest.raises(Conflict, match="has its place"):
        swap(Shortage.objects.get(), second.tag, None)
    assert {one.unit for one in made.taken.all()} == {first, second}
    assert booking.allocations.count() == 2
