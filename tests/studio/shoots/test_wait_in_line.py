"""Holding behind: by the buttons of a refusal, and over the API; and where it shows."""

from __future__ import annotations

import pytest
from django.urls import reverse
from rest_framework.test import APIClient

from gear.booking.rules import now
from gear.errors import Conflict
from studio.readiness.setups import recipes_with_setups
from studio.shoots import services
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, set_clock
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db

JOB = {"light": "Key", "job": "head", "number": "1"}


@pytest.fixture
def first():
    """A shoot on hold that has K-03."""
    shoot = planned(title="First", by=a_person(username="runa", email="runa@tram-depot.example"))
    a_unit(a_type(), tag="K-03")
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-03", shoot.booking.asked_by)
    return shoot


@pytest.fixture
def api() -> APIClient:
    client = APIClient()
    client.force_authenticate(a_person())
    return client


def words(answer) -> str:
    return " ".join(answer.content.decode().split())


def test_the_refusal_offers_to_hold_behind_and_the_button_does_it(first, signed_in) -> None:
    client = signed_in("manager")
    later = planned(title="Later")
    address = reverse("shoots:job", args=[later.pk, the_recipe(later).pk])
    refused = client.post(address, {**JOB, "unit": "K-03"})
    assert refused.status_code == 409
    assert 'name="behind" value="K-03"' in words(refused)
    assert client.post(address, {**JOB, "behind": "K-03"}).status_code == 302
    page = words(client.get(reverse("shoots:shoot", args=[later.pk])))
    assert "2nd hold" in page
    assert "behind “First” (hold until" in page


def test_among_what_others_have_each_can_be_held_behind(first, signed_in) -> None:
    client = signed_in("manager")
    later = planned(title="Later")
    page = words(client.get(reverse("shoots:job", args=[later.pk, the_recipe(later).pk]), JOB))
    assert "Somebody else has them" in page
    assert 'name="behind" value="K-03"' in page


def test_a_confirmed_shoot_is_not_offered_to_wait(first, signed_in) -> None:
    later = planned(title="Later", state="confirmed")
    page = words(signed_in("manager").get(reverse("shoots:job", args=[later.pk, the_recipe(later).pk]), JOB))
    assert 'name="behind"' not in page


def test_a_spare_can_be_held_behind(first, signed_in) -> None:
    client = signed_in("manager")
    later = planned(title="Later")
    refused = client.post(reverse("shoots:extra", args=[later.pk]), {"unit": "K-03"})
    assert 'name="behind" value="K-03"' in words(refused)
    client.post(reverse("shoots:extra", args=[later.pk]), {"behind": "K-03"})
    assert "2nd hold" in words(client.get(reverse("shoots:shoot", args=[later.pk])))


def test_a_cancelled_shoot_can_be_taken_up_again_behind(first, signed_in) -> None:
    client = signed_in("manager")
    later = planned(title="Later")
    services.add_extra_unit(later, "K-03", client.person, behind=True)
    services.cancel_shoot(later, client.person)
    address = reverse("shoots:uncancel", args=[later.pk])
    refused = client.post(address)
    assert refused.status_code == 409
    assert "Hold behind" in words(refused)
    assert client.post(address, {"behind": "1"}).status_code == 302
    later.booking.refresh_from_db()
    assert later.booking.state == "hold"


def test_the_list_of_shoots_shows_the_worst_rank(first, signed_in) -> None:
    client = signed_in("manager")
    services.add_extra_unit(planned(title="Later"), "K-03", client.person, behind=True)
    services.add_extra_unit(planned(title="Latest"), "K-03", client.person, behind=True)
    page = words(client.get(reverse("shoots:list")))
    assert ("2nd hold" in page, "3rd hold" in page) == (True, True)


def test_the_page_of_the_unit_shows_who_waits_for_it(first, signed_in) -> None:
    client = signed_in("manager")
    services.add_extra_unit(planned(title="Later"), "K-03", client.person, behind=True)
    page = words(client.get(reverse("booking:unit-promises", args=["K-03"])))
    assert "In line for it" in page
    assert "2nd hold" in page


def test_over_the_api_a_unit_is_asked_for_behind(first, api) -> None:
    later = planned(title="Later")
    body = {"unit": "K-03", "recipe": 1, "light": "Key", "job": "head"}
    refused = api.post(f"/api/shoots/{later.pk}/units", body)
    assert refused.status_code == 409
    assert any(way.startswith("Hold behind") for way in refused.json()["ways_out"])
    assert api.post(f"/api/shoots/{later.pk}/units", {**body, "behind": True}).status_code == 201
    read = api.get(f"/api/shoots/{later.pk}/").json()
    (unit,) = read["units"]
    assert (read["rank"], unit["rank"], unit["stands"]) == (2, 2, False)
    assert unit["ahead"] == [first.booking_id]
    assert api.get("/api/shoots/").json()["results"][0]["rank"] in (1, 2)


def test_over_the_api_a_shoot_is_taken_up_again_behind(first, api) -> None:
    later = planned(title="Later")
    api.post(f"/api/shoots/{later.pk}/units", {"unit": "K-03", "behind": True})
    api.post(f"/api/shoots/{later.pk}/cancel")
    assert api.post(f"/api/shoots/{later.pk}/uncancel").status_code == 409
    assert api.post(f"/api/shoots/{later.pk}/uncancel", {"behind": True}).json()["rank"] == 2


def test_what_is_only_in_line_is_a_gap_that_says_behind_whom(first) -> None:
    later = planned(title="Later")
    services.assign_unit(the_recipe(later), "Key", "head", 1, "K-03", a_person(), behind=True)
    ((_, setup),) = recipes_with_setups([later])
    head = setup.lights[0].heads[0]
    assert not head.promised
    assert head.clash.startswith("only on 2nd hold, behind “First” (hold until ")


def test_when_the_first_goes_the_owner_of_the_second_gets_one_mail(
    first, mailoutbox, django_capture_on_commit_callbacks
) -> None:
    ilo = a_person("photographer", email="ilo@tram-depot.example")
    later = planned(title="Later", photographer=ilo)
    services.assign_unit(the_recipe(later), "Key", "head", 1, "K-03", a_person(), behind=True)
    with django_capture_on_commit_callbacks(execute=True):
        services.cancel_shoot(first, a_person())
    (mail,) = [m for m in mailoutbox if "K-03 came to Later" in m.subject]
    assert mail.to == ["ilo@tram-depot.example"]
    assert "1st hold on K-03 now" in mail.body


def test_another_job_for_a_unit_that_it_waits_for_keeps_it_waiting(first) -> None:
    later = planned(title="Later")
    services.add_extra_unit(later, "K-03", a_person(), behind=True)
    services.assign_unit(the_recipe(later), "Key", "head", 1, "K-03", a_person())
    assert later.booking.allocations.get().waits_since is not None


def test_a_shoot_that_waits_is_not_confirmed(first) -> None:
    later = planned(title="Later")
    services.add_extra_unit(later, "K-03", a_person(), behind=True)
    with pytest.raises(Conflict, match="“First”"):
        services.confirm_shoot(later, a_person())


def test_who_holds_first_needs_no_rank(first, api, monkeypatch: pytest.MonkeyPatch) -> None:
    set_clock(monkeypatch, now())
    assert api.get(f"/api/shoots/{first.pk}/").json()["rank"] == 1
