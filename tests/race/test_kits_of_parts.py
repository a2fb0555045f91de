"""Kits that share parts, and kits that are edited into each other, at the same moment."""

from __future__ import annotations

import time

import pytest
from django.db import connection

from gear.errors import Conflict, Invalid
from gear.kits.services import promise_kit, release_kit, save_kit
from tests.builders import a_unit
from tests.gear.booking.times import a_type
from tests.gear.kits.sets import a_kit, an_entry, opened
from tests.gear.stock.counted import an_item
from tests.race.server import at_once, overlaps

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


def test_kits_with_the_same_parts_in_opposite_order_meet_no_deadlock() -> None:
    kind = a_type()
    parts = [a_unit(kind), a_unit(kind), (2, an_item(5)), (1, an_item(2))]
    kits = [a_kit(*parts), a_kit(*parts[::-1])]
    bookings = [opened() for _ in range(6)]
    before = _deadlocks()

    def ask(number: int) -> int:
        got = 0
        for _ in range(10):
            try:
                release_kit(promise_kit(bookings[number], kits[number % 2], None), None)
                got += 1
            except Conflict:
                pass
        return got

    assert sum(at_once([lambda n=n: ask(n) for n in range(6)])) > 0
    assert _deadlocks() == before
    assert overlaps() == 0


def test_two_edits_at_once_do_not_close_a_loop() -> None:
    """Case 45, by two people who touch no kit in common: second is in third and fourth in first; now first gets third
    and second gets fourth."""
    unit = a_unit()
    for number in range(5):
        first, second = a_kit(unit, name=f"First {number}"), a_kit(unit, name=f"Second {number}")
        third, fourth = a_kit(second), a_kit(first)

        def put(outer, inner) -> str:
            try:
                save_kit(an_entry(inner, name=outer.name), None, pk=outer.pk)
            except Invalid as refused:
                return refused.code
            return "saved"

        answers = at_once([lambda a=first, b=third: put(a, b), lambda a=second, b=fourth: put(a, b)])
        assert sorted(answers) == ["kit-loop", "saved"]


def _deadlocks() -> int:
    time.sleep(1.2)  # the server counts them with a delay of up to a second
    with connection.cursor() as cursor:
        cursor.execute("SELECT deadlocks FROM pg_stat_database WHERE datname = current_database()")
        return int(cursor.fetchone()[0])
