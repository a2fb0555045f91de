"""Counted things on the packing list: so many out, so many back, and what does not add up stops."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from gear.booking.services import promise_units
from gear.errors import Conflict, Gone
from gear.shortages.models import Shortage
from gear.stock.queries import on_hand
from gear.stock.services import Wanted, promise_stock
from studio.packing.overdue import note_overdue
from studio.packing.services import close_list, pack_out, take_back, update_list
from studio.packing.stock import count_line, state_of, stock_lines
from tests.builders import a_booking, a_gear_type, a_person, a_shoot, a_unit
from tests.gear.stock.counted import an_item

pytestmark = pytest.mark.django_db


def a_line(quantity=10, **more):
    shoot = a_shoot(booking=a_booking(timezone.now() - timedelta(hours=3), hours=2))
    (line,) = promise_stock(shoot.booking, [Wanted(an_item(50, **more).pk, quantity)], None)
    return shoot, line


def test_eight_of_ten_back_and_two_stay_blocked() -> None:
    """Case 92."""
    shoot, line = a_line()
    assert count_line(shoot, line.pk, "out", "10", None) == f"10 of 10 {line.item} packed"
    assert count_line(shoot, line.pk, "in", "8", None).endswith(
        f"8 of 10 {line.item} accounted for; 2 stay blocked"
    )
    with pytest.raises(Conflict, match=r"Still out: 2 of 10"):
        close_list(shoot, None)
    count_line(shoot, line.pk, "in", "10", None)
    assert close_list(shoot, None).shoot == shoot
    with pytest.raises(Conflict, match="was closed on"):
        count_line(shoot, line.pk, "in", "9", None)


def test_saying_the_same_total_twice_changes_nothing() -> None:
    shoot, line = a_line()
    for _ in range(2):
        count_line(shoot, line.pk, "out", "10", None)
    for _ in range(2):
        count_line(shoot, line.pk, "in", "5", None)
    line.refresh_from_db()
    assert (line.out_quantity, line.back_quantity) == (10, 5)


def test_a_wrong_total_is_mended_by_the_right_one() -> None:
    shoot, line = a_line()
    count_line(shoot, line.pk, "out", "10", None)
    count_line(shoot, line.pk, "in", "9", None)
    count_line(shoot, line.pk, "in", "8", None)
    line.refresh_from_db()
    assert line.still_out == 2
    with pytest.raises(Conflict, match="Stop, and count again"):
        count_line(shoot, line.pk, "out", "7", None)


def test_eleven_back_of_ten_stops_with_a_sentence_on_the_list(signed_in) -> None:
    """Case 95."""
    shoot, line = a_line()
    client = signed_in("assistant")
    address = reverse("packing:stock", args=[shoot.pk])
    client.post(address, {"line": line.pk, "act": "out", "quantity": "10"})
    refused = client.post(address, {"line": line.pk, "act": "in", "quantity": "11", "way": "in"})
    assert refused.status_code == 409
    assert "Stop, and count again" in refused.content.decode()
    done = client.post(address, {"line": line.pk, "act": "in", "quantity": "8", "way": "in"}, follow=True)
    assert "2 stay blocked" in done.content.decode()


def test_used_and_lost_ones_are_counted_once_from_one_page() -> None:
    """Case 31."""
    shoot, line = a_line(3, consumable=True)
    count_line(shoot, line.pk, "out", "3", None)
    line.refresh_from_db()
    seen = state_of(line)
    count_line(shoot, line.pk, "used", "1", None, seen=seen)
    with pytest.raises(Conflict, match="in the meantime"):
        count_line(shoot, line.pk, "used", "1", None, seen=seen)
    line.refresh_from_db()
    count_line(shoot, line.pk, "lost", "1", None, seen=state_of(line), note="on the roof")
    assert on_hand(line.item) == 48


def test_a_line_of_another_shoot_is_not_counted_here() -> None:
    shoot, _ = a_line()
    _, other = a_line()
    with pytest.raises(Gone):
        count_line(shoot, other.pk, "out", "1", None)


def test_the_list_shows_what_was_promised_to_whom_may_only_read_as_well(signed_in) -> None:
    shoot, line = a_line()
    page = signed_in("photographer").get(reverse("packing:list", args=[shoot.pk])).content.decode()
    assert line.item.name in page
    assert "0 of 10 packed" in page
    assert [one.pk for one in stock_lines(shoot)] == [line.pk]
    assert signed_in("photographer").post(reverse("packing:stock", args=[shoot.pk])).status_code == 403


def test_what_is_out_too_long_leaves_the_next_short_by_the_clock_and_back_again_settles_it() -> None:
    """Case 71."""
    now, unit, by = timezone.now(), a_unit(a_gear_type(turnaround_minutes=120)), a_person("assistant")
    running = a_shoot(booking=a_booking(now - timedelta(hours=5), hours=4))
    coming = a_booking(now + timedelta(hours=1.5), title="Next")
    for booking in (running.booking, coming):
        promise_units(booking, [unit.pk], None)
    update_list(running)
    pack_out(running, unit.tag, by)
    assert (note_overdue(), note_overdue()) == (1, 0)
    found = Shortage.objects.get()
    assert (found.booking, found.cause) == (coming, "late")
    take_back(running, unit.tag, by)
    assert Shortage.objects.get().closed_at is None  # its turnaround still reaches into the next
    assert found.booking.allocations.get().active


def test_what_is_out_too_long_with_nobody_waiting_is_no_shortage() -> None:
    unit, by = a_unit(), a_person("assistant")
    shoot = a_shoot(booking=a_booking(timezone.now() - timedelta(hours=5), hours=4))
    promise_units(shoot.booking, [unit.pk], None)
    update_list(shoot)
    pack_out(shoot, unit.tag, by)
    assert note_overdue() == 0
