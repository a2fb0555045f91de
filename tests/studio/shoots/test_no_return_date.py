"""A shoot whose gear has no return date yet (case 6): on its page, over the API, on the first page, in a calendar and
at the door."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from gear.booking.series_rule import Rule
from gear.booking.wall_time import OPEN_END, wall_of
from gear.errors import Conflict
from studio.calendar.feed import written
from studio.calendar.feeds import told
from studio.packing.services import close_list, pack_out, take_back, update_list
from studio.readiness.setups import setups_for
from studio.shoots import services
from studio.shoots.chain import shift_shoots
from studio.shoots.models import Shoot
from studio.shoots.series_booking import repeat_shoot
from tests.builders import a_booking, a_person, a_shoot, a_unit
from tests.gear.booking.times import a_type, at, booked, set_clock
from tests.studio.shoots.plans import planned

pytestmark = pytest.mark.django_db

PARIS = "Europe/Paris"
BY = ("units", "types", "rooms", "people")


def review(hour: float = 240) -> str:
    return wall_of(at(hour), PARIS)


def open_shoot(**more):
    by = a_person()
    return services.leave_shoot_open(planned(**more), review(), by)


def test_it_is_left_open_by_a_button_and_given_an_end_by_the_form(signed_in) -> None:
    client, shoot = signed_in("manager"), planned()
    page = reverse("shoots:shoot", args=[shoot.pk])
    sent = {"review": review(), "version": shoot.version}
    assert client.post(reverse("shoots:open-end", args=[shoot.pk]), sent).status_code == 302
    said = client.get(page).content.decode()
    assert "no return date" in said
    assert "looked at again" in said
    edit = reverse("shoots:edit", args=[shoot.pk])
    shoot.refresh_from_db()
    form = {"title": "Another", "room": shoot.room_id, "starts": wall_of(at(10), PARIS), "ends": ""}
    assert client.post(edit, {**form, "version": shoot.version}).status_code == 302
    shoot.booking.refresh_from_db()
    assert shoot.booking.ends_at == OPEN_END
    shoot.refresh_from_db()
    ended = {**form, "ends": wall_of(at(20), PARIS), "version": shoot.version}
    assert client.post(edit, ended).status_code == 302
    shoot.booking.refresh_from_db()
    assert (shoot.booking.ends_at, shoot.booking.review_at) == (at(20), None)


def test_a_shoot_with_an_end_still_asks_for_it(signed_in) -> None:
    client, shoot = signed_in("manager"), planned()
    form = {"title": "A", "room": shoot.room_id, "starts": wall_of(at(10), PARIS), "ends": ""}
    page = client.post(reverse("shoots:edit", args=[shoot.pk]), {**form, "version": shoot.version})
    assert page.status_code == 422


def test_over_the_api_it_has_no_end_and_a_review(signed_in) -> None:
    client, shoot = signed_in("manager"), planned()
    address = f"/api/shoots/{shoot.pk}/open-end"
    assert client.post(address, {}, "application/json").status_code == 422
    odd = client.post(address, {"review": "soon"}, "application/json")
    assert (odd.status_code, odd.json()["problems"][0]["where"]) == (422, "review")
    body = client.post(address, {"review": review()}, "application/json").json()
    assert body["ends"] is None
    assert body["review"] is not None
    same = client.patch(
        f"/api/shoots/{shoot.pk}", body, "application/json", headers={"If-Match": f'"{body["version"]}"'}
    )
    assert same.status_code == 200, same.content
    assert same.json()["version"] == body["version"]


def test_what_comes_after_is_named_when_it_is_left_open(signed_in) -> None:
    client, unit, shoot = signed_in("manager"), a_unit(a_type()), planned()
    services.add_extra_unit(shoot, unit.tag, client.person)
    booked(300, 302, unit, title="Much later")
    answer = client.post(f"/api/shoots/{shoot.pk}/open-end", {"review": review()}, "application/json")
    assert (answer.status_code, answer.json()["code"]) == (409, "unit-taken")
    assert "Much later" in answer.content.decode()


def test_on_its_day_it_stands_on_the_first_page(signed_in, monkeypatch) -> None:
    client = signed_in("manager")
    open_shoot(title="Lent to the museum")
    assert "look at it again" not in client.get("/").content.decode()
    set_clock(monkeypatch, at(241))
    client.force_login(client.person)
    page = client.get("/").content.decode()
    assert "look at it again" in page
    assert "Lent to the museum" in page


def test_when_all_is_back_the_list_closes_and_frees_from_the_real_return() -> None:
    unit, by = a_unit(a_type(turnaround=60)), a_person()
    start = at(0) - timedelta(days=31)
    shoot = a_shoot(booking=a_booking(start, hours=2))
    services.add_extra_unit(shoot, unit.tag, by)
    services.leave_shoot_open(shoot, review(), by)
    update_list(shoot)
    pack_out(shoot, unit.tag, by)
    take_back(shoot, unit.tag, by)
    shoot.refresh_from_db()
    close_list(shoot, by)
    shoot.booking.refresh_from_db()
    assert shoot.booking.state == "closed"
    assert shoot.booking.ends_at < at(0)
    booked(10, 12, unit)


def test_a_calendar_is_told_until_it_is_looked_at_again() -> None:
    text = written(told(Shoot.objects.filter(pk=open_shoot().pk)), "All", "").decode()
    assert "DTEND;TZID=Europe/Paris:" + review().replace("-", "").replace(":", "") in text
    assert "No return date" in text
    assert len(text) < 20_000


def test_the_checks_look_at_its_first_day() -> None:
    shoot = open_shoot()
    (setup,) = setups_for([shoot]).values()
    assert setup.ends - setup.starts == timedelta(days=1)


def test_it_cannot_repeat() -> None:
    with pytest.raises(Conflict, match="no return date"):
        repeat_shoot(open_shoot(), Rule("week", count=3), a_person())


def test_shifted_it_has_no_return_date_either() -> None:
    shoot = open_shoot()
    (shifted,) = shift_shoots([shoot.pk], 60, a_person())
    assert (shifted.booking.starts_at, shifted.booking.ends_at) == (at(11), OPEN_END)


def test_every_page_that_shows_it_says_so_and_none_fails(signed_in) -> None:
    client, unit = signed_in("manager"), a_unit(a_type(), tag="K-03")
    shoot = planned(title="Lent to the museum", state="confirmed", photographer=client.person)
    services.add_extra_unit(shoot, "K-03", client.person)
    services.leave_shoot_open(shoot, review(), client.person)
    update_list(shoot)
    pack_out(shoot, "K-03", client.person)
    day = at(0).date()
    pages = [
        reverse("shoots:list"),
        reverse("shoots:shoot", args=[shoot.pk]),
        reverse("shoots:units", args=[shoot.pk]),
        reverse("shoots:part", args=[shoot.pk]),
        reverse("shoots:edit", args=[shoot.pk]),
        reverse("packing:list", args=[shoot.pk]),
        reverse("packing:outside"),
        reverse("readiness:shoot", args=[shoot.pk]),
        reverse("booking:unit-promises", args=[unit.tag]),
        reverse("inventory:unit", args=[unit.tag]),
        *(f"{reverse(f'calendar:{by}')}?date={day}&view={view}" for view in ("week", "month") for by in BY),
        "/",
    ]
    said = {page: client.get(page) for page in pages}
    assert {page: answer.status_code for page, answer in said.items() if answer.status_code != 200} == {}
    assert [page for page, answer in said.items() if "2400" in answer.content.decode()] == []
    assert "no return date" in said[reverse("packing:outside")].content.decode()
