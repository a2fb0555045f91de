"""Small races with one answer each, that say what went wrong; run as they are, and with the engine sabotaged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import psycopg
from django.db import connection

from gear.booking import services
from gear.booking.models import Booking
from gear.errors import Refusal
from gear.inventory.services import change_condition, report_fault
from gear.kits.services import promise_kit, release_kit
from gear.shortages.models import Shortage
from gear.shortages.review import review_all
from gear.shortages.services import swap
from gear.stock.services import Wanted, promise_stock
from tests.builders import a_booking, a_unit
from tests.gear.booking.times import a_type, at, between
from tests.gear.kits.sets import a_kit
from tests.gear.stock.counted import an_item
from tests.race.audit import deadlocks, faults
from tests.race.server import at_once

__all__ = [
    "bags_of_ten",
    "broken_meanwhile",
    "cancelled_meanwhile",
    "chain_that_touches",
    "kits_in_opposite_order",
    "last_unit",
    "straight_into_the_table",
    "units_in_opposite_order",
    "ways_out_and_facts",
    "within_the_turnaround",
]


def last_unit(clients: int = 32) -> list[str]:
    """All want one unit for the same time; one gets it."""
    unit = a_unit(a_type())
    bookings = [_opened() for _ in range(clients)]
    answers = at_once(
        [lambda b=b: _done(lambda: services.promise_units(b, [unit.pk], None)) for b in bookings]
    )
    return [*_other_than({"done": 1, "refused": clients - 1}, answers), *faults()]


def straight_into_the_table(clients: int = 8) -> list[str]:
    """Rows that no service has looked at, as a bug or a hand in the database would write them; one gets in."""
    unit, bookings = a_unit(), [a_booking() for _ in range(clients)]
    where = {k: v for k, v in connection.get_connection_params().items() if k in _WHERE}

    def insert(booking: Booking) -> str:
        with psycopg.connect(**where) as line:
            try:
                line.execute(
                    "INSERT INTO booking_allocation (booking_id, unit_id, use, blocked, active, pinned, created_at) "
                    "VALUES (%s, %s, tstzrange(%s, %s), tstzrange(%s, %s), true, false, now())",
                    [booking.pk, unit.pk, at(10), at(12), at(10), at(12)],
                )
            except (psycopg.errors.ExclusionViolation, psycopg.errors.DeadlockDetected):
                line.rollback()
                return "refused"
        return "done"

    answers = at_once([lambda b=b: insert(b) for b in bookings])
    return [*_other_than({"done": 1, "refused": clients - 1}, answers), *faults()]


def chain_that_touches(links: int = 12) -> list[str]:
    """Each begins in the minute in which the one before has it ready again; all get it, whoever comes first."""
    unit = a_unit(a_type(prep=30, turnaround=30))
    bookings = [_opened(2 * n, 2 * n + 1) for n in range(links)]
    answers = at_once(
        [lambda b=b: _done(lambda: services.promise_units(b, [unit.pk], None)) for b in bookings]
    )
    return [*_other_than({"done": links}, answers), *faults()]


def within_the_turnaround(clients: int = 8) -> list[str]:
    """Each begins while the one before is still being checked and charged; every other one gets it at most."""
    unit = a_unit(a_type(turnaround=60))
    bookings = [_opened(1.5 * n, 1.5 * n + 1) for n in range(clients)]
    at_once([lambda b=b: _done(lambda: services.promise_units(b, [unit.pk], None)) for b in bookings])
    return faults()


def bags_of_ten(clients: int = 32) -> list[str]:
    """All want one of ten; exactly ten get one."""
    item = an_item(10)
    bookings = [_opened() for _ in range(clients)]
    answers = at_once(
        [lambda b=b: _done(lambda: promise_stock(b, [Wanted(item.pk, 1)], None)) for b in bookings]
    )
    return [*_other_than({"done": 10, "refused": clients - 10}, answers), *faults()]


def units_in_opposite_order(rounds: int = 4, clients: int = 8) -> list[str]:
    """All want the same units for the same time, every other client in opposite order."""
    units = [a_unit(a_type()).pk for _ in range(4)]
    bookings = [_opened() for _ in range(clients)]

    def ask(number: int) -> str:
        order, got = units[:: 1 if number % 2 else -1], 0
        for _ in range(rounds):
            if _done(lambda: services.promise_units(bookings[number], order, None)) == "done":
                services.release_units(bookings[number], order, None)
                got += 1
        return "something" if got else "nothing"

    before = deadlocks()
    answers = at_once([lambda n=n: ask(n) for n in range(clients)])
    return [*_waits_since(before), *([] if "something" in answers else ["nobody got anything"]), *faults()]


def kits_in_opposite_order(times: int = 32, clients: int = 8) -> list[str]:
    """Two kits name the same parts in opposite order, for times that do not meet: nobody is refused, and whoever waits,
    nobody waits for each other. ``times`` counts the kits asked for."""
    parts = [*(a_unit(a_type()) for _ in range(3)), (2, an_item(4)), (1, an_item(2))]
    kits = [a_kit(*parts), a_kit(*parts[::-1])]
    bookings = [_opened(4 * n, 4 * n + 2) for n in range(clients)]

    def ask(number: int) -> str:
        for _ in range(times // clients):
            kit = kits[number % 2]
            try:
                release_kit(promise_kit(bookings[number], kit, None), None)
            except Exception as fault:
                return f"{type(fault).__name__}: {fault}"
        return "done"

    before = deadlocks()
    answers = at_once([lambda n=n: ask(n) for n in range(clients)])
    return [*_waits_since(before), *_other_than({"done": clients}, answers), *faults()]


def cancelled_meanwhile(rounds: int = 12) -> list[str]:
    """One promises a unit to a booking while another cancels it; nothing stands for what is cancelled."""
    units = [a_unit(a_type()) for _ in range(rounds)]
    bookings = [_opened() for _ in range(rounds)]
    acts: list[Callable[[], str]] = []
    for unit, booking in zip(units, bookings, strict=True):
        acts += [
            lambda b=booking, u=unit: _done(lambda: services.promise_units(b, [u.pk], None)),
            lambda b=booking: _done(lambda: services.cancel(b, None)),
        ]
    at_once(acts)
    return faults()


def _waits_since(before: int) -> list[str]:
    met = deadlocks() - before
    return [f"{met} times two waited for each other"] if met else []


_WHERE = {"dbname", "user", "password", "host", "port"}


def broken_meanwhile(rounds: int = 12) -> list[str]:
    """One promises a unit while another reports that it is broken; it is refused, or somebody is short of it."""
    units = [a_unit(a_type()) for _ in range(rounds)]
    bookings = [_opened() for _ in range(rounds)]
    acts: list[Callable[[], str]] = []
    for unit, booking in zip(units, bookings, strict=True):
        acts += [
            lambda b=booking, u=unit: _done(lambda: services.promise_units(b, [u.pk], None)),
            lambda u=unit: _done(lambda: report_fault(u.tag, "The tube flickers", None)),
        ]
    at_once(acts)
    return faults()


def ways_out_and_facts(rounds: int = 12) -> list[str]:
    """Somebody sees to a shortage while somebody else states a fact about the same unit, and the sweep looks at all."""
    kind = a_type()
    short = [a_unit(kind) for _ in range(rounds)]
    others = [a_unit(kind) for _ in range(rounds)]
    for unit in short:
        services.promise_units(_opened(), [unit.pk], None)
        report_fault(unit.tag, "The tube flickers", None)
    before, acts = deadlocks(), []
    for unit, other in zip(short, others, strict=True):
        shortage = Shortage.objects.get(unit=unit)
        acts += [
            lambda s=shortage, o=other: _done(lambda: swap(s, o.tag, None)),
            lambda u=unit: _done(lambda: change_condition(u.tag, "repair", "Sent away", None)),
            lambda: _done(review_all),
        ]
    answers = at_once(acts)
    closed = dict(Counter(Shortage.objects.values_list("how", flat=True)))
    told = [] if closed == {"swap": rounds} else [f"swapped {rounds} times, and the trail says {closed}"]
    return [*_waits_since(before), *_other_than({"done": 3 * rounds}, answers), *told, *faults()]


def _opened(start: float = 10, end: float = 12) -> Booking:
    return services.open_booking("Somebody", between(start, end), None, state="confirmed")


def _done(act: Callable[[], object]) -> str:
    try:
        act()
    except Refusal:
        return "refused"
    except Exception as fault:
        return f"broke with {type(fault).__name__}"
    return "done"


def _other_than(expected: dict[str, int], answers: list[str]) -> list[str]:
    came = dict(Counter(answers))
    return [] if came == expected else [f"expected {expected}, came {came}"]
