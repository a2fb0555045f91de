"""Moving up in line, and parting a booking, while others ask for the same unit in the same moment."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import timedelta

import pytest

from gear.booking import services
from gear.booking.models import Allocation, Booking
from gear.booking.parting import split_at
from gear.booking.promotion import promote_due
from gear.booking.rules import now
from gear.errors import Conflict
from studio.outbox.models import Message
from tests.builders import a_gear_type, a_person, a_unit
from tests.gear.booking.times import at, between
from tests.race.audit import faults
from tests.race.server import at_once

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

CLIENTS = 16


@pytest.fixture
def line():
    """A unit whose first hold has ended by the clock, and the second that waits for it."""
    unit = a_unit(a_gear_type(turnaround_minutes=60), tag="K-03")
    first, second = held("First"), held("Second")
    services.promise_units(first, [unit.pk], None)
    services.promise_units(second, [unit.pk], None, behind=True)
    Booking.objects.filter(pk=first.pk).update(hold_until=now() - timedelta(seconds=1))
    return unit, first, second


def held(title: str, state: str = "hold") -> Booking:
    owner = a_person("photographer", email=f"{title.lower().replace(' ', '-')}@tram-depot.example")
    return services.open_booking(title, between(10, 12), owner, state=state)


def has(booking: Booking) -> bool:
    return booking.allocations.filter(active=True).exists()


def mails_about(tag: str) -> int:
    return sum(f"{tag} came to" in m.body["subject"] for m in Message.objects.filter(topic="mail"))


def done(act: Callable[[], object]) -> str:
    try:
        act()
    except Conflict:
        return "refused"
    return "done"


def test_sweeps_at_the_same_moment_move_up_once_and_write_once(line) -> None:
    _, first, second = line
    assert sum(at_once([promote_due] * CLIENTS)) == 1
    assert (has(first), has(second)) == (False, True)
    assert mails_about("K-03") == 1


def test_newcomers_at_the_same_moment_as_the_sweep_do_not_overtake(line) -> None:
    unit, _, second = line
    newcomers = [held(f"Newcomer {n}", "confirmed") for n in range(CLIENTS)]
    acts = [lambda b=b: done(lambda: services.promise_units(b, [unit.pk], None)) for b in newcomers]
    answers = at_once([*acts, promote_due])
    assert Counter(answers[:-1]) == {"refused": CLIENTS}
    assert has(second)
    assert mails_about("K-03") == 1
    assert faults() == []


def test_of_two_holders_who_confirm_in_the_same_moment_the_one_whose_turn_it_is_wins(line) -> None:
    _, first, second = line
    answers = at_once([lambda b=b: done(lambda: services.confirm(b, None)) for b in (first, second)])
    assert answers == ["refused", "done"]
    first.refresh_from_db()
    assert first.state == "hold"
    assert faults() == []


@pytest.mark.parametrize("time", range(5))
def test_letting_go_and_cancelling_who_waits_in_the_same_moment_leave_no_lost_promise(time: int) -> None:
    unit = a_unit(a_gear_type())
    first, second = held("First"), held("Second")
    services.promise_units(first, [unit.pk], None)
    services.promise_units(second, [unit.pk], None, behind=True)
    at_once([lambda: services.cancel(first, None), lambda: services.cancel(second, None)])
    left = Allocation.objects.filter(unit=unit)
    assert not left.filter(active=True).exists()
    assert not left.filter(waits_since__isnull=False).exists()


def test_while_a_booking_is_split_nobody_gets_its_unit() -> None:
    unit = a_unit(a_gear_type(turnaround_minutes=0))
    whole = services.open_booking("Whole", between(10, 20), None, state="confirmed")
    services.promise_units(whole, [unit.pk], None)
    others = [held(f"Other {n}", "confirmed") for n in range(CLIENTS)]
    acts = [lambda b=b: done(lambda: services.promise_units(b, [unit.pk], None)) for b in others]
    answers = at_once([*acts, lambda: split_at(whole, at(14), None)])
    assert Counter(answers[:-1]) == {"refused": CLIENTS}
    assert Allocation.objects.filter(unit=unit, active=True).count() == 2
    assert faults() == []
