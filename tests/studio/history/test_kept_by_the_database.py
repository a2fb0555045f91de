"""The database itself writes down every change of what it watches, by whatever way it comes."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client

from gear.booking.models import Allocation, Booking, Challenge, Occurrence, Series
from gear.catalogue.models import GearType
from gear.inventory.models import Unit
from gear.kits.models import Kit, KitOption, KitPart, KitPromise
from gear.shortages.models import LateReturn, Shortage
from gear.stock.models import StockItem, StockPromise
from gear.subhire.models import SubHire
from recipes.records.models import Recipe
from studio.history.models import Event
from studio.packing.models import Dispute, FoundThing, PackingClosure, PackingLine
from studio.people.models import Person
from studio.phones.models import Operation
from studio.places.models import Place, Room, RoomCircuit, RoomWindow, WorkingHours
from studio.shoots.models import Assignment, SeriesPattern, Shoot, ShootRecipe
from tests.builders import a_booking, a_unit

pytestmark = pytest.mark.django_db

WATCHED = (
    GearType,
    Unit,
    Booking,
    Allocation,
    Recipe,
    Room,
    Shoot,
    ShootRecipe,
    Assignment,
    PackingLine,
    PackingClosure,
    StockItem,
    StockPromise,
    Kit,
    KitPart,
    KitOption,
    KitPromise,
    SubHire,
    Shortage,
    LateReturn,
    Place,
    RoomWindow,
    RoomCircuit,
    Series,
    Occurrence,
    Challenge,
    SeriesPattern,
    WorkingHours,
    Person,
    Dispute,
    FoundThing,
    Operation,
)


def events(row: Any, act: str | None = None) -> list[Event]:
    found = Event.objects.filter(table=row._meta.db_table, row_id=row.pk).order_by("id")
    return list(found.filter(act=act) if act else found)


def test_every_watched_table_has_its_triggers() -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT tgrelid::regclass::text, array_agg(tgname::text ORDER BY tgname) FROM pg_trigger "
            "WHERE tgname LIKE 'history_%' AND NOT tgname = 'history_stays' AND tgenabled = 'O' GROUP BY 1"
        )
        found = dict(cursor.fetchall())
    assert found == {
        model._meta.db_table: ["history_delete", "history_insert", "history_update"] for model in WATCHED
    }


def test_a_row_that_is_made_is_there_as_it_was_made() -> None:
    unit = a_unit(tag="K-03", shelf="A1")
    (event,) = events(unit)
    assert (event.act, event.row_before) == ("made", None)
    assert (event.row_after["tag"], event.row_after["shelf"]) == ("K-03", "A1")


def test_a_change_holds_the_row_before_and_after() -> None:
    unit = a_unit(shelf="A1")
    unit.shelf = "A2"
    unit.save()
    (event,) = events(unit, "changed")
    assert (event.row_before["shelf"], event.row_after["shelf"]) == ("A1", "A2")


def test_a_save_that_changes_nothing_is_no_event() -> None:
    unit = a_unit()
    unit.version += 1
    unit.save()
    assert events(unit, "changed") == []


def test_a_row_that_is_deleted_is_there_as_it_last_was() -> None:
    unit = a_unit(tag="K-03")
    pk = unit.pk
    unit.delete()
    event = Event.objects.get(table="inventory_unit", row_id=pk, act="deleted")
    assert event.row_before["tag"] == "K-03"


def test_a_bulk_update_is_an_event_for_every_row_it_changed() -> None:
    there = [a_unit(shelf="A1"), a_unit(shelf="A1"), a_unit(shelf="B7")]
    Unit.objects.filter(pk__in=[u.pk for u in there]).update(shelf="B7")
    assert [len(events(unit, "changed")) for unit in there] == [1, 1, 0]


def test_what_is_made_in_bulk_is_an_event_each() -> None:
    GearType.objects.bulk_create(GearType(slug=f"gel-{n}", name=f"Gel {n}", kind="gel") for n in range(5))
    assert Event.objects.filter(table="catalogue_geartype", act="made").count() == 5


def test_raw_sql_is_written_down_too_and_names_nobody() -> None:
    unit = a_unit(shelf="A1")
    with connection.cursor() as cursor:
        cursor.execute("UPDATE inventory_unit SET shelf = 'C3' WHERE id = %s", [unit.pk])
    (event,) = events(unit, "changed")
    assert event.row_after["shelf"] == "C3"
    assert event.person is None


def test_what_is_rolled_back_has_no_history() -> None:
    class Undone(Exception):
        pass

    unit = a_unit(shelf="A1")

    def run() -> None:
        with transaction.atomic():
            Unit.objects.filter(pk=unit.pk).update(shelf="A2")
            raise Undone

    with pytest.raises(Undone):
        run()
    assert events(unit, "changed") == []


@pytest.mark.parametrize("sql", ["UPDATE history_event SET person_id = 1", "DELETE FROM history_event"])
def test_history_is_only_added_to(sql: str) -> None:
    a_unit()
    with pytest.raises(DatabaseError, match="only added to"), transaction.atomic():
        connection.cursor().execute(sql)


def test_a_row_that_is_shown_with_another_names_it() -> None:
    booking = a_booking()
    assert Event.objects.filter(table="booking_allocation").count() == 0
    unit = a_unit()
    Allocation.objects.create(
        booking=booking,
        unit=unit,
        use=(booking.starts_at, booking.ends_at),
        blocked=(booking.starts_at, booking.ends_at),
    )
    assert Event.objects.get(table="booking_allocation").parent_id == booking.pk


def shelf_by_api(client: Client, tag: str, **headers: str) -> None:
    answer = client.patch(
        f"/api/units/{tag}", {"shelf": "A2"}, "application/json", headers={"If-Match": "*", **headers}
    )
    assert answer.status_code == 200, answer.content


def test_a_change_through_the_service_names_who_was_signed_in(signed_in: Callable[..., Client]) -> None:
    client, unit = signed_in(), a_unit(shelf="A1")
    shelf_by_api(client, unit.tag)
    assert [event.person for event in events(unit, "changed")] == [client.person]


def test_so_it_does_on_a_page(signed_in: Callable[..., Client]) -> None:
    client, unit = signed_in("assistant"), a_unit(tag="K-03")
    assert client.post("/gear/K-03/fault/", {"text": "hums"}).status_code == 302
    assert [event.person for event in events(unit, "changed")] == [client.person]


def test_so_it_does_for_a_program_that_signs_each_request(signed_in: Callable[..., Client]) -> None:
    person, unit = signed_in().person, a_unit(shelf="A1")
    word = b64encode(f"{person.username}:tram-depot-7".encode()).decode()
    shelf_by_api(Client(), unit.tag, Authorization=f"Basic {word}")
    assert [event.person for event in events(unit, "changed")] == [person]


@pytest.mark.django_db(transaction=True)
def test_who_was_signed_in_before_is_not_named_afterwards(signed_in: Callable[..., Client]) -> None:
    client, unit = signed_in(), a_unit(shelf="A1")
    shelf_by_api(client, unit.tag)
    Unit.objects.filter(pk=unit.pk).update(shelf="A3")
    assert [event.person for event in events(unit, "changed")] == [client.person, None]
