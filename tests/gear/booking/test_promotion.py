"""When what stands before it goes, the next in line gets the unit: once, and is told once."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gear.booking import notices, services
from gear.booking.clashes import UnitTaken
from gear.booking.notices import Promoted
from gear.booking.promotion import promote_due
from gear.booking.queries import free_units
from gear.booking.returns import return_units
from gear.booking.rules import now
from gear.inventory.models import Condition, Unit
from tests.builders import a_unit
from tests.gear.booking.test_wait_in_line import place_of, waiting
from tests.gear.booking.times import a_type, at, between, booked, set_clock

pytestmark = pytest.mark.django_db


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list:
    """Every notice, in the order in which it was told."""
    heard: list = []
    monkeypatch.setattr(notices, "_writers", [heard.append])
    return heard


def has(booking, unit) -> bool:
    return booking.allocations.filter(unit=unit, active=True, waits_since=None).exists()


def let_go(first, unit) -> None:
    services.release_units(first, [unit.pk], None)


def cancelled(first, unit) -> None:
    services.cancel(first, None)


def moved_away(first, unit) -> None:
    services.move_booking(first, between(20, 22), None)


def exchanged(first, unit) -> None:
    services.exchange_units(first, [unit.pk], [a_unit().pk], None)


def closed(first, unit) -> None:
    services.close_booking(first, None)


@pytest.mark.parametrize("goes", [let_go, cancelled, moved_away, exchanged, closed])
def test_the_second_moves_up_once_when_the_first_goes(goes, told) -> None:
    unit = a_unit(a_type(), tag="K-03")
    first = booked(10, 12, unit, state="hold")
    second = waiting(10, 12, unit)
    goes(first, unit)
    assert has(second, unit)
    promote_due()
    promote_due()
    assert told == [Promoted(second.pk, ("K-03",))]


def test_the_third_becomes_the_second(told) -> None:
    unit = a_unit(a_type())
    first = booked(10, 12, unit, state="hold")
    second, third = waiting(10, 12, unit), waiting(10, 12, unit)
    services.cancel(first, None)
    assert has(second, unit)
    assert place_of(third, unit).rank == 2
    assert [notice.booking_id for notice in told] == [second.pk]


def test_when_the_first_hold_ends_the_sweep_moves_the_second_up_and_repeating_it_does_nothing(
    told, monkeypatch: pytest.MonkeyPatch
) -> None:
    unit, start = a_unit(a_type(), tag="K-03"), now()
    first = booked(10, 12, unit, state="hold", hold_until=start + timedelta(hours=1))
    second = waiting(10, 12, unit)
    assert promote_due() == 0
    set_clock(monkeypatch, start + timedelta(hours=1))
    assert [promote_due(), promote_due()] == [1, 0]
    assert has(second, unit)
    assert not has(first, unit)
    assert told == [Promoted(second.pk, ("K-03",))]


def test_without_any_sweep_an_ended_hold_leaves_its_unit_to_the_next_in_line_not_to_a_newcomer(
    told, monkeypatch: pytest.MonkeyPatch
) -> None:
    unit, start = a_unit(a_type()), now()
    booked(10, 12, unit, state="hold", hold_until=start + timedelta(hours=1))
    second = waiting(10, 12, unit, title="Second")
    set_clock(monkeypatch, start + timedelta(hours=1))
    assert unit not in free_units(between(10, 12).interval)
    with pytest.raises(UnitTaken, match="Second"):
        booked(10, 12, unit, title="Newcomer")
    promote_due()  # the refused newcomer's transaction is undone, and with it what it moved up
    assert has(second, unit)
    assert [notice.booking_id for notice in told][-1:] == [second.pk]


def test_at_its_end_the_first_hold_is_a_fresh_check_that_the_second_wins(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    unit, start = a_unit(a_type()), now()
    first = booked(10, 12, unit, state="hold", hold_until=start + timedelta(hours=1))
    waiting(10, 12, unit, title="Second")
    set_clock(monkeypatch, start + timedelta(hours=1))
    with pytest.raises(UnitTaken, match="Second"):
        services.confirm(first, None)


def test_a_second_before_its_end_the_first_hold_confirms(monkeypatch: pytest.MonkeyPatch) -> None:
    unit, start = a_unit(a_type()), now()
    first = booked(10, 12, unit, state="hold", hold_until=start + timedelta(hours=1))
    second = waiting(10, 12, unit)
    set_clock(monkeypatch, start + timedelta(hours=1, seconds=-1))
    services.confirm(first, None)
    set_clock(monkeypatch, start + timedelta(hours=1))
    assert promote_due() == 0
    assert not has(second, unit)


def test_a_hold_that_ended_while_it_waited_is_passed_over(told, monkeypatch: pytest.MonkeyPatch) -> None:
    unit, start = a_unit(a_type()), now()
    first = booked(10, 12, unit, state="hold")
    second = waiting(10, 12, unit, hold_until=start + timedelta(hours=1))
    third = waiting(10, 12, unit)
    set_clock(monkeypatch, start + timedelta(hours=2))
    services.cancel(first, None)
    assert (has(second, unit), has(third, unit)) == (False, True)
    assert [notice.booking_id for notice in told] == [third.pk]


def test_a_late_sweep_ends_where_one_in_time_would_have_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    unit, start = a_unit(a_type()), now()
    booked(10, 12, unit, state="hold", hold_until=start + timedelta(hours=1))
    second = waiting(10, 12, unit, hold_until=start + timedelta(hours=2))
    third = waiting(10, 12, unit)
    set_clock(monkeypatch, start + timedelta(hours=3))
    promote_due()
    assert (has(second, unit), has(third, unit)) == (False, True)


def test_it_moves_up_unit_by_unit(told) -> None:
    head, stand = a_unit(a_type()), a_unit(a_type(), tag="S-01")
    booked(10, 12, head)
    second_holder_of_stand = booked(10, 12, stand)
    later = waiting(10, 12, head, stand)
    services.cancel(second_holder_of_stand, None)
    assert (has(later, head), has(later, stand)) == (False, True)
    assert told == [Promoted(later.pk, ("S-01",))]


def test_units_that_come_together_are_told_in_one_notice(told) -> None:
    head, stand = a_unit(a_type(), tag="K-03"), a_unit(a_type(), tag="S-01")
    first = booked(10, 12, head, stand)
    later = waiting(10, 12, head, stand)
    services.cancel(first, None)
    assert told == [Promoted(later.pk, ("K-03", "S-01"))]


def test_units_that_the_clock_frees_together_are_told_in_one_notice(
    told, monkeypatch: pytest.MonkeyPatch
) -> None:
    head, stand, start = a_unit(a_type(), tag="K-03"), a_unit(a_type(), tag="S-01"), now()
    booked(10, 12, head, stand, state="hold", hold_until=start + timedelta(hours=1))
    later = waiting(10, 12, head, stand)
    set_clock(monkeypatch, start + timedelta(hours=1))
    promote_due()
    assert told == [Promoted(later.pk, ("K-03", "S-01"))]


def test_who_still_has_somebody_before_it_for_part_of_the_time_waits_on() -> None:
    unit = a_unit(a_type())
    morning, _ = booked(10, 12, unit), booked(12, 14, unit)
    later = waiting(10, 14, unit)
    services.cancel(morning, None)
    assert not has(later, unit)


def test_a_unit_that_is_not_in_service_comes_to_nobody_until_it_is() -> None:
    unit = a_unit(a_type())
    first = booked(10, 12, unit)
    later = waiting(10, 12, unit)
    Unit.objects.filter(pk=unit.pk).update(condition=Condition.REPAIR)
    services.cancel(first, None)
    assert not has(later, unit)
    Unit.objects.filter(pk=unit.pk).update(condition=Condition.READY)
    promote_due()
    assert has(later, unit)


def test_an_early_return_lets_the_next_in_line_have_what_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    unit = a_unit(a_type(turnaround=60))
    first = booked(10, 20, unit)
    later = waiting(14, 18, unit, hold_until=at(14))
    set_clock(monkeypatch, at(12))
    return_units(first, [unit.pk], at(12))
    assert has(later, unit)


def test_a_time_that_is_over_comes_to_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    unit = a_unit(a_type())
    first = booked(10, 12, unit)
    later = waiting(10, 12, unit, hold_until=at(20))
    set_clock(monkeypatch, at(13))
    services.cancel(first, None)
    promote_due()
    assert not has(later, unit)


def test_who_waited_while_it_was_broken_comes_before_a_newcomer() -> None:
    """Nothing blocks it any more and nobody has moved up: only the line says whose it is."""
    unit = a_unit(a_type(), tag="K-03")
    first = booked(10, 12, unit, state="hold")
    second = waiting(10, 12, unit)
    Unit.objects.update(condition=Condition.REPAIR)
    let_go(first, unit)
    Unit.objects.update(condition=Condition.READY)
    assert not has(second, unit)
    with pytest.raises(UnitTaken):
        booked(10, 12, unit, title="Newcomer", state="hold")
