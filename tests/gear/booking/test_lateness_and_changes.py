"""A running booking is lengthened, shortened, returned early: plans change, facts do not."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gear.booking import services
from gear.booking.clashes import UnitTaken
from gear.booking.queries import free_units
from gear.booking.returns import return_units
from tests.builders import a_unit
from tests.gear.booking.times import a_type, at, between, booked, set_clock

pytestmark = pytest.mark.django_db


def test_a_later_return_into_the_next_booking_offers_an_earlier_end_a_swap_and_to_borrow() -> None:
    kind = a_type(turnaround=60)
    unit = a_unit(kind, tag="K-03")
    a_unit(kind, tag="K-05")
    running, following = booked(10, 12, unit), booked(20, 22, unit, title="Next")
    with pytest.raises(UnitTaken) as refused:
        services.move_booking(running, between(10, 21), None)
    said = " ".join(refused.value.ways_out)
    assert "Take K-05" in said
    assert "19:00." in said
    assert f"Borrow a {kind} from outside" in said
    assert following.allocations.get().use.lower == at(20)


def test_a_unit_that_came_back_early_is_free_after_its_turnaround(monkeypatch: pytest.MonkeyPatch) -> None:
    unit = a_unit(a_type(turnaround=60))
    running = booked(10, 20, unit)
    set_clock(monkeypatch, at(12))
    return_units(running, [unit.pk], at(12))
    assert unit not in free_units(between(12.9, 14).interval)
    assert unit in free_units(between(13, 14).interval)


@pytest.mark.parametrize("new_end", [15, 24], ids=["shortened", "lengthened"])
def test_a_new_end_leaves_the_logged_return_as_it_was(
    monkeypatch: pytest.MonkeyPatch, new_end: float
) -> None:
    back, stays = a_unit(a_type()), a_unit(a_type())
    running = booked(10, 20, back, stays)
    set_clock(monkeypatch, at(12))
    return_units(running, [back.pk], at(12))
    services.move_booking(running, between(10, new_end), None)
    ends = {promise.unit_id: promise.use.upper for promise in running.allocations.all()}
    assert ends == {back.pk: at(12), stays.pk: at(new_end)}
    assert running.allocations.get(unit=back).returned_at == at(12)


def test_a_shortened_booking_frees_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    unit = a_unit(a_type(turnaround=60))
    running = booked(10, 20, unit)
    set_clock(monkeypatch, at(11))
    services.move_booking(running, between(10, 14), None)
    booked(15, 20, unit)


def test_a_longer_time_that_is_free_is_just_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    unit = a_unit(a_type())
    running = booked(10, 12, unit)
    set_clock(monkeypatch, at(11))
    services.move_booking(running, between(10, 18), None)
    promise = running.allocations.get()
    assert promise.use.upper - promise.use.lower == timedelta(hours=8)


def test_a_unit_that_came_back_and_goes_again_for_another_time_is_promised_in_full(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    unit = a_unit(a_type())
    running = booked(10, 20, unit)
    set_clock(monkeypatch, at(12))
    return_units(running, [unit.pk], at(12))
    services.move_booking(running, between(30, 34), None)
    promise = running.allocations.get()
    assert (promise.use.lower, promise.use.upper) == (at(30), at(34))
