"""Does the service stay quick among very many units and promises? Ratios inside one run, of the processor time of both
sides (`work`); no test here fails on a time.

``FULLSTOP_LONG=1 python3 manage.py test tests/bench/test_scale.py -n 0 -s`` measures among a thousand and a million
promises and prints; ``FULLSTOP_BENCH_PROMISES=1000,100000`` chooses other sizes. In the usual run every case is done
among few, so that it cannot rot.

The store is filled once for each size, outside of a transaction, and emptied in the end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client

from gear.booking import services
from gear.booking.interval import Interval, period
from gear.booking.models import Allocation
from gear.booking.queries import free_tags, free_units
from gear.changes import Change
from gear.inventory.models import Unit
from gear.inventory.pages import UNITS_A_PAGE
from studio.people.models import Person
from studio.readiness.queries import shoots_touched_by
from studio.shoots.models import Shoot
from studio.shoots.pages import PER_PAGE
from tests.bench.store import LONG, SIZES, Store, a_store
from tests.bench.work import work_of
from tests.builders import a_person

ROUNDS = 200 if LONG else 5
AHEAD = timedelta(days=40)


pytestmark = pytest.mark.usefixtures("db")


@pytest.fixture
def db() -> None:
    """A store lasts over all tests of this module, so none of them is a transaction that is undone."""


@pytest.fixture(scope="module")
def filled(django_db_setup: None, django_db_blocker: Any) -> Iterator[Callable[[int], Store]]:
    """The store with so many promises; it is filled anew only when it has not so many already."""
    there: list[Store] = []

    def fill(promises: int) -> Store:
        assert str(connection.settings_dict["NAME"]).startswith("test_"), (
            "only a database of the tests is emptied"
        )
        if not there or there[0].promises != promises:
            call_command("flush", verbosity=0, interactive=False)
            there[:] = [a_store(promises)]
        return there[0]

    with django_db_blocker.unblock():
        yield fill
        if there:
            call_command("flush", verbosity=0, interactive=False)


def questions(store: Store) -> dict[str, Callable[[], object]]:
    """What is asked every day, each about as much however large the store is."""
    client = Client()
    client.force_login(Person.objects.filter(role="manager").first() or a_person("manager"))
    shoot = Shoot.objects.filter(pk__in=store.coming).order_by("booking__starts_at")[5]
    unit = shoot.booking.allocations.first().unit
    use = Interval(store.now + AHEAD, store.now + AHEAD + timedelta(hours=4))
    last = store.types[-1]
    last_of_units = len(store.units) // UNITS_A_PAGE
    last_of_past = Shoot.objects.filter(booking__ends_at__lte=store.now).count() // PER_PAGE

    def page(address: str) -> Callable[[], object]:
        def visit() -> None:
            assert client.get(address).status_code == 200

        return visit

    return {
        "first page": page("/"),
        "coming shoots": page("/shoots/"),
        "planning desk": page(f"/shoots/{shoot.pk}"),
        "split and merge": page(f"/shoots/{shoot.pk}/part"),
        "packing list": page(f"/shoots/{shoot.pk}/packing"),
        "page of a unit": page(f"/gear/{unit.tag}/"),
        "list of units": page("/gear/"),
        "last page of units": page(f"/gear/?page={last_of_units}"),
        "last page of past shoots": page(f"/shoots/?when=past&page={last_of_past}"),
        "found by tag": page(f"/gear/?q={unit.tag}"),
        "found by serial": page(f"/gear/?q={unit.serial}"),
        "found by type": page(f"/gear/?q={last.name.replace(' ', '+')}"),
        "calendar of one type": page(f"/calendar/?show=all&q={last.name.split()[-1]}"),
        "free of one type": lambda: list(free_units(use, type_slug=last.slug)),
        "what a change touches": lambda: shoots_touched_by(Change("unit", (unit.pk,))),
    }


def test_what_is_asked_every_day_among_few_and_among_many(filled: Any, capsys: Any) -> None:
    took: dict[str, list[float]] = {}
    for size in SIZES:
        for name, ask in questions(filled(size)).items():
            ask()
            took.setdefault(name, []).extend(work_of(9 if LONG else 2, ask))
    with capsys.disabled():
        print(f"\n  among {' / '.join(f'{size:,}' for size in SIZES)} promises:")
        for name, times in took.items():
            said = " / ".join(f"{one * 1e3:.0f}" for one in times)
            print(f"    {name}: {said} ms, {times[-1] / times[0]:.1f} times")
    assert len(took) == 15
    assert all(len(times) == len(SIZES) for times in took.values())


FREE_BY_HAND = """
    WITH away AS MATERIALIZED (
        SELECT a.unit_id, a.blocked
          FROM booking_allocation a JOIN booking_booking b ON b.id = a.booking_id
         WHERE a.active AND a.blocked && tstzrange(%(from)s - interval '3 hours', %(to)s + interval '3 hours')
           AND NOT (b.state = 'hold' AND (b.hold_until <= now() OR COALESCE(a.lapses_at <= now(), false)))
    )
    SELECT u.tag
      FROM inventory_unit u JOIN catalogue_geartype t ON t.id = u.gear_type_id
     WHERE u.gear_type_id = %(type)s AND u.condition = 'ready'
       AND NOT EXISTS (
           SELECT FROM away
            WHERE away.unit_id = u.id AND away.blocked && tstzrange(
                  %(from)s - make_interval(mins => COALESCE(u.prep_minutes, t.prep_minutes)),
                  %(to)s + make_interval(mins => COALESCE(u.turnaround_minutes, t.turnaround_minutes))))
       AND NOT EXISTS (
           SELECT FROM booking_unitwindow w
            WHERE w.unit_id = u.id AND NOT w.during @> tstzrange(%(from)s, %(to)s))
     ORDER BY COALESCE(u.turnaround_minutes, t.turnaround_minutes), u.tag
