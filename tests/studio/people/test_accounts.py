"""The studio manager opens, changes and closes accounts; nobody but its owner knows a password."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.urls import reverse

from gear.errors import Conflict, Invalid, NotAllowed, StaleEdit
from studio.outbox.models import Message
from studio.people.entry import PersonEntry, says
from studio.people.models import Person
from studio.people.services import add_person, change_person, key_to_choose_a_password
from tests.builders import a_person

pytestmark = pytest.mark.django_db

TEO = {"first_name": "Teo", "last_name": "Brandl", "username": "teo", "email": "", "role": "assistant"}
A_PASSWORD = "points-and-wires-4"

SignedIn = Callable[..., Any]


def the_link(page: str) -> str:
    found = re.search(r'value="http://testserver(/password/[^"]+)"', page)
    assert found, page
    return found[1]


def chosen(link: str, password: str = A_PASSWORD) -> Any:
    """What comes of opening a link and choosing a password, in a browser of its own."""
    browser = Client()
    form = browser.get(link, follow=True)
    if not form.redirect_chain:
        return form
    return browser.post(
        form.redirect_chain[-1][0], {"new_password1": password, "new_password2": password}, follow=True
    )


def test_from_an_account_to_signing_in_with_a_password_that_only_its_owner_knows(signed_in: SignedIn) -> None:
    manager = signed_in("manager")
    link = the_link(manager.post(reverse("people:new"), TEO).content.decode())
    teo = Person.objects.get(username="teo")
    assert not teo.has_usable_password()
    assert chosen(link).redirect_chain[-1][0] == reverse("people:sign-in")
    browser = Client()
    browser.post(reverse("people:sign-in"), {"username": "teo", "password": A_PASSWORD})
    assert browser.get("/").status_code == 200
    assert "teo" in manager.get(reverse("people:people")).content.decode()


def test_a_link_works_once_and_says_so(signed_in: SignedIn) -> None:
    link = the_link(signed_in("manager").post(reverse("people:new"), TEO).content.decode())
    chosen(link)
    again = Client().get(link, follow=True).content.decode()
    assert "This link was used already" in again
    assert "new_password1" not in again


def test_after_three_days_a_link_is_too_old(signed_in: SignedIn, monkeypatch: Any) -> None:
    from datetime import timedelta

    from django.contrib.auth.tokens import default_token_generator

    link = the_link(signed_in("manager").post(reverse("people:new"), TEO).content.decode())
    made = default_token_generator._now()
    monkeypatch.setattr(default_token_generator, "_now", lambda: made + timedelta(days=3, minutes=1))
    assert "This link was used already, or it is older" in Client().get(link, follow=True).content.decode()


def test_a_password_that_is_too_short_is_refused_with_what_it_takes(signed_in: SignedIn) -> None:
    link = the_link(signed_in("manager").post(reverse("people:new"), TEO).content.decode())
    answer = chosen(link, "short")
    assert "at least 10 characters" in answer.content.decode()
    assert not Person.objects.get(username="teo").has_usable_password()


def test_who_has_a_mail_address_is_written_the_link(signed_in: SignedIn) -> None:
    page = signed_in("manager").post(reverse("people:new"), {**TEO, "email": "teo@tram-depot.example"})
    mail = Message.objects.get(topic="mail").body
    assert mail["to"] == ["teo@tram-depot.example"]
    assert the_link(page.content.decode()) in mail["text"]
    assert "on its way to teo@tram-depot.example" in page.content.decode()


def test_a_lost_password_holds_until_another_is_chosen(signed_in: SignedIn) -> None:
    teo = a_person("assistant", username="teo")
    link = the_link(signed_in("manager").post(reverse("people:link", args=[teo.pk])).content.decode())
    assert Person.objects.get(pk=teo.pk).check_password("tram-depot-7")
    chosen(link)
    assert Person.objects.get(pk=teo.pk).check_password(A_PASSWORD)


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_sees_or_changes_accounts(signed_in: SignedIn, role: str) -> None:
    client, other = signed_in(role), a_person("assistant")
    assert client.get(reverse("people:people")).status_code == 403
    assert client.get(reverse("people:person", args=[other.pk])).status_code == 403
    assert client.post(reverse("people:link", args=[other.pk])).status_code == 403
    assert client.post(reverse("people:new"), TEO).status_code == 403
    assert client.get("/api/people/").status_code == 403
    for act in (add_person, lambda entry, by: change_person(other, entry, by)):
        with pytest.raises(NotAllowed):
            act(PersonEntry("nobody", role="manager"), client.person)
    with pytest.raises(NotAllowed):
        key_to_choose_a_password(other, client.person)
    assert not Person.objects.filter(username__in=["teo", "nobody"]).exists()


def test_a_name_differs_by_more_than_capitals(signed_in: SignedIn) -> None:
    a_person("assistant", username="teo")
    answer = signed_in("manager").post(reverse("people:new"), {**TEO, "username": "Teo"})
    assert answer.status_code == 422
    assert "is taken, whether in capitals or not" in answer.content.decode()
    with pytest.raises(IntegrityError, match="people_one_of_that_name"), transaction.atomic():
        Person.objects.create(username="TEO")


def test_capitals_make_no_difference_for_signing_in() -> None:
    a_person("assistant", username="teo")
    browser = Client()
    browser.post(reverse("people:sign-in"), {"username": "Teo", "password": "tram-depot-7"})
    assert browser.get("/").status_code == 200


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"username": ""}, "username"),
        ({"username": "with space"}, "username"),
        ({"email": "no address"}, "email"),
        ({"role": "emperor"}, "role"),
        ({"first_name": "x" * 151}, "first_name"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field_and_nothing_is_written(
    wrong: dict[str, str], where: str
) -> None:
    with pytest.raises(Invalid) as refused:
        add_person(PersonEntry(**{**TEO, **wrong}), a_person("manager"))
    assert [problem.where for problem in refused.value.problems] == [where]
    assert Person.objects.count() == 1


def test_a_closed_account_is_out_at_once_and_keeps_its_name_on_what_it_did(signed_in: SignedIn) -> None:
    manager, assistant = signed_in("manager"), signed_in("assistant")
    teo = assistant.person
    assert assistant.get("/").status_code == 200
    body = {"username": teo.username, "role": "assistant", "version": "1"}
    assert manager.post(reverse("people:person", args=[teo.pk]), body).status_code == 302
    assert assistant.get("/").status_code == 302
    page = manager.get(reverse("people:person", args=[teo.pk])).content.decode()
    assert "The account is closed" in page
    assert manager.post(reverse("people:link", args=[teo.pk])).status_code == 409
    manager.post(reverse("people:person", args=[teo.pk]), {**body, "is_active": "on", "version": "2"})
    assert assistant.get("/").status_code == 200


def test_another_role_holds_from_the_next_click_and_stands_in_the_changes(signed_in: SignedIn) -> None:
    manager, assistant = signed_in("manager"), signed_in("assistant")
    teo = assistant.person
    assert assistant.get(reverse("places:new")).status_code == 403
    change_person(teo, PersonEntry(teo.username, role="manager"), manager.person)
    assert assistant.get(reverse("places:new")).status_code == 200
    page = manager.get(reverse("people:person", args=[teo.pk])).content.decode()
    assert "changed role from Assistant to Studio manager" in page


def test_the_last_manager_stays() -> None:
    only = a_person("manager")
    closed = a_person("manager", is_active=False)
    for entry in (
        PersonEntry(only.username, role="assistant"),
        PersonEntry(only.username, role="manager", is_active=False),
    ):
        with pytest.raises(Conflict, match="nobody would be left"):
            change_person(only, entry, only)
    assert says(Person.objects.get(pk=only.pk)).role == "manager"
    change_person(closed, PersonEntry(closed.username, role="manager"), only)
    change_person(only, PersonEntry(only.username, role="assistant"), only)


@pytest.mark.django_db(transaction=True)
def test_two_managers_who_take_each_others_role_at_once_leave_one() -> None:
    first, second = a_person("manager"), a_person("manager")
    start, came = threading.Barrier(2), []

    def take(by: Person, other: Person) -> None:
        start.wait()
        try:
            change_person(other, PersonEntry(other.username, role="assistant"), by)
            came.append("done")
        except Conflict:
            came.append("refused")
        finally:
            connection.close()

    both = [threading.Thread(target=take, args=pair) for pair in ((first, second), (second, first))]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert sorted(came) == ["done", "refused"]
    assert Person.objects.filter(role="manager", is_active=True).count() == 1


def test_somebody_else_saved_in_between() -> None:
    manager, teo = a_person("manager"), a_person("assistant")
    change_person(teo, PersonEntry(teo.username, first_name="Teo", role="assistant"), manager, version=1)
    with pytest.raises(StaleEdit, match="nothing was overwritten"):
        change_person(teo, PersonEntry(teo.username, first_name="Leo", role="assistant"), manager, version=1)
    assert Person.objects.get(pk=teo.pk).first_name == "Teo"


def test_over_the_api_an_account_is_read_and_written_whole_and_without_a_password(
    signed_in: SignedIn,
) -> None:
    client = signed_in("manager")
    made = client.post("/api/people/", TEO, content_type="application/json")
    assert made.status_code == 201
    assert "password" not in made.json()
    address, body = f"/api/people/{made.json()['id']}/", {**made.json(), "role": "photographer"}
    assert client.put(address, body, content_type="application/json").status_code == 428
    put = client.put(address, body, content_type="application/json", headers={"If-Match": made["ETag"]})
    assert (put.status_code, put.json()["role"]) == (200, "photographer")
    old = client.put(
        address,
        body | {"role": "manager"},
        content_type="application/json",
        headers={"If-Match": made["ETag"]},
    )
    assert old.status_code == 412
    refused = client.put(
        address, {**TEO, "password": "x"}, content_type="application/json", headers={"If-Match": put["ETag"]}
    )
    assert refused.status_code == 422
    assert client.get(address).json()["role"] == "photographer"


def test_who_sets_the_service_up_is_its_first_manager(monkeypatch: Any) -> None:
    monkeypatch.setenv("DJANGO_SUPERUSER_PASSWORD", A_PASSWORD)
    call_command(
        "createsuperuser", username="runa", email="runa@tram-depot.example", interactive=False, verbosity=0
    )
    runa = Person.objects.get(username="runa")
    assert runa.role == "manager"
    second = a_person("manager")
    change_person(runa, PersonEntry("runa", role="assistant"), second)
    assert not Person.objects.get(pk=runa.pk).is_superuser
