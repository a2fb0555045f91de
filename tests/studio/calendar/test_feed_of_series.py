"""How a series is told to other calendars, read back by two libraries of other houses (vobject, icalendar).

RFC 5545, 3.8.4.4: RECURRENCE-ID names the instance by the start that the rule gave it, together with the UID of all of
them; it has the value type and the zone of that start. RFC 4791, 4.1: instances may stand without their master.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
import vobject
from django.test import Client

from gear.booking.interval import period
from gear.booking.series_rule import Rule
from studio.calendar.services import make_address
from studio.people.models import Person
from studio.shoots import services
from studio.shoots.series_booking import repeat_shoot
from studio.shoots.series_editing import edit_series, firm_series
from studio.shoots.services import Changes
from tests.builders import a_person, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.studio.shoots.series import PARIS, TUESDAY, a_weekly, planned_on, shoots_of, taken_on, wall

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager() -> Person:
    return a_person("manager")


@pytest.fixture(autouse=True)
def a_reader_that_knows_no_zone() -> None:
    vars(vobject.icalendar)["__tzidMap"].clear()


def text_of(person: Person, scope: str = "all", room_id: int | None = None) -> str:
    _, token = make_address(scope, person, room_id)
    return Client().get(f"/calendar/feeds/{token}.ics").content.decode()


def events(text: str) -> list[Any]:
    return sorted(vobject.readOne(text).vevent_list, key=lambda event: str(event.recurrence_id.value))


def components(text: str) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(text).walk("VEVENT"))


def names(text: str) -> list[datetime]:
    return [event.recurrence_id.value.astimezone(UTC) for event in events(text)]


def test_all_share_a_uid_and_each_is_named_by_its_start(manager) -> None:
    series = a_weekly(by=manager, count=3)
    found = events(text_of(manager))
    assert {event.uid.value for event in found} == {str(series.uid)}
    assert [event.recurrence_id.value for event in found] == [event.dtstart.value for event in found]
    assert not any("RRULE" in component for component in components(text_of(manager)))


def test_the_name_is_local_time_with_its_zone_and_two_readers_agree(manager) -> None:
    a_weekly(by=manager, count=2)
    text = text_of(manager)
    read = sorted(component["RECURRENCE-ID"].dt for component in components(text))
    assert [one.astimezone(UTC) for one in read] == names(text)
    assert {component["RECURRENCE-ID"].params["TZID"] for component in components(text)} == {PARIS}


def test_a_shoot_that_becomes_a_series_keeps_its_uid_and_rises(manager) -> None:
    shoot = planned_on(TUESDAY, manager)
    (before,) = components(text_of(manager))
    repeat_shoot(shoot, Rule("week", count=2), manager)
    first = min(components(text_of(manager)), key=lambda one: one["DTSTART"].dt)
    assert first["UID"] == before["UID"]
    assert first["SEQUENCE"] > before["SEQUENCE"]


def test_a_moved_one_keeps_its_name_and_rises_in_sequence(manager) -> None:
    series = a_weekly(by=manager, count=3)
    before = events(text_of(manager))
    services.edit_shoot(
        shoots_of(series)[1], Changes(starts=wall(1, "15:00"), ends=wall(1, "16:00")), manager
    )
    after = events(text_of(manager))
    assert [e.recurrence_id.value for e in after] == [e.recurrence_id.value for e in before]
    assert after[1].dtstart.value - after[1].recurrence_id.value == timedelta(hours=6)
    rises = [int(a.sequence.value) - int(b.sequence.value) for a, b in zip(after, before, strict=True)]
    assert rises[0] == rises[2] == 0
    assert rises[1] > 0


def test_a_change_of_all_keeps_every_name(manager) -> None:
    series = a_weekly(by=manager, count=3)
    before = names(text_of(manager))
    edit_series(shoots_of(series)[0], Changes(starts=wall(0, "17:00"), ends=wall(0, "18:00")), manager, "all")
    assert names(text_of(manager)) == before


def test_names_go_over_the_change_of_the_clocks_on_the_wall(manager) -> None:
    a_weekly(by=manager, count=30)
    read = [component["RECURRENCE-ID"].dt for component in components(text_of(manager))]
    assert {f"{one:%H:%M}" for one in read} == {"09:00"}
    assert {one.utcoffset() for one in read} == {timedelta(hours=1), timedelta(hours=2)}


def test_cancelled_ones_are_cancelled_by_their_name(manager) -> None:
    series = a_weekly(by=manager, count=3)
    firm_series(shoots_of(series)[1], "cancel", manager, "following")
    assert [event.status.value for event in events(text_of(manager))] == [
        "CONFIRMED",
        "CANCELLED",
        "CANCELLED",
    ]


def test_a_day_that_was_left_out_is_not_told(manager) -> None:
    head = a_unit(a_type())
    taken_on(TUESDAY + timedelta(weeks=1), head)
    a_weekly(head, by=manager, count=3, leave_out=True)
    assert len(events(text_of(manager))) == 2


def test_whole_days_are_named_by_their_date_and_end_on_the_day_after(manager) -> None:
    # RFC 5545, 3.6.1: DTEND of whole days is the day after the last. 1 to 3 May: 20270501 to 20270504.
    asked = period("2027-05-01T00:00", "2027-05-04T00:00", PARIS)
    shoot = services.plan_shoot("Long weekend", a_room(), asked, None, manager, state="confirmed")
    repeat_shoot(shoot, Rule("week", count=2), manager)
    lines = text_of(manager).splitlines()
    assert "DTSTART;VALUE=DATE:20270501" in lines
    assert "DTEND;VALUE=DATE:20270504" in lines
    assert "RECURRENCE-ID;VALUE=DATE:20270508" in lines
    assert [event.recurrence_id.value for event in events("\r\n".join(lines) + "\r\n")] == [
        date(2027, 5, 1),
        date(2027, 5, 8),
    ]


def test_a_room_tells_its_own_part_of_a_series(manager) -> None:
    series, room = a_weekly(by=manager, count=3), a_room()
    services.edit_shoot(shoots_of(series)[1], Changes(room=room), manager)
    (event,) = events(text_of(manager, "room", room.pk))
    assert event.uid.value == str(series.uid)
    assert event.recurrence_id.value.astimezone(UTC).date() == TUESDAY + timedelta(weeks=1)
