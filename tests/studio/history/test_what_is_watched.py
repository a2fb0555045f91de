"""Every table is watched, or it stands here why not; what is watched can be read beside the thing it is of."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, models
from django.test import Client
from django.urls import reverse

from gear.booking.models import Challenge, Occurrence, Series
from gear.booking.services import cancel
from studio.history.models import Event
from studio.history.phrases import SHOWN_WITH
from studio.history.queries import _SHOWN_WITH, history_of
from studio.packing.disputes import open_disputes
from studio.people.models import Person
from studio.phones.models import Operation
from studio.places.working_hours import WorkingWeek, set_working_hours, week_of
from studio.shoots import services
from studio.shoots.challenging import ask_to_decide
from studio.shoots.series_booking import try_again
from tests.builders import a_booking, a_gear_type, a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.gear.kits.sets import a_kit
from tests.gear.stock.counted import an_item
from tests.studio.phones.phone import Phone, a_list
from tests.studio.shoots.plans import planned
from tests.studio.shoots.series import TUESDAY, a_weekly, taken_on

pytestmark = pytest.mark.django_db

NOT_WATCHED = {
    "booking_unitwindow": "derived from the sub-hire, which is watched",
    "calendar_feedaddress": "a secret; its row says when it was made and when it was revoked",
    "history_event": "the history itself",
    "inventory_careentry": "a history itself: written once, with who and when, and shown on the unit's page",
    "inventory_carephoto": "goes with its line of the care history, which is written once",
    "inventory_importdraft": "a file between its look and its confirmation; gone after a day",
    "kits_kittaken": "what a kit brought; the promises it made are watched",
    "once_keptanswer": "answers to repeated requests; nobody changes them",
    "outbox_message": "work that waits; its row says what became of it",
    "phones_device": "kept by the phone's own sending; nobody changes it",
    "readiness_readiness": "computed, and computed anew whenever an input differs",
    "records_draft": "typed and not saved; what is saved is a revision",
    "records_revision": "never changed: every save is another one, by whom and when",
    "shortages_shortagenote": "a trail itself: the table refuses to change or delete a line",
    "stock_stockmovement": "written once, with who and when, and shown on the item's page",
}


def ours() -> list[type[models.Model]]:
    return [
        model
        for model in apps.get_models()
        if model.__module__.split(".")[0] in ("gear", "recipes", "studio")
    ]


def watched() -> set[str]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT tgrelid::regclass::text FROM pg_trigger WHERE tgname LIKE 'history_%' "
            "AND tgname <> 'history_stays' AND tgenabled = 'O' GROUP BY 1 HAVING count(*) = 3"
        )
        return {table for (table,) in cursor.fetchall()}


def test_every_table_is_watched_or_says_why_not() -> None:
    tables = {model._meta.db_table for model in ours()}
    assert tables - watched() == set(NOT_WATCHED)
    assert not watched() & set(NOT_WATCHED)


def test_what_is_said_to_be_written_once_is_never_updated_by_the_code() -> None:
    """The reasons above hold: nothing in the code updates or deletes these rows."""
    names = ("CareEntry", "CarePhoto", "StockMovement", "Revision", "ShortageNote")
    changing = re.compile(rf"\b({'|'.join(names)})\.objects[^\n]*\.(update|delete|bulk_update)\(")
    code = [path for area in ("gear", "recipes", "studio") for path in Path(area).rglob("*.py")]
    assert len(code) > 300
    found = [
        f"{path}: {hit[0]}" for path in code if (hit := changing.search(path.read_text(encoding="utf-8")))
    ]
    assert found == []


def test_what_is_watched_stands_on_a_page() -> None:
    """Each watched table is that of a thing with a page of its own, or is told of beside one."""
    shoot = planned()
    things: dict[str, Any] = {
        "booking_series": Series(pk=1),
        "catalogue_geartype": a_gear_type(),
        "inventory_unit": a_unit(),
        "kits_kit": a_kit(a_unit()),
        "people_person": a_person(),
        "places_place": shoot.room.place,
        "places_room": shoot.room,
        "records_recipe": a_recipe(),
        "shoots_shoot": shoot,
        "stock_stockitem": an_item(3),
    }
    beside = {
        value
        for table, thing in things.items()
        for one in _SHOWN_WITH.get(table, lambda thing: [])(thing)
        for name, value in _flat(one)
        if name == "table"
    }
    assert beside == set(SHOWN_WITH)
    assert watched() - beside == set(things)
    templates = [path for area in ("gear", "recipes", "studio") for path in Path(area).rglob("*.html")]
    pages = [path for path in templates if 'include "web/history.html"' in path.read_text(encoding="utf-8")]
    assert len(pages) >= len(things)


def _flat(one: Any) -> list[tuple[str, Any]]:
    found = []
    for child in getattr(one, "children", ()):
        found += [child] if isinstance(child, tuple) else _flat(child)
    return found


def told(thing: Any) -> list[str]:
    return [did for line in history_of(thing) for did in line.did]


def test_a_series_tells_of_its_days_and_of_what_is_given() -> None:
    series = a_weekly(count=3)
    day = Occurrence.objects.filter(series=series).order_by("day").last().day
    said = " ; ".join(told(series))
    assert "entered this series" in said
    assert f"{day.day} {day:%b %Y}" in said
    assert "wrote down what is given from" in said


def test_a_day_that_was_left_out_and_booked_after_all_is_said(signed_in: Callable[..., Client]) -> None:
    manager, unit = a_person(), a_unit(a_type())
    third = TUESDAY.fromordinal(TUESDAY.toordinal() + 14)
    other = taken_on(third, unit)
    series = a_weekly(unit, by=manager, count=4, leave_out=True)
    when = f"{third.day} {third:%b %Y}"
    assert f"left out {when}" in told(series)
    cancel(other, manager)
    try_again(series.pk, third, manager)
    assert f"booked {when} after all" in told(series)
    page = signed_in("assistant").get(reverse("shoots:series", args=[series.pk])).content.decode()
    assert f"left out {when}" in page


def test_who_was_asked_to_decide_stands_with_the_unit_and_with_both_shoots() -> None:
    asks = a_person()
    unit = a_unit(a_type(), tag="K-03")
    first, later = planned(title="First"), planned(title="Later")
    services.add_extra_unit(first, "K-03", asks)
    services.add_extra_unit(later, "K-03", asks, behind=True)
    ask_to_decide(later, first.booking_id, asks)
    challenge = Challenge.objects.get()
    for thing in (unit, first, later):
        assert any(
            said.startswith("asked “First” for “Later” to decide about K-03 by") for said in told(thing)
        )
    services.confirm_shoot(first, asks)
    assert Challenge.objects.get(pk=challenge.pk).outcome == "confirmed"
    assert "kept K-03 by confirming, when asked to decide" in told(later)


def test_working_hours_say_what_was_changed_on_their_page(signed_in: Callable[..., Client]) -> None:
    manager, place = a_person(), a_room().place
    week = week_of(place)
    set_working_hours(place, week, manager)
    longer = WorkingWeek(week.hours, week.holidays, week.answer_hours + 2)
    set_working_hours(place, longer, manager, version=week_of(place).version)
    assert any(said.startswith("changed answer hours of its working hours from") for said in told(place))
    page = signed_in("assistant").get(reverse("places:working-hours", args=[place.pk])).content.decode()
    assert "changed answer hours" in page


def test_a_right_that_is_withdrawn_is_written_down_and_a_password_never() -> None:
    person = a_person("manager")
    Person.objects.filter(pk=person.pk).update(role="assistant")
    person.set_password("another-depot-8")
    person.save(update_fields=["password"])
    events = Event.objects.filter(table="people_person", row_id=person.pk)
    changed = events.get(act="changed")
    assert (changed.row_before["role"], changed.row_after["role"]) == ("manager", "assistant")
    for event in events:
        assert "password" not in {**(event.row_before or {}), **(event.row_after or {})}


def test_what_was_packed_twice_or_found_is_said_on_the_shoot(signed_in: Callable[..., Client]) -> None:
    unit = a_unit(tag="U-17", turnaround_minutes=0, prep_minutes=0)
    b = a_list(unit, title="B")
    c = a_list(unit, booking=a_booking(b.booking.ends_at, title="C"))
    one, other = Phone(signed_in("assistant")), Phone(signed_in("assistant"))
    one.note("out", b, unit.tag)
    other.note("out", c, unit.tag)
    other.note("out", c, "ZZ-99")
    one.send()
    other.send()
    assert open_disputes().count() == 1
    for thing in (unit, b, c):
        assert "noted that U-17 was packed for two shoots" in told(thing)
    assert "put ZZ-99 into the found tray" in told(c)


def test_what_somebody_decided_about_an_act_of_a_phone_is_said(signed_in: Callable[..., Client]) -> None:
    phone, manager = Phone(signed_in("assistant")), signed_in("manager")
    unit = a_unit(tag="K-03")
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag)
    Person.objects.filter(pk=phone.client.person.pk).update(role="photographer")
    phone.send()
    assert not [said for said in told(shoot) if "a phone" in said]
    manager.post(reverse("phones:drop", args=[Operation.objects.get().pk]), {"words": "it never left"})
    assert "decided about what a phone had noted of K-03" in told(shoot)