"""
"""The best that was found: the promises around the time are read once, by the index of time. It knows nothing of who
waits in line, nor of units that need longer than three hours before or after."""


def test_availability_of_many_units_against_the_best_by_hand(filled: Any, capsys: Any) -> None:
    store = filled(SIZES[-1])
    use = Interval(store.now + AHEAD, store.now + AHEAD + timedelta(hours=4))
    asked = {"from": use.starts_at, "to": use.ends_at, "type": store.types[0].pk}

    def by_hand() -> list[str]:
        with connection.cursor() as cursor:
            cursor.execute(FREE_BY_HAND, asked)
            return [tag for (tag,) in cursor.fetchall()]

    def by_service() -> list[str]:
        return free_tags(use, store.types[0].pk)

    assert by_service() == by_hand()

    def whole_units() -> object:
        return list(free_units(use, type_slug=store.types[0].slug))

    statement_alone = _the_statement_of(free_units(use, type_slug=store.types[0].slug))
    hand, service, whole, statement = work_of(
        40 if LONG else 3, by_hand, by_service, whole_units, statement_alone
    )
    with capsys.disabled():
        print(
            f"\n  {len(by_hand())} free of {store.types[0].units.count()} among {store.promises:,} promises: by hand "
            f"{hand * 1e3:.1f} ms, tags by the service {service / hand:.2f} times that, its statement alone "
            f"{statement / hand:.2f} times, whole units {whole / hand:.2f} times"
        )


def _the_statement_of(found: Any) -> Callable[[], object]:
    """What the database and the driver take of it, when the statement is there already."""
    sql, parameters = found.values_list("tag", flat=True).query.sql_with_params()

    def run() -> object:
        with connection.cursor() as cursor:
            cursor.execute(sql, parameters)
            return cursor.fetchall()

    return run


BOOKING = """
    INSERT INTO booking_booking (title, state, hold_until, starts_at, ends_at, zone, starts_wall, ends_wall,
                                 asked_by_id, version, created_at, updated_at)
    VALUES ('Raw', 'hold', %(until)s, %(from)s, %(to)s, 'UTC', '', '', %(by)s, 1, %(now)s, %(now)s) RETURNING id
"""
LOCK_BOOKING = """
    SELECT state, hold_until, starts_at, ends_at, travel_minutes FROM booking_booking WHERE id = %s FOR NO KEY UPDATE
"""
LOCK_UNITS = """
    SELECT u.id, u.tag, u.condition, COALESCE(u.prep_minutes, t.prep_minutes),
           COALESCE(u.turnaround_minutes, t.turnaround_minutes)
      FROM inventory_unit u JOIN catalogue_geartype t ON t.id = u.gear_type_id
     WHERE u.id = ANY(%s) ORDER BY u.id FOR NO KEY UPDATE OF u
"""
PROMISE = """
    INSERT INTO booking_allocation (booking_id, unit_id, use, blocked, active, pinned, promised_by_id, created_at)
    SELECT %(booking)s, unit, tstzrange(%(from)s, %(to)s), tstzrange(%(from)s, %(to)s + interval '30 minutes'),
           true, false, %(by)s, %(now)s
      FROM unnest(%(units)s::bigint[]) AS unit RETURNING id
"""


@pytest.mark.parametrize("many", [1, 10])
def test_booking_by_the_service_against_the_same_rows_by_hand(filled: Any, capsys: Any, many: int) -> None:
    """A hold with its units, each as two transactions with the same locks, constraint and triggers, in turn."""
    store, by = filled(SIZES[-1]), a_person()
    units = list(Unit.objects.filter(condition="ready").order_by("pk").values_list("pk", flat=True)[:400])
    before = Allocation.objects.count()

    def asked(turn: int) -> tuple[datetime, datetime, list[int]]:
        # Each turn has hours of its own, years after everything that is promised already.
        start = store.now + timedelta(days=500 + 400 * (many > 1), hours=4 * turn)
        return start, start + timedelta(hours=2), units[turn * many % 300 :][:many]

    def by_service(turn: int) -> None:
        start, end, wanted = asked(turn)
        booking = services.open_booking("Service", period(start, end, "UTC"), by)
        assert len(services.promise_units(booking, wanted, by)) == many

    def by_hand(turn: int) -> None:
        start, end, wanted = asked(turn)
        row = {"from": start, "to": end, "by": by.pk, "now": datetime.now(UTC), "until": start}
        raw = connection.connection
        with raw.transaction(), raw.cursor() as cursor:
            booking = cursor.execute(BOOKING, row).fetchone()[0]
        with raw.transaction(), raw.cursor() as cursor:
            cursor.execute(LOCK_BOOKING, [booking]).fetchone()
            assert len(cursor.execute(LOCK_UNITS, [wanted]).fetchall()) == many
            cursor.execute(PROMISE, {**row, "booking": booking, "units": wanted})
            assert len(cursor.fetchall()) == many

    turns = count()
    service, hand = work_of(ROUNDS, lambda: by_service(next(turns)), lambda: by_hand(next(turns)))
    with capsys.disabled():
        print(
            f"\n  a hold with {many} among {store.promises:,} promises: {service * 1e3:.2f} ms by the service, "
            f"{hand * 1e3:.2f} by hand: {service / hand:.2f} times"
        )
    assert Allocation.objects.count() - before == 2 * ROUNDS * many
