"""Case 52: what is lent to us is bookable only inside its window minus the way there and back."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from gear.booking.clashes import UnitTaken
from gear.booking.models import Allocation
from gear.booking.queries import free_units
from gear.booking.services import cancel, move_booking, promise_units
from gear.booking.windows import OutsideWindow
from gear.errors import Conflict, Invalid, StaleEdit
from gear.inventory.entry import UnitEntry
from gear.subhire.services import Terms, agree_return, borrow_unit, cancel_sub_hire, hand_back
from tests.builders import a_booking, a_unit
from tests.gear.booking.times import a_type, at, between, booked
from tests.gear.kits.sets import opened

pytestmark = pytest.mark.django_db


def borrowed(start=10, end=20, kind=None, **terms):
    """Lent by Lantern House from one hour to another, an hour's travel each way."""
    more = {"travel_in_minutes": 60, "travel_out_minutes": 60, **terms}
    entry = UnitEntry(tag=more.pop("tag", "S-01"), gear_type=(kind or a_type()).slug)
    return borrow_unit(entry, Terms("Lantern House", between(start, end), **more), None)


def test_it_can_be_promised_inside_its_window_minus_travel() -> None:
    unit = borrowed().unit
    booked(11, 19, unit)


@pytest.mark.parametrize(("start", "end"), [(10, 12), (10.5, 12), (18, 20), (18, 19.5), (21, 22), (8, 9)])
def test_outside_it_is_refused_with_the_owner_and_the_hours(start, end) -> None:
    unit = borrowed().unit
    with pytest.raises(OutsideWindow, match=r"belongs to Lantern House .* from .*11:00 until .*19:00"):
        booked(start, end, unit)
    assert not Allocation.objects.exists()


def test_prep_and_turnaround_lie_inside_the_window_as_well() -> None:
    unit = borrowed(kind=a_type(prep=30, turnaround=60)).unit
    with pytest.raises(OutsideWindow):
        booked(11, 13, unit)
    with pytest.raises(OutsideWindow):
        booked(16, 19, unit)
    booked(11.5, 18, unit)


def test_an_extension_beyond_the_owners_date_is_refused_and_says_until_when() -> None:
    unit = borrowed().unit
    booking = booked(12, 14, unit)
    with pytest.raises(OutsideWindow) as refused:
        move_booking(booking, between(12, 21), None)
    assert refused.value.ways_out[0].endswith("19:00.")
    assert booking.allocations.get().use.upper == at(14)


def test_when_the_owner_agrees_to_a_later_date_the_extension_is_possible() -> None:
    sub_hire = borrowed()
    booking = booked(12, 14, sub_hire.unit)
    agree_return(sub_hire, at(30), None, version=1)
    move_booking(booking, between(12, 29), None)
    with pytest.raises(StaleEdit):
        agree_return(sub_hire, at(40), None, version=1)


def test_it_is_offered_as_free_only_inside_its_window() -> None:
    unit = borrowed().unit
    assert unit in free_units(between(11, 19).interval)
    assert unit not in free_units(between(11, 19.5).interval)
    assert unit not in free_units(between(10.5, 12).interval)


def test_a_unit_of_our_own_has_no_window() -> None:
    assert a_unit(a_type()) in free_units(between(0, 200).interval)


def test_the_table_itself_refuses_a_promise_outside() -> None:
    unit = borrowed().unit
    booking = a_booking(at(18), hours=2)
    with pytest.raises(IntegrityError, match="not here for the whole"), transaction.atomic():
        Allocation.objects.create(
            booking=booking, unit=unit, use=(at(18), at(20)), blocked=(at(18), at(20)), active=True
        )
    Allocation.objects.create(
        booking=booking, unit=unit, use=(at(18), at(20)), blocked=(at(18), at(20)), active=False
    )
    with pytest.raises(IntegrityError), transaction.atomic():
        Allocation.objects.update(active=True)


def test_a_sub_hire_that_is_cancelled_moves_and_deletes_no_promise_and_takes_no_new_one() -> None:
    sub_hire = borrowed()
    booking = booked(12, 14, sub_hire.unit)
    cancel_sub_hire(sub_hire, "double booked there", None)
    assert booking.allocations.get().active
    with pytest.raises(OutsideWindow, match="not lent to us any more"):
        booked(15, 16, sub_hire.unit)
    cancel(booking, None)


def test_handed_back_it_can_be_promised_no_more() -> None:
    sub_hire = borrowed()
    hand_back(sub_hire, None)
    with pytest.raises(OutsideWindow):
        booked(15, 16, sub_hire.unit)
    with pytest.raises(Conflict, match="no longer lent"):
        hand_back(sub_hire, None)


def test_inside_its_window_it_is_promised_once_like_any_other() -> None:
    unit = borrowed().unit
    booked(12, 14, unit)
    booking = opened(13, 15)
    with pytest.raises(UnitTaken):
        promise_units(booking, [unit.pk], None)


def test_a_way_that_takes_the_whole_time_is_refused_and_leaves_no_unit() -> None:
    with pytest.raises(Invalid, match="takes the whole"):
        borrowed(10, 12)
    with pytest.raises(Invalid, match="whose it is"):
        borrow_unit(UnitEntry(tag="S-02", gear_type=a_type().slug), Terms(" ", between(10, 20)), None)


def test_what_was_agreed_is_kept() -> None:
    sub_hire = borrowed(price=Decimal("45.00"), contact="front desk")
    assert (sub_hire.back_by, sub_hire.price) == (at(20), Decimal("45.00"))
    assert sub_hire.unit.window.during.upper == at(20) - timedelta(hours=1)
