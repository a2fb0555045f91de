from __future__ import annotations

from datetime import date, time
from decimal import Decimal

import pytest
from django.urls import reverse
from rest_framework.test import APIClient

from gear.errors import Invalid, NotAllowed, StaleEdit
from studio.places.working_hours import (
    WorkingWeek,
    calendar_of,
    hours_in_words,
    read_holidays,
    read_hours,
    set_working_hours,
    week_of,
)
from tests.builders import a_person, a_room

pytestmark = pytest.mark.django_db


def typed(**changes: str) -> dict[str, str]:
    """The form as it is sent."""
    week = {f"day{day}": "09:00-18:00" if day < 5 else "" for day in range(7)}
    return {**week, "holidays": "", "answer_hours": "4", **changes}


@pytest.fixture
def place():
    return a_room().place


def test_hours_and_holidays_are_kept_as_they_were_typed(place, signed_in) -> None:
    sent = typed(day5="10:00-12:30, 13:30-16:00", holidays="2026-12-25 Christmas Day", answer_hours="6.5")
    client, address = signed_in("manager"), reverse("places:working-hours", args=[place.pk])
    assert client.post(address, sent).status_code == 302
    page = client.get(address).content.decode()
    assert "10:00-12:30, 13:30-16:00" in page
    assert "2026-12-25 Christmas Day" in page
    assert week_of(place).answer_hours == Decimal("6.5")
    assert date(2026, 12, 25) in calendar_of(place).holidays


def test_everybody_reads_them_and_only_the_manager_sets_them(place, signed_in) -> None:
    client, address = signed_in("photographer"), reverse("places:working-hours", args=[place.pk])
    assert client.get(address).status_code == 200
    assert client.post(address, typed()).status_code == 403
    with pytest.raises(NotAllowed):
        set_working_hours(place, week_of(place), client.person)


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("day0", "nine to five", "are no hours"),
        ("day0", "18:00-09:00", "ends before it starts"),
        ("day0", "09:00-12:00, 11:00-14:00", "overlap at 11:00"),
        ("day0", "25:00-26:00", "are no hours"),
        ("holidays", "Christmas", "does not begin with a date"),
        ("holidays", "2026-02-30", "does not begin with a date"),
        ("answer_hours", "0", "half an hour"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_nothing_is_kept(
    place, signed_in, field: str, text: str, said: str
) -> None:
    answer = signed_in("manager").post(
        reverse("places:working-hours", args=[place.pk]), typed(**{field: text})
    )
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert week_of(place).version == 0


def test_a_week_without_any_hours_is_refused(place) -> None:
    with pytest.raises(Invalid, match="at least one day"):
        set_working_hours(place, WorkingWeek({0: ()}, {}, Decimal(4)), a_person())


def test_the_second_of_two_editors_overwrites_nothing(place) -> None:
    set_working_hours(place, week_of(place), a_person(), version=0)
    with pytest.raises(StaleEdit):
        set_working_hours(place, week_of(place), a_person(), version=0)


def test_over_the_api_what_is_read_can_be_written_back(place) -> None:
    api = APIClient()
    api.force_authenticate(a_person())
    address = f"/api/places/{place.pk}/working-hours"
    read = api.get(address)
    assert read.json()["hours"][0] == {"weekday": 0, "opens": "09:00", "closes": "18:00"}
    body = {**read.json(), "holidays": [{"day": "2026-05-01", "name": "Labour Day"}]}
    written = api.put(address, body, headers={"If-Match": read.headers["ETag"]})
    assert written.status_code == 200, written.data
    assert written.json() == body
    assert api.put(address, body).status_code == 428
    assert api.put(address, body, headers={"If-Match": read.headers["ETag"]}).status_code == 412


@pytest.mark.parametrize("text", ["09:00-12:30, 13:30-18:00", "00:00-24:00", ""])
def test_hours_read_as_they_are_said(text: str) -> None:
    assert hours_in_words(read_hours(text, "day0")) == text


def test_people_write_hours_in_their_own_ways() -> None:
    assert read_hours("9:00 – 12:00,13:00 to 17:30", "day0") == (
        (time(9), time(12)),
        (time(13), time(17, 30)),
    )


def test_a_holiday_needs_no_name() -> None:
    assert read_holidays("2026-05-01\n\n2026-05-08 Victory\n") == {
        date(2026, 5, 1): "",
        date(2026, 5, 8): "Victory",
    }
