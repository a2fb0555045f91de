"""Facts win, the plan bends: what can no longer be met becomes a shortage that is somebody's; nothing is deleted."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction

from gear.booking import services as booking_services
from gear.booking.models import Booking
from gear.booking.rules import now
from gear.booking.services import cancel, confirm, move_booking, release_units
from gear.errors import Conflict, Invalid
from gear.inventory.services import change_condition, report_fault
from gear.shortages import services
from gear.shortages.models import Shortage, ShortageNote
from gear.shortages.review import review_all
from gear.shortages.services import add_note, came_back, give_to, report_late
from gear.stock.services import count_out, count_stock, record_movement
from gear.subhire.services import cancel_sub_hire
from tests.builders import a_booking, a_person, a_unit
from tests.gear.booking.times import a_type, at, between, booked
from tests.gear.stock.counted import an_item, days, had
from tests.gear.subhire.test_borrow_unit import borrowed

pytestmark = pytest.mark.django_db


def the_shortage() -> Shortage:
    return Shortage.objects.get(closed_at=None)


@pytest.mark.parametrize(
    ("condition", "cause"),
    [("quarantine", "damage"), ("repair", "damage"), ("lost", "loss"), ("written-off", "loss")],
)
def test_a_unit_that_is_out_of_service_leaves_its_coming_bookings_short(condition, cause) -> None:
    unit = a_unit(a_type())
    person = a_person("photographer")
    booking = booked(10, 12, unit)
    Booking.objects.filter(pk=booking.pk).update(asked_by=person)
    change_condition(unit.tag, condition, "fell off the tower", None)
    found = the_shortage()
    assert (found.booking, found.unit, found.cause, found.owner) == (booking, unit, cause, person)
    assert "fell off the tower" in found.detail
    assert booking.allocations.get().active


def test_what_was_over_when_its_unit_broke_is_short_of_it_when_it_is_moved_ahead() -> None:
    unit = a_unit(a_type())
    booking = a_booking(now() - timedelta(hours=5), hours=2)
    booking_services.promise_units(booking, [unit.pk], None)
    report_fault(unit.tag, "does not fire", None)
    assert not Shortage.objects.exists()
    move_booking(booking, between(10, 12), None)
    assert (the_shortage().booking, the_shortage().unit) == (booking, unit)


def test_the_shortage_is_there_in_the_transaction_of_the_fact_or_neither_is() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)

    def undone() -> None:
        with transaction.atomic():
            report_fault(unit.tag, "does not fire", None)
            assert Shortage.objects.exists()
            raise RuntimeError

    with pytest.raises(RuntimeError):
        undone()
    assert not Shortage.objects.exists()


def test_a_second_fault_opens_no_second_shortage_and_is_written_in_the_trail() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    report_fault(unit.tag, "does not fire", None)
    report_fault(unit.tag, "hot battery", None)
    assert "hot battery" in the_shortage().detail
    assert the_shortage().notes.count() == 2


def test_a_unit_that_is_ready_again_closes_its_shortages() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    report_fault(unit.tag, "does not fire", None)
    change_condition(unit.tag, "ready", "new fuse, tested", None)
    closed = Shortage.objects.get()
    assert (closed.how, closed.closed_at is not None) == ("met-again", True)


@pytest.mark.parametrize("act", [lambda b, u: cancel(b, None), lambda b, u: release_units(b, [u.pk], None)])
def test_what_is_not_asked_for_any_more_is_closed(act) -> None:
    unit = a_unit(a_type())
    booking = booked(10, 12, unit)
    report_fault(unit.tag, "does not fire", None)
    act(booking, unit)
    assert Shortage.objects.get().how == "let-go"


def test_past_bookings_and_enquiries_are_short_of_nothing() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit, state="enquiry")
    past = a_booking(now() - timedelta(days=3))
    past.allocations.create(
        unit=unit, use=(past.starts_at, past.ends_at), blocked=(past.starts_at, past.ends_at)
    )
    report_fault(unit.tag, "does not fire", None)
    assert not Shortage.objects.exists()


def test_of_ten_two_break_while_nine_are_promised_and_one_is_short() -> None:
    """Case 30: no booking is deleted; one shortage of one."""
    item = an_item(10)
    booking = had(item, 9, 0, 1)
    record_movement(item.pk, "break", 2, None)
    found = the_shortage()
    assert (found.booking, found.item, found.quantity, found.cause) == (booking, item, 1, "capacity")
    assert booking.stock_promises.get().quantity == 9


def test_the_lowest_claim_goes_short_a_hold_before_what_is_confirmed_and_the_later_before_the_earlier() -> (
    None
):
    """Case 30: by the written rule."""
    item = an_item(10)
    first = had(item, 3, 0, 1, title="First")
    held = had(item, 3, 0, 1, title="Held", state="hold", hold_until=now() + timedelta(days=3))
    later = had(item, 3, 0, 1, title="Later")
    count_stock(item.pk, 8, None)
    assert (the_shortage().booking, the_shortage().quantity) == (held, 1)
    count_stock(item.pk, 5, None)
    short = {s.booking: s.quantity for s in Shortage.objects.filter(closed_at=None)}
    assert short == {held: 3, later: 1}
    confirm(held, None)
    assert first not in short


def test_who_has_it_already_is_not_short_of_it() -> None:
    item = an_item(10)
    first = had(item, 5, 0, 1)
    later = had(item, 5, 0, 1)
    count_out(later.stock_promises.get().pk, 5, None)
    count_stock(item.pk, 9, None)
    assert the_shortage().booking == first


def test_jobs_that_do_not_overlap_are_not_short_of_each_other() -> None:
    item = an_item(10)
    had(item, 9, 0, 1)
    had(item, 9, 1, 2)
    record_movement(item.pk, "break", 1, None)
    assert not Shortage.objects.exists()


def test_a_purchase_in_time_closes_the_shortage() -> None:
    item = an_item(10)
    had(item, 9, 1, 2)
    record_movement(item.pk, "break", 2, None)
    record_movement(item.pk, "purchase", 1, None, effective_at=days(1, 2).interval.starts_at)
    assert Shortage.objects.get().how == "met-again"


def test_what_is_overbooked_on_purpose_is_flagged() -> None:
    """Case 33."""
    tape = an_item(10, overbooking_percent=10)
    had(tape, 10, 0, 1)
    booking = had(tape, 1, 0, 1)
    found = the_shortage()
    assert (found.booking, found.quantity, found.cause) == (booking, 1, "overbooked")


def test_used_up_tape_leaves_a_later_job_short() -> None:
    """Case 31: later promises are checked again."""
    tape = an_item(10, consumable=True)
    later = had(tape, 9, 5, 6)
    record_movement(tape.pk, "use", 2, None)
    assert (the_shortage().booking, the_shortage().quantity) == (later, 1)


def test_a_cancelled_sub_hire_leaves_its_bookings_short() -> None:
    sub_hire = borrowed()
    booking = booked(12, 14, sub_hire.unit)
    cancel_sub_hire(sub_hire, "sold", None)
    assert (the_shortage().booking, the_shortage().cause) == (booking, "sub-hire")


def late_unit(turnaround: int = 120):
    """A unit that is out until an hour from now, and promised again three and six hours from now."""
    unit = a_unit(a_type(turnaround=turnaround))
    start = now()
    made = []
    for begin, end, title in ((-4, 1, "Running"), (3.5, 5, "Next"), (9, 10, "After")):
        booking = a_booking(start + timedelta(hours=begin), hours=end - begin, title=title)
        booking_services.promise_units(booking, [unit.pk], None)
        made.append(booking)
    return unit, start, made


def test_a_late_return_leaves_the_next_short_and_moves_nobody() -> None:
    """Cases 71 and 72: the turnaround after the late return counts."""
    unit, start, (running, following, after) = late_unit()
    (found,) = report_late(unit.tag, start + timedelta(hours=2), None)
    assert (found.booking, found.cause) == (following, "late")
    assert "“Running”" in found.detail
    assert running.allocations.get().use.upper == running.ends_at
    assert after.starts_at == Booking.objects.get(pk=after.pk).starts_at


def test_later_still_leaves_the_one_after_short_too_and_early_closes_both() -> None:
    """Case 72: the one after is asked again."""
    unit, start, (_, following, after) = late_unit()
    assert len(report_late(unit.tag, start + timedelta(hours=2), None)) == 1
    assert {s.booking for s in report_late(unit.tag, start + timedelta(hours=8), None)} == {following, after}
    came_back(unit, None)
    assert not Shortage.objects.filter(closed_at=None).exists()


def test_a_return_before_its_promised_end_is_not_late() -> None:
    unit, start, _ = late_unit()
    with pytest.raises(Invalid, match="anyway"):
        report_late(unit.tag, start + timedelta(minutes=30), None)
    with pytest.raises(Conflict, match="has not been out"):
        report_late(a_unit(a_type()).tag, start + timedelta(hours=2), None)


def test_a_return_that_is_later_than_was_said_leaves_more_short_by_the_clock_alone(monkeypatch) -> None:
    unit, start, (_, following, after) = late_unit()
    report_late(unit.tag, start + timedelta(hours=2), None)
    monkeypatch.setattr("gear.shortages.review.now", lambda: start + timedelta(hours=8.5))
    review_all()
    assert the_shortage().booking == after
    assert following.shortages.get().how == "over"


def test_a_shortage_stays_open_while_its_booking_runs_and_ends_with_it(monkeypatch) -> None:
    unit = a_unit(a_type())
    booking = booked(10, 12, unit)
    report_fault(unit.tag, "does not fire", None)
    monkeypatch.setattr("gear.shortages.review.now", lambda: at(11))
    review_all()
    assert the_shortage().booking == booking
    monkeypatch.setattr("gear.shortages.review.now", lambda: at(12))
    review_all()
    assert Shortage.objects.get().how == "over"


def test_the_sweep_finds_what_no_service_announced() -> None:
    unit, item = a_unit(a_type()), an_item(10)
    booked(10, 12, unit)
    had(item, 9, 0, 1)
    type(unit).objects.filter(pk=unit.pk).update(condition="lost")
    item.movements.update(quantity=8)
    review_all()
    assert {s.cause for s in Shortage.objects.filter(closed_at=None)} == {"loss", "capacity"}
    type(unit).objects.filter(pk=unit.pk).update(condition="ready")
    review_all()
    assert {s.cause for s in Shortage.objects.filter(closed_at=None)} == {"capacity"}


def test_moving_away_from_a_late_return_closes_it() -> None:
    unit, start, (_, following, _) = late_unit()
    report_late(unit.tag, start + timedelta(hours=2), None)
    move_booking(following, between(10, 11), None)
    assert not Shortage.objects.filter(closed_at=None).exists()


def test_the_trail_is_only_added_to() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    report_fault(unit.tag, "does not fire", None)
    person = a_person()
    add_note(the_shortage(), "Asked Lantern House", person)
    give_to(the_shortage(), person, person)
    assert the_shortage().owner == person
    for change in (
        lambda: ShortageNote.objects.update(text="nothing happened"),
        lambda: ShortageNote.objects.all().delete(),
    ):
        with pytest.raises(DatabaseError, match="only added to"), transaction.atomic():
            change()
    assert the_shortage().notes.count() == 3


def test_a_note_says_something() -> None:
    item = an_item(10)
    had(item, 9, 0, 1)
    record_movement(item.pk, "break", 2, None)
    with pytest.raises(Invalid):
        services.add_note(the_shortage(), "  ", None)
