"""Hard cases of booking where two things meet: zones in a sentence, a clock change under a split, an ended hold in an
exchange, facts against promises."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db.models import ProtectedError

from gear.booking import services
from gear.booking.any_unit import promise_any
from gear.booking.challenges import challenge
from gear.booking.clashes import UnitTaken
from gear.booking.interval import blocked_interval, period
from gear.booking.models import Booking
from gear.booking.open_end import leave_open
from gear.booking.parting import merge, split_at
from gear.booking.promotion import promote_due
from gear.booking.wall_time import start_of_day
from gear.errors import Conflict
from gear.inventory.services import change_condition, report_fault
from gear.kits.services import promise_kit
from gear.shortages.models import Shortage
from gear.shortages.services import report_late
from gear.stock.queries import availability
from gear.stock.services import change_item, count_out, record_movement
from gear.subhire.services import agree_return
from studio.history.models import Event
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, at, between, booked, set_clock
from tests.gear.kits.sets import a_kit
from tests.gear.stock.counted import an_item, days, had
from tests.gear.subhire.test_borrow_unit import borrowed

pytestmark = pytest.mark.django_db

PARIS = "Europe/Paris"


# Zones and clocks.


def test_a_clash_between_lisbon_and_berlin_is_judged_on_instants_and_said_on_both_clocks() -> None:
    """Case 18: picked up in Lisbon until noon there, asked for in Berlin from half past twelve: that is 11:30 there."""
    unit = a_unit(a_type(), tag="K-03")
    day = (datetime.now(UTC) + timedelta(days=60)).date()
    lisbon = services.open_booking(
        "Tiles", period(f"{day}T10:00", f"{day}T12:00", "Europe/Lisbon"), None, state="confirmed"
    )
    services.promise_units(lisbon, [unit.pk], None)
    berlin = services.open_booking("Bricks", period(f"{day}T12:30", f"{day}T15:00", "Europe/Berlin"), None)
    with pytest.raises(UnitTaken) as refused:
        services.promise_units(berlin, [unit.pk], None)
    assert "11:00 to 13:00 (there " in refused.value.sentence
    assert "10:00 to 12:00, Europe/Lisbon)" in refused.value.sentence
    assert "it is free from" in refused.value.sentence
    assert "13:00." in refused.value.sentence
    later = services.open_booking("Bricks", period(f"{day}T13:00", f"{day}T15:00", "Europe/Berlin"), None)
    services.promise_units(later, [unit.pk], None)


def test_turnaround_passes_in_elapsed_hours_and_nine_oclock_is_nine_on_the_wall() -> None:
    """Case 17: used until 01:30 in the night to 25 October 2026, two hours later it is 02:30 for the second time; ready
    "by nine" is nine on the wall, 8 h 30 min of elapsed time later."""
    use = period("2026-10-24T20:00", "2026-10-25T01:30", PARIS)
    ready = blocked_interval(use.interval, timedelta(0), timedelta(hours=2)).ends_at
    there = ready.astimezone(ZoneInfo(PARIS))
    assert (there.hour, there.minute, there.fold) == (2, 30, 1)
    nine = period("2026-10-25T01:30", "2026-10-25T09:00", PARIS).interval
    assert nine.ends_at == datetime(2026, 10, 25, 8, 0, tzinfo=UTC)
    assert nine.ends_at - nine.starts_at == timedelta(hours=8, minutes=30)


@pytest.mark.parametrize(
    ("zone", "day", "hour"),
    [
        ("Africa/Cairo", (2026, 4, 24), 1),
        ("America/Santiago", (2026, 9, 6), 1),
        ("Asia/Beirut", (2026, 3, 29), 1),
        ("America/Havana", (2026, 3, 8), 1),
    ],
)
def test_a_day_begins_at_its_first_instant_where_midnight_does_not_exist(zone, day, hour) -> None:
    """Case 21. IANA time zone database."""
    begins = start_of_day(datetime(*day).date(), ZoneInfo(zone)).astimezone(ZoneInfo(zone))
    assert (begins.date(), begins.hour, begins.minute) == (datetime(*day).date(), hour, 0)
    assert (begins.astimezone(UTC) - timedelta(minutes=1)).astimezone(ZoneInfo(zone)).date() < begins.date()


def test_a_split_in_the_repeated_hour_parts_elapsed_time_and_loses_none() -> None:
    unit = a_unit(a_type())
    night = period("2027-10-30T20:00", "2027-10-31T08:00", PARIS)
    booking = services.open_booking("Night", night, None, state="confirmed")
    services.promise_units(booking, [unit.pk], None)
    second = datetime(2027, 10, 31, 1, 30, tzinfo=UTC)
    later = split_at(booking, second, None)
    booking.refresh_from_db()
    assert (booking.ends_wall, later.starts_wall) == ("2027-10-31T02:30", "2027-10-31T02:30")
    parts = [one.allocations.get().use for one in (booking, later)]
    lengths = [use.upper - use.lower for use in parts]
    assert lengths == [timedelta(hours=7, minutes=30), timedelta(hours=5, minutes=30)]
    assert sum(lengths, timedelta()) == night.interval.ends_at - night.interval.starts_at


# Holds, lines and exchanges.


def test_an_ended_hold_exchanges_nothing_until_it_is_renewed(monkeypatch) -> None:
    kind = a_type()
    mine, other = a_unit(kind), a_unit(kind)
    booking = booked(10, 12, mine, state="hold", hold_until=at(-48))
    set_clock(monkeypatch, at(-47))
    with pytest.raises(Conflict) as refused:
        services.exchange_units(booking, [mine.pk], [other.pk], None)
    assert refused.value.code == "hold-lapsed"
    assert [one.unit for one in booking.allocations.all()] == [mine]


def test_a_unit_of_somebodys_ended_hold_can_be_taken_in_an_exchange(monkeypatch) -> None:
    kind = a_type()
    mine, theirs = a_unit(kind), a_unit(kind)
    ended = booked(10, 12, theirs, state="hold", hold_until=at(-48))
    booking = booked(10, 12, mine)
    set_clock(monkeypatch, at(-47))
    services.exchange_units(booking, [mine.pk], [theirs.pk], None)
    assert [one.unit for one in booking.allocations.all()] == [theirs]
    with pytest.raises(UnitTaken):
        services.confirm(ended, None)


def test_any_unit_does_not_overtake_who_stands_in_line(monkeypatch) -> None:
    kind = a_type()
    unit = a_unit(kind)
    booked(10, 12, unit, title="First", state="hold", hold_until=at(-48))
    waits = services.open_booking("Waits", between(10, 12), None, hold_until=at(5))
    services.promise_units(waits, [unit.pk], None, behind=True)
    new = services.open_booking("New", between(10, 12), None, hold_until=at(5))
    set_clock(monkeypatch, at(-47))
    with pytest.raises(UnitTaken, match="“Waits”"):
        promise_any(new, kind.pk, 1, None)
    assert not new.allocations.exists()
    assert promote_due() == 1
    assert waits.allocations.get().active


def test_who_waits_behind_something_without_a_return_date_gets_it_when_that_is_back(monkeypatch) -> None:
    unit = a_unit(a_type())
    lent = leave_open(booked(10, 12, unit, title="Lent out"), at(24 * 20), None)
    waits = services.open_booking("Waits", between(300, 302), None, hold_until=at(299))
    services.promise_units(waits, [unit.pk], None, behind=True)
    set_clock(monkeypatch, at(100))
    services.close_booking(lent, None)
    assert waits.allocations.get().active


def test_a_unit_named_twice_is_promised_once() -> None:
    unit = a_unit(a_type())
    booking = services.open_booking("A", between(10, 12), None)
    services.promise_units(booking, [unit.pk, unit.pk], None)
    assert booking.allocations.count() == 1


def test_a_question_about_a_unit_that_is_split_off_has_to_be_answered_first() -> None:
    kind = a_type()
    asked_for, other = a_unit(kind), a_unit(kind)
    first = booked(10, 12, asked_for, other, title="First", state="hold", hold_until=at(9))
    later = services.open_booking("Later", between(10, 12), None, hold_until=at(9))
    services.promise_units(later, [asked_for.pk], None, behind=True)
    challenge(later, first, at(5), None)
    with pytest.raises(Conflict) as refused:
        split_at(first, at(11), None)
    assert refused.value.code == "challenged"


# Facts against promises.


def test_a_unit_that_went_to_repair_does_not_keep_a_hold_from_being_confirmed_and_it_is_short_of_it() -> None:
    """What is held is held: the shortage tells, and confirming does not hide it."""
    unit = a_unit(a_type())
    booking = booked(10, 12, unit, state="hold", hold_until=at(5))
    report_fault(unit.tag, "does not fire", None)
    services.confirm(booking, None)
    assert Shortage.objects.get(closed_at=None).booking == booking


def test_a_cancelled_booking_whose_unit_was_written_off_is_not_taken_up_again() -> None:
    unit = a_unit(a_type(), tag="K-03")
    booking = booked(10, 12, unit)
    services.cancel(booking, None)
    change_condition("K-03", "written-off", "burnt out", None)
    with pytest.raises(Conflict, match=r"K-03 .* is written off"):
        services.uncancel(booking, None)
    booking.refresh_from_db()
    assert booking.state == Booking.State.CANCELLED


def test_a_write_off_below_what_is_out_is_a_fact_and_who_has_them_is_short_of_nothing() -> None:
    item = an_item(10)
    has = had(item, 8, 0, 1, title="Has them")
    waits = had(item, 2, 0, 1, title="Waits")
    count_out(has.stock_promises.get().pk, 8, None)
    record_movement(item.pk, "break", 5, None)
    short = {one.booking: one.quantity for one in Shortage.objects.filter(closed_at=None)}
    assert short == {waits: 2}
    assert has.stock_promises.get().quantity == 8
    assert availability(item, days(0, 1).interval).free == 0


def test_an_overbooking_allowance_that_is_withdrawn_deletes_no_promise_and_flags_it() -> None:
    tape = an_item(10, overbooking_percent=10)
    had(tape, 10, 0, 1)
    last = had(tape, 1, 0, 1)
    from gear.stock.entry import StockEntry

    entry = StockEntry(
        name=tape.name, counted_in=tape.counted_in, whole=True, consumable=False, overbooking_percent=0
    )
    change_item(tape.pk, entry, tape.version, None)
    found = Shortage.objects.get(closed_at=None)
    assert (found.booking, found.quantity) == (last, 1)
    assert last.stock_promises.get().quantity == 1


def test_an_owner_who_wants_it_back_earlier_leaves_the_booking_short_and_moves_nothing() -> None:
    sub_hire = borrowed()
    booking = booked(15, 18, sub_hire.unit)
    agree_return(sub_hire, at(17), None, version=1)
    found = Shortage.objects.get(closed_at=None)
    assert (found.booking, found.cause) == (booking, "sub-hire")
    assert (booking.allocations.get().use.upper, booking.ends_at) == (at(18), at(18))


def test_two_with_kits_become_one_while_one_is_short_and_the_shortage_goes_along() -> None:
    by, first_unit, second_unit = a_person(), a_unit(a_type()), a_unit(a_type())
    first, second = booked(10, 14, title="First"), booked(14, 20, title="Second")
    promise_kit(first, a_kit(first_unit, name="Key kit"), by)
    promise_kit(second, a_kit(second_unit, name="Fill kit"), by)
    report_fault(second_unit.tag, "does not fire", None)
    assert Shortage.objects.get(closed_at=None).booking == second
    kept = merge(first, second, None)
    open_ones = Shortage.objects.filter(closed_at=None)
    assert [(one.booking, one.unit) for one in open_ones] == [(kept, second_unit)]
    assert Shortage.objects.get(booking=second).how == "let-go"
    assert {promise.name for promise in kept.kits.all()} == {"Key kit", "Fill kit"}


def test_a_gear_type_with_units_is_not_deleted_and_one_without_leaves_its_history() -> None:
    unit = a_unit(a_type())
    with pytest.raises(ProtectedError):
        unit.gear_type.delete()
    lonely = a_type()
    pk = lonely.pk
    lonely.delete()
    event = Event.objects.get(table="catalogue_geartype", row_id=pk, act="deleted")
    assert event.row_before["slug"]


def test_a_unit_that_was_ever_promised_is_not_deleted() -> None:
    unit = a_unit(a_type())
    services.cancel(booked(10, 12, unit), None)
    with pytest.raises(ProtectedError):
        unit.delete()


def test_six_hours_late_puts_the_next_at_risk_and_asks_the_one_after_again_in_order_of_time() -> None:
    """Case 72: B is at risk at once, C when it is later still; nobody is moved."""
    unit = a_unit(a_type(turnaround=120))
    start = services.now()
    from tests.builders import a_booking

    made = {}
    for begin, end, title in ((-4, 1, "A"), (6, 8, "B"), (10.5, 11, "C")):
        made[title] = a_booking(start + timedelta(hours=begin), hours=end - begin, title=title)
        services.promise_units(made[title], [unit.pk], None)
    report_late(unit.tag, start + timedelta(hours=5), None)
    assert [one.booking.title for one in Shortage.objects.filter(closed_at=None)] == ["B"]
    report_late(unit.tag, start + timedelta(hours=9), None)
    assert [one.booking.title for one in Shortage.objects.filter(closed_at=None)] == ["B", "C"]
    assert made["B"].starts_at == Booking.objects.get(title="B").starts_at
