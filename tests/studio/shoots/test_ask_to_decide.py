"""A shoot that waits asks the one before it to confirm or to let go, in working hours of that one's place."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from rest_framework.test import APIClient

from gear.booking.models import Allocation, Challenge
from gear.booking.promotion import promote_due
from gear.errors import Conflict, Invalid, NotAllowed
from studio.places.models import Place
from studio.places.working_hours import WorkingWeek, set_working_hours, week_of
from studio.shoots import services
from studio.shoots.challenging import ask_to_decide, stop_asking, wait_behind
from tests.builders import a_person, a_room, a_unit
from tests.gear.booking.times import a_type, set_clock

pytestmark = pytest.mark.django_db

PARIS = ZoneInfo("Europe/Paris")


def paris(month: int, day: int, hour: int, minute: int = 0, year: int = 2026) -> datetime:
    return datetime(year, month, day, hour, minute, tzinfo=PARIS)


def shoot_on(day: datetime, title: str, **more):
    """A shoot from ten to two on a day, on hold until it begins."""
    from gear.booking.interval import period

    return services.plan_shoot(
        title,
        more.pop("room", None) or a_room(),
        period(day, day + timedelta(hours=4), "Europe/Paris"),
        None,
        more.pop("by", None) or a_person(),
        hold_until=day,
    )


@pytest.fixture
def line(monkeypatch: pytest.MonkeyPatch):
    """Asked at this moment, for a day: the first, which has K-03, and a later one that waits for it."""

    def lay(asked_at: datetime, day: datetime):
        set_clock(monkeypatch, asked_at)
        a_unit(a_type(), tag="K-03")
        runa = a_person(email="runa@tram-depot.example")
        first, later = shoot_on(day, "First", by=runa), shoot_on(day, "Later")
        services.add_extra_unit(first, "K-03", runa)
        services.add_extra_unit(later, "K-03", a_person(), behind=True)
        return first, later

    return lay


def has_it(shoot) -> bool:
    return Allocation.objects.filter(booking=shoot.booking, active=True).exists()


@pytest.mark.parametrize(
    ("asked_at", "deadline", "day"),
    [
        (paris(5, 12, 10), paris(5, 12, 14), paris(5, 28, 10)),
        (paris(5, 15, 16), paris(5, 18, 11), paris(5, 28, 10)),
        (paris(3, 27, 16), paris(3, 30, 11), paris(4, 20, 10)),
        (paris(10, 23, 16), paris(10, 26, 11), paris(11, 20, 10)),
    ],
    ids=["on a day", "over a weekend", "while the clocks go forward", "while the clocks go back"],
)
def test_four_working_hours_later_it_ends_at_the_exact_moment(
    line, monkeypatch: pytest.MonkeyPatch, asked_at, deadline, day
) -> None:
    first, later = line(asked_at, day)
    (asked,) = ask_to_decide(later, first.booking_id, a_person())
    assert asked.deadline == deadline
    set_clock(monkeypatch, deadline - timedelta(seconds=1))
    promote_due()
    assert (has_it(first), has_it(later)) == (True, False)
    set_clock(monkeypatch, deadline)
    promote_due()
    assert (has_it(first), has_it(later)) == (False, True)


def test_a_holiday_of_the_place_of_the_first_gives_it_another_day(line) -> None:
    first, later = line(paris(5, 13, 16), paris(5, 28, 10))
    place = first.room.place
    week = week_of(place)
    holiday = WorkingWeek(week.hours, {date(2026, 5, 14): "Ascension Day"}, week.answer_hours)
    set_working_hours(place, holiday, a_person())
    (asked,) = ask_to_decide(later, first.booking_id, a_person())
    assert asked.deadline == paris(5, 15, 11)


def test_the_place_says_how_long_they_have_unless_the_one_who_asks_says_otherwise(line) -> None:
    first, later = line(paris(5, 12, 10), paris(5, 28, 10))
    week = week_of(first.room.place)
    set_working_hours(first.room.place, WorkingWeek(week.hours, {}, 8), a_person())
    (asked,) = ask_to_decide(later, first.booking_id, a_person())
    assert asked.deadline == paris(5, 12, 18)
    stop_asking(later, first.booking_id, a_person())
    (asked,) = ask_to_decide(later, first.booking_id, a_person(), hours=2)
    assert asked.deadline == paris(5, 12, 12)


@pytest.mark.parametrize("hours", [0, -1, 201, float("nan")])
def test_no_time_at_all_is_no_time_to_answer(line, hours: float) -> None:
    first, later = line(paris(5, 12, 10), paris(5, 28, 10))
    with pytest.raises(Invalid, match="at most 200 working hours"):
        ask_to_decide(later, first.booking_id, a_person(), hours=hours)


def test_both_are_written_with_the_deadline(line, mailoutbox, django_capture_on_commit_callbacks) -> None:
    first, later = line(paris(5, 12, 10), paris(5, 28, 10))
    ilo = a_person("photographer", email="ilo@tram-depot.example")
    later.booking.asked_by = ilo
    later.booking.save()
    with django_capture_on_commit_callbacks(execute=True):
        ask_to_decide(later, first.booking_id, a_person())
    to = {address: mail for mail in mailoutbox for address in mail.to}
    assert "Tue 12 May 2026, 14:00" in to["runa@tram-depot.example"].subject
    assert "Tue 12 May 2026, 14:00" in to["ilo@tram-depot.example"].body


def test_both_pages_show_the_deadline_and_what_is_left_in_words(line, signed_in) -> None:
    first, later = line(paris(5, 12, 10, 15), paris(5, 28, 10))
    client = signed_in("manager")
    client.post(reverse("shoots:ask", args=[later.pk]), {"first": first.booking_id, "hours": "4"})
    for shoot in (first, later):
        page = " ".join(client.get(reverse("shoots:shoot", args=[shoot.pk])).content.decode().split())
        assert "Tue 12 May 2026, 14:15" in page
        assert "4 h left" in page


def test_a_photographer_asks_for_their_own_shoot_only(line) -> None:
    first, later = line(paris(5, 12, 10), paris(5, 28, 10))
    with pytest.raises(NotAllowed):
        ask_to_decide(later, first.booking_id, a_person("photographer"))


def test_letting_it_go_leaves_the_job_and_waits_behind(line) -> None:
    first, later = line(paris(5, 12, 10), paris(5, 28, 10))
    ask_to_decide(later, first.booking_id, a_person())
    wait_behind(first, ["K-03"], a_person())
    assert (has_it(first), has_it(later)) == (False, True)
    assert Challenge.objects.get().outcome == "let-go"


def test_over_the_api_it_is_asked_answered_and_read(line) -> None:
    first, later = line(paris(5, 12, 10), paris(5, 28, 10))
    api = APIClient()
    api.force_authenticate(a_person())
    asked = api.post(f"/api/shoots/{later.pk}/ask", {"booking": first.booking_id})
    assert asked.status_code == 200, asked.data
    assert asked.json()["asking"] == [
        {"booking": first.booking_id, "title": "First", "units": ["K-03"], "deadline": "2026-05-12T12:00:00Z"}
    ]
    assert api.get(f"/api/shoots/{first.pk}/").json()["asked"][0]["title"] == "Later"
    assert api.post(f"/api/shoots/{first.pk}/step-back", {"units": ["K-03"]}).json()["rank"] == 2
    gone = api.delete(f"/api/shoots/{later.pk}/ask", {"booking": first.booking_id})
    assert (gone.status_code, gone.json()["asking"]) == (200, [])


def test_there_is_nothing_to_ask_of_who_is_confirmed(line) -> None:
    first, later = line(paris(5, 12, 10), paris(5, 28, 10))
    services.confirm_shoot(first, a_person())
    with pytest.raises(Conflict, match="has decided already"):
        ask_to_decide(later, first.booking_id, a_person())


def test_a_place_without_hours_of_its_own_works_from_monday_to_friday() -> None:
    week = week_of(Place.objects.create(name="Depot"))
    assert sorted(week.hours) == [0, 1, 2, 3, 4]
