"""Making, seeing once and revoking the address of a feed."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.test import Client

from gear.errors import Conflict, Gone, Invalid, NotAllowed
from studio.calendar import services
from studio.calendar.models import FeedAddress
from studio.calendar.services import make_address, revoke_address
from tests.builders import a_person, a_room

pytestmark = pytest.mark.django_db
SignIn = Callable[..., Client]
ADDRESS = re.compile(r"http://testserver(/calendar/feeds/[\w-]{43}\.ics)")


def test_an_address_is_made_and_answers_without_sign_in(signed_in: SignIn) -> None:
    answer = signed_in("photographer").post("/calendar/feeds/make", {"what": "own"})
    assert answer.status_code == 201
    found = ADDRESS.search(answer.content.decode())
    assert found
    assert Client().get(found[1]).status_code == 200


def test_it_is_shown_once(signed_in: SignIn) -> None:
    client = signed_in("photographer")
    answer = client.post("/calendar/feeds/make", {"what": "own"})
    assert answer["Cache-Control"] == "no-store"
    assert not ADDRESS.search(client.get("/calendar/feeds").content.decode())


def test_the_address_is_not_kept_and_names_nobody(signed_in: SignIn) -> None:
    client = signed_in("photographer")
    page = client.post("/calendar/feeds/make", {"what": "own"}).content.decode()
    found = ADDRESS.search(page)
    assert found
    token = found[1].removeprefix("/calendar/feeds/").removesuffix(".ics")
    kept = FeedAddress.objects.get()
    assert token not in {str(getattr(kept, field.attname)) for field in FeedAddress._meta.concrete_fields}
    assert client.person.username not in found[0]


def test_two_addresses_are_never_the_same() -> None:
    person = a_person()
    assert make_address("own", person)[1] != make_address("own", person)[1]


def test_revoking_closes_it_at_once(signed_in: SignIn) -> None:
    client = signed_in("assistant")
    made, token = make_address("own", client.person)
    answer = client.post(f"/calendar/feeds/{made.pk}/revoke", follow=True)
    assert "shows nothing any more" in answer.content.decode()
    assert Client().get(f"/calendar/feeds/{token}.ics").status_code == 404


def test_revoking_twice_keeps_the_first_moment() -> None:
    person = a_person()
    made, _ = make_address("own", person)
    first = revoke_address(made.pk, person).revoked_at
    assert revoke_address(made.pk, person).revoked_at == first


def test_nobody_revokes_somebody_else_s(signed_in: SignIn) -> None:
    made, _ = make_address("own", a_person("photographer"))
    assert signed_in("manager").post(f"/calendar/feeds/{made.pk}/revoke").status_code == 403
    assert FeedAddress.objects.get().revoked_at is None


def test_only_the_manager_takes_all_shoots_along(signed_in: SignIn) -> None:
    assert signed_in("manager").post("/calendar/feeds/make", {"what": "all"}).status_code == 201
    assert signed_in("photographer").post("/calendar/feeds/make", {"what": "all"}).status_code == 422
    with pytest.raises(NotAllowed):
        make_address("all", a_person("assistant"))


def test_a_room_can_be_taken_along_by_anybody(signed_in: SignIn) -> None:
    room = a_room(name="Car hall")
    answer = signed_in("assistant").post("/calendar/feeds/make", {"what": f"room-{room.pk}"})
    assert answer.status_code == 201
    assert FeedAddress.objects.get().room == room


@pytest.mark.parametrize("what", ["", "room-999999", "everything", "room-"])
def test_a_feed_that_is_not_offered_is_refused(signed_in: SignIn, what: str) -> None:
    assert signed_in("manager").post("/calendar/feeds/make", {"what": what}).status_code == 422
    assert not FeedAddress.objects.exists()


def test_services_refuse_what_is_no_feed() -> None:
    with pytest.raises(Invalid):
        make_address("everything", a_person())
    with pytest.raises(Gone):
        make_address("room", a_person(), 999_999)


def test_addresses_do_not_pile_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(services, "MOST_ADDRESSES", 2)
    person = a_person()
    make_address("own", person)
    made, _ = make_address("own", person)
    with pytest.raises(Conflict):
        make_address("own", person)
    revoke_address(made.pk, person)
    make_address("own", person)


def test_who_is_not_signed_in_sees_no_addresses() -> None:
    assert Client().get("/calendar/feeds").status_code == 302
    assert Client().post("/calendar/feeds/make", {"what": "own"}).status_code == 302
