"""What other calendars are told, read back by a library of another house (vobject)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
import vobject
from django.test import Client
from django.utils import timezone

from gear.booking.interval import period
from gear.booking.models import Booking
from studio.calendar.services import make_address, revoke_address
from studio.people.models import Person
from studio.places.models import Place
from studio.shoots import services
from studio.shoots.models import Shoot
from studio.shoots.services import Changes
from tests.builders import a_booking, a_person, a_room, a_shoot, a_unit

pytestmark = pytest.mark.django_db
PARIS = "Europe/Paris"


@pytest.fixture
def manager(db: None) -> Person:
    return a_person("manager", first_name="Runa")


@pytest.fixture
def plan(manager: Person) -> Callable[..., Shoot]:
    """``plan("2027-03-28T01:30", "2027-03-28T04:00")`` is a shoot at that time on the wall in Paris."""

    def make(starts: str = "2027-05-04T09:00", ends: str = "2027-05-04T13:00", **more: Any) -> Shoot:
        which = {name: more.pop(name) for name in ("starts_second", "ends_second") if name in more}
        asked = {"title": "Gloves on slate", "room": None, "state": "confirmed", **more}
        room = asked.pop("room") or a_room()
        return services.plan_shoot(
            asked.pop("title"), room, period(starts, ends, room.place.zone, **which), None, manager, **asked
        )

    return make


@pytest.fixture(autouse=True)
def a_reader_that_knows_no_zone() -> None:
    """vobject keeps the first description of a zone that it ever read; each test starts afresh."""
    vars(vobject.icalendar)["__tzidMap"].clear()


def text_of(person: Person, scope: str = "all", room_id: int | None = None) -> str:
    _, token = make_address(scope, person, room_id)
    answer = Client().get(f"/calendar/feeds/{token}.ics")
    assert answer.status_code == 200
    return answer.content.decode()


def events(text: str) -> list[Any]:
    return list(getattr(vobject.readOne(text), "vevent_list", []))


def only_event(person: Person) -> Any:
    (event,) = events(text_of(person))
    return event


def test_a_shoot_is_one_event(manager: Person, plan: Callable[..., Shoot]) -> None:
    shoot = plan(room=a_room(name="Car hall", place=Place.objects.create(name="Tram depot", zone=PARIS)))
    event = only_event(manager)
    assert event.summary.value == "Gloves on slate"
    assert event.location.value == "Car hall, Tram depot"
    assert event.url.value == f"http://testserver/shoots/{shoot.pk}"
    assert event.dtstart.value.astimezone(UTC) == datetime(2027, 5, 4, 7, tzinfo=UTC)
    assert event.dtend.value.astimezone(UTC) == datetime(2027, 5, 4, 11, tzinfo=UTC)


def test_times_are_said_on_the_clock_of_the_room(manager: Person, plan: Callable[..., Shoot]) -> None:
    plan()
    assert "DTSTART;TZID=Europe/Paris:20270504T090000\r\n" in text_of(manager)


@pytest.mark.parametrize(
    ("starts", "ends", "hours"),
    [
        ("2027-03-27T12:00", "2027-03-28T12:00", 23),  # clocks go forward on 28 March 2027
        ("2027-03-28T01:30", "2027-03-28T03:30", 1),
        ("2027-10-30T12:00", "2027-10-31T12:00", 25),  # and back on 31 October
        ("2027-10-31T01:30", "2027-10-31T04:00", 3.5),
    ],
)
def test_over_a_clock_change_a_reader_finds_the_same_instants(
    manager: Person, plan: Callable[..., Shoot], starts: str, ends: str, hours: float
) -> None:
    booking = plan(starts, ends).booking
    event = only_event(manager)
    begins, finishes = (at.value.astimezone(UTC) for at in (event.dtstart, event.dtend))
    assert (begins, finishes) == (booking.starts_at, booking.ends_at)
    assert finishes - begins == timedelta(hours=hours)


def test_the_second_of_two_equal_times_is_said_in_utc(manager: Person, plan: Callable[..., Shoot]) -> None:
    """02:30 on 31 October 2027 happens twice in Paris; a local time means the first (RFC 5545, 3.3.5)."""
    plan("2027-10-31T01:00", "2027-10-31T02:30", ends_second=True)
    text = text_of(manager)
    assert "DTEND:20271031T013000Z" in text
    assert events(text)[0].dtend.value == datetime(2027, 10, 31, 1, 30, tzinfo=UTC)


def test_whole_days_are_dates_and_the_end_is_the_day_after(
    manager: Person, plan: Callable[..., Shoot]
) -> None:
    """All day from 1 to 3 May: DTSTART 1 May, DTEND 4 May, not included (RFC 5545, 3.6.1)."""
    plan("2027-05-01T00:00", "2027-05-04T00:00")
    text = text_of(manager)
    assert "DTSTART;VALUE=DATE:20270501\r\n" in text
    assert "DTEND;VALUE=DATE:20270504\r\n" in text
    assert events(text)[0].dtend.value == date(2027, 5, 4)


def test_the_name_of_an_event_outlives_every_edit(manager: Person, plan: Callable[..., Shoot]) -> None:
    shoot = plan()
    before = only_event(manager).uid.value
    services.edit_shoot(
        shoot, Changes(title="Boots", starts="2027-06-01T09:00", ends="2027-06-01T10:00"), manager
    )
    assert only_event(manager).uid.value == before


ACTS: dict[str, Callable[[Shoot, Person], Any]] = {
    "title": lambda shoot, by: services.edit_shoot(shoot, Changes(title="Boots"), by),
    "notes": lambda shoot, by: services.edit_shoot(shoot, Changes(notes="bring wool"), by),
    "time": lambda shoot, by: services.edit_shoot(
        shoot, Changes(starts="2027-06-01T09:00", ends="2027-06-01T10:00"), by
    ),
    "hold": lambda shoot, by: services.hold_shoot(shoot, by),
    "cancel": lambda shoot, by: services.cancel_shoot(shoot, by),
}


@pytest.mark.parametrize("act", ACTS)
def test_every_change_raises_the_sequence_and_the_date(
    manager: Person, plan: Callable[..., Shoot], act: str
) -> None:
    shoot = plan()
    Shoot.objects.update(updated_at=timezone.now() - timedelta(days=1))
    Booking.objects.update(updated_at=timezone.now() - timedelta(days=1))
    before = only_event(manager)
    ACTS[act](shoot, manager)
    after = only_event(manager)
    assert int(after.sequence.value) > int(before.sequence.value)
    assert after.last_modified.value > before.last_modified.value
    assert after.dtstamp.value == after.last_modified.value


@pytest.mark.parametrize(
    ("state", "status"), [("enquiry", "TENTATIVE"), ("hold", "TENTATIVE"), ("confirmed", "CONFIRMED")]
)
def test_how_firm_it_is(manager: Person, plan: Callable[..., Shoot], state: str, status: str) -> None:
    plan(state=state)
    assert only_event(manager).status.value == status


def test_an_enquiry_takes_no_time(manager: Person, plan: Callable[..., Shoot]) -> None:
    plan(state="enquiry")
    assert only_event(manager).transp.value == "TRANSPARENT"


def test_a_cancelled_shoot_stays_as_cancelled(manager: Person, plan: Callable[..., Shoot]) -> None:
    services.cancel_shoot(plan(), manager)
    assert only_event(manager).status.value == "CANCELLED"


def test_cancelling_and_taking_up_again_each_rise_the_sequence_under_the_same_name(
    manager: Person, plan: Callable[..., Shoot]
) -> None:
    shoot = plan()
    said = []
    for act in (
        lambda: None,
        lambda: services.cancel_shoot(shoot, manager),
        lambda: services.uncancel_shoot(shoot, manager),
    ):
        act()
        event = only_event(manager)
        said.append((event.uid.value, event.status.value, int(event.sequence.value)))
    names, states, numbers = zip(*said, strict=True)
    assert len(set(names)) == 1
    assert states == ("CONFIRMED", "CANCELLED", "TENTATIVE")
    assert numbers[0] < numbers[1] < numbers[2]


def test_cancelling_twice_is_one_change(manager: Person, plan: Callable[..., Shoot]) -> None:
    shoot = plan()
    services.cancel_shoot(shoot, manager)
    before = only_event(manager).sequence.value
    services.cancel_shoot(shoot, manager)
    assert only_event(manager).sequence.value == before


@pytest.mark.parametrize(("days", "shown"), [(89, 1), (91, 0)])
def test_it_goes_ninety_days_after_it_was_cancelled(
    manager: Person, plan: Callable[..., Shoot], days: int, shown: int
) -> None:
    services.cancel_shoot(plan(), manager)
    Booking.objects.update(updated_at=timezone.now() - timedelta(days=days))
    assert len(events(text_of(manager))) == shown


@pytest.mark.parametrize(("days", "shown"), [(365, 1), (367, 0)])
def test_what_ended_more_than_a_year_ago_is_left_out(manager: Person, days: int, shown: int) -> None:
    a_shoot(booking=a_booking(timezone.now() - timedelta(days=days)))
    assert len(events(text_of(manager))) == shown


def test_words_come_back_as_they_were(manager: Person, plan: Callable[..., Shoot]) -> None:
    title = "Änderung; „Wolle“, Schnur\\Garn 🧤 und was noch alles auf den Schiefer soll, ganz langsam"
    plan(title=title)
    assert only_event(manager).summary.value == title


def test_lines_are_folded_at_75_octets_and_end_in_crlf(manager: Person, plan: Callable[..., Shoot]) -> None:
    plan(title="Ä" * 119)
    raw = text_of(manager).encode()
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75


def test_no_line_can_be_smuggled_in(manager: Person, plan: Callable[..., Shoot]) -> None:
    plan(title="Gloves\r\nEND:VEVENT\r\nX-EVIL:1\x07")
    assert "\r\nX-EVIL" not in text_of(manager)
    assert only_event(manager).summary.value == "Gloves\nEND:VEVENT\nX-EVIL:1"


def test_own_shoots_are_those_one_photographs_or_assists() -> None:
    ilo = a_person("photographer")
    a_shoot(booking=a_booking(title="mine"), photographer=ilo)
    a_shoot(booking=a_booking(title="helping"), assistant=ilo)
    a_shoot(booking=a_booking(title="theirs"), photographer=a_person("photographer"))
    assert {event.summary.value for event in events(text_of(ilo, "own"))} == {"mine", "helping"}


def test_a_room_has_its_own_shoots() -> None:
    hall = a_room(name="Car hall")
    a_shoot(booking=a_booking(title="here"), room=hall)
    a_shoot(booking=a_booking(title="elsewhere"))
    (event,) = events(text_of(a_person("assistant"), "room", hall.pk))
    assert event.summary.value == "here"


def test_a_feed_without_shoots_is_a_calendar(manager: Person) -> None:
    assert vobject.readOne(text_of(manager)).prodid.value == "-//Fullstop//Shoots//EN"


def test_what_has_not_changed_is_not_sent_again(manager: Person, plan: Callable[..., Shoot]) -> None:
    shoot = plan()
    _, token = make_address("all", manager)
    address = f"/calendar/feeds/{token}.ics"
    first = Client().get(address)
    again = Client().get(address, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    services.cancel_shoot(shoot, manager)
    changed = Client().get(address, headers={"If-None-Match": first["ETag"]})
    assert changed.status_code == 200
    assert changed["ETag"] != first["ETag"]


def test_the_answer_is_a_private_calendar(manager: Person) -> None:
    _, token = make_address("all", manager)
    answer = Client().get(f"/calendar/feeds/{token}.ics")
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert "private" in answer["Cache-Control"]


def test_a_revoked_address_and_one_that_never_was_answer_alike(manager: Person) -> None:
    made, token = make_address("all", manager)
    revoke_address(made.pk, manager)
    revoked = Client().get(f"/calendar/feeds/{token}.ics")
    unknown = Client().get(f"/calendar/feeds/{'x' * 43}.ics")
    assert (revoked.status_code, revoked.content) == (unknown.status_code, unknown.content)
    assert revoked.status_code == 404


def test_an_address_of_somebody_who_left_shows_nothing(manager: Person) -> None:
    _, token = make_address("own", manager)
    Person.objects.filter(pk=manager.pk).update(is_active=False)
    assert Client().get(f"/calendar/feeds/{token}.ics").status_code == 404


def test_who_is_no_manager_any_more_does_not_read_all_shoots(manager: Person) -> None:
    _, token = make_address("all", manager)
    Person.objects.filter(pk=manager.pk).update(role="photographer")
    assert Client().get(f"/calendar/feeds/{token}.ics").status_code == 404


def test_nothing_can_be_written_to_a_feed(manager: Person) -> None:
    _, token = make_address("all", manager)
    assert Client().post(f"/calendar/feeds/{token}.ics").status_code == 405


def test_a_feed_of_two_hundred_shoots_asks_the_database_twice(
    manager: Person, django_assert_max_num_queries: Any
) -> None:
    room = a_room()
    for _ in range(200):
        a_shoot(booking=a_booking(), room=room, photographer=manager)
    _, token = make_address("all", manager)
    with django_assert_max_num_queries(2):
        answer = Client().get(f"/calendar/feeds/{token}.ics")
    assert answer.content.count(b"BEGIN:VEVENT") == 200


def test_a_shoot_that_waits_in_line_is_tentative_and_says_for_what(
    manager: Person, plan: Callable[..., Shoot]
) -> None:
    a_unit(tag="K-03")
    services.add_extra_unit(plan(title="First"), "K-03", manager)
    services.add_extra_unit(plan(title="Later", state="hold"), "K-03", manager, behind=True)
    (later,) = [event for event in events(text_of(manager)) if event.summary.value == "Later"]
    assert later.status.value == "TENTATIVE"
    assert "In line behind others for K-03" in later.description.value


def test_it_is_written_as_the_library_would_write_it(manager: Person, plan: Callable[..., Shoot]) -> None:
    """Read and written again by the library it is the same to the octet: order, folding, escapes, times."""
    plan(title=r"Änderung; „Wolle“, Schnur\Garn 🧤 und was noch alles auf den Schiefer soll, ganz langsam")
    plan("2027-10-31T01:00", "2027-10-31T02:30", ends_second=True, state="hold")
    plan("2027-05-01T00:00", "2027-05-04T00:00", state="enquiry", room=a_room(name="x" * 60))
    plan(title=";" * 63 + "\\" * 40, room=a_room(place=Place.objects.create(name="Dry dock", zone="UTC")))
    services.cancel_shoot(plan(title="Ä" * 119), manager)
    text = text_of(manager)
    assert text.count("BEGIN:VEVENT") == 5
    assert icalendar.Calendar.from_ical(text).to_ical().decode() == text
