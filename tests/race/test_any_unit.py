"""Any unit of a type, and gear that stays on set, while others ask in the same moment: nobody is promised twice, nobody
who is exchanged is left without, and whoever waits, nobody sees that two waited for each other."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest

from gear.booking import services
from gear.booking.any_unit import promise_any
from gear.booking.models import Allocation, Booking
from gear.booking.staying import stay_on_set
from gear.errors import Refusal
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, between
from tests.race.audit import faults
from tests.race.server import at_once

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


def opened(start: float, end: float, by: object = None) -> Booking:
    return services.open_booking("Somebody", between(start, end), by, state="confirmed")


def done(act: Callable[[], object]) -> str:
    try:
        act()
    except Refusal:
        return "refused"
    return "done"


def test_many_who_ask_for_any_unit_leave_nobody_without() -> None:
    kind = a_type()
    units = [a_unit(kind) for _ in range(4)]
    before = [opened(10 + 2 * n, 12 + 2 * n) for n in range(4)]
    for unit, booking in zip(units, before, strict=True):
        services.promise_units(booking, [unit.pk], None)
    asking = [opened(11 + n, 13 + n) for n in range(6)]
    answers = at_once([lambda b=b: done(lambda: promise_any(b, kind.pk, 1, None)) for b in asking])
    assert set(answers) <= {"done", "refused"}
    assert answers.count("done") >= 4
    for booking in before:
        assert booking.allocations.filter(active=True).count() == 1
    assert Allocation.objects.filter(active=True).count() == 4 + answers.count("done")
    assert faults() == []


def test_a_unit_that_is_to_stay_and_somebody_in_between_do_not_both_come_true() -> None:
    by = a_person()
    for _ in range(6):
        unit = a_unit(a_type(turnaround=60))
        first, later, between_them = opened(10, 12, by), opened(20, 22, by), opened(14, 16)
        services.promise_units(first, [unit.pk], None)
        answers = at_once(
            [
                lambda f=first, n=later, u=unit: done(lambda: stay_on_set(f, n, [u.pk], by)),
                lambda b=between_them, u=unit: done(lambda: services.promise_units(b, [u.pk], None)),
            ]
        )
        assert Counter(answers) == {"done": 1, "refused": 1}
    assert faults() == []
