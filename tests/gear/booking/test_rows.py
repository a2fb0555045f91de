"""What hand-written statements answer is what the query builder reads of the same rows."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import OperationalError, connection, transaction
from django.db.models import Model

from gear.booking.locks import locked, locked_units
from gear.booking.models import Allocation, Booking
from gear.booking.rows import Columns
from gear.booking.services import open_booking, promise_units
from gear.catalogue.models import GearType
from gear.inventory.models import Unit
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, at, between

pytestmark = pytest.mark.django_db


def values(found: Model) -> dict[str, Any]:
    """Every field, what was left out read afterwards."""
    return {field.attname: getattr(found, field.attname) for field in found._meta.concrete_fields}


def test_an_opened_booking_is_the_one_that_is_stored() -> None:
    by = a_person()
    for state, until in (("hold", at(5)), ("hold", None), ("enquiry", None), ("confirmed", None)):
        opened = open_booking("Gloves", between(10, 12), by, state=state, hold_until=until, travel_minutes=20)
        assert values(opened) == values(Booking.objects.get(pk=opened.pk))
        assert (opened.asked_by, opened.version) == (by, 1)


def test_what_is_locked_is_what_is_stored() -> None:
    units = [a_unit(a_type(prep=5, turnaround=n), tag=f"B-{n}", serial="7", notes="x") for n in (3, 1, 2)]
    booking = open_booking("Gloves", between(10, 12), a_person())
    with transaction.atomic():
        assert values(locked(booking)) == values(Booking.objects.get(pk=booking.pk))
        found = locked_units([units[2].pk, units[0].pk, 0])
    stored = list(Unit.objects.filter(pk__in=[units[0].pk, units[2].pk]).order_by("pk"))
    assert [values(unit) for unit in found] == [values(unit) for unit in stored]
    assert [values(u.gear_type) for u in found] == [values(u.gear_type) for u in stored]


@pytest.mark.parametrize("known", [False, True], ids=["untouched", "somebody waits for one"])
def test_promises_are_those_that_are_stored(known: bool) -> None:
    units, by = [a_unit(a_type(prep=15, turnaround=30)) for _ in range(3)], a_person()
    if known:
        for title in ("First", "Second"):
            other = open_booking(title, between(50, 52), by)
            promise_units(other, [units[0].pk], by, behind=True)
    booking = open_booking("Gloves", between(10, 12), by)
    made = promise_units(booking, [unit.pk for unit in units], by)
    stored = Allocation.objects.filter(booking=booking)
    assert sorted((values(one) for one in made), key=lambda one: one["id"]) == [
        values(one) for one in stored.order_by("pk")
    ]
    assert {(one.unit.tag, one.booking.title) for one in made} == {(unit.tag, "Gloves") for unit in units}
    assert {(one.promised_by, one.active, one.pinned, one.fixed) for one in stored} == {
        (by, True, False, False)
    }


def test_a_field_that_must_be_converted_is_left_out_or_refused() -> None:
    with pytest.raises(TypeError, match="spec"):
        Columns(GearType, "t")
    assert "t.spec" not in Columns(GearType, "t", but=("spec",)).sql


@pytest.mark.django_db(transaction=True)
def test_what_is_locked_nobody_else_locks_and_a_type_stays_open() -> None:
    unit = a_unit(a_type())
    booking = open_booking("Gloves", between(10, 12), a_person())
    other = connection.copy()
    try:
        with transaction.atomic():
            locked(booking)
            locked_units([unit.pk])
            with other.cursor() as cursor:
                for table in ("booking_booking", "inventory_unit"):
                    with pytest.raises(OperationalError, match="could not obtain lock"):
                        cursor.execute(f"SELECT FROM {table} FOR NO KEY UPDATE NOWAIT")
                cursor.execute("SELECT FROM catalogue_geartype FOR UPDATE NOWAIT")
                cursor.execute("SELECT FROM booking_booking, inventory_unit FOR KEY SHARE NOWAIT")
    finally:
        other.close()
