"""A changing request may be repeated with the same key; what it asks happens once."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import DatabaseError, OperationalError, connection
from django.test import Client
from django.utils import timezone

from gear.catalogue import api
from gear.catalogue.models import GearType
from studio.once.models import KeptAnswer
from studio.once.services import forget_old_answers
from tests.builders import STROBE, a_gear_type, a_shoot, a_unit

pytestmark = pytest.mark.django_db

ADDRESS = "/api/gear-types/"
BODY = {
    "slug": "kestrel-500",
    "name": "Kestrel 500",
    "maker": "Halden Works",
    "kind": "strobe",
    "spec": STROBE,
}


def sent(
    client: Client, key: str | None = "a-1", body: Any = BODY, address: str = ADDRESS, **more: Any
) -> Any:
    headers = {} if key is None else {"Idempotency-Key": key}
    return client.post(address, body, "application/json", headers={**headers, **more})


def test_the_same_request_twice_is_done_once_and_answered_alike(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    first, second = sent(client), sent(client)
    assert (first.status_code, second.status_code) == (201, 201)
    assert second.content == first.content
    assert second["Content-Type"] == first["Content-Type"]
    assert GearType.objects.count() == 1


def test_a_form_is_refused_with_what_is_taken(signed_in: Callable[..., Client]) -> None:
    """Of a signed-in browser the token is looked for in the form, before the body is compared with an earlier one."""
    person = signed_in().person
    client = Client(enforce_csrf_checks=True)
    client.force_login(person)
    client.get("/gear/")
    headers = {"X-CSRFToken": client.cookies["csrftoken"].value, "Idempotency-Key": "a-1"}
    answer = client.post(ADDRESS, {"slug": "kestrel-500"}, headers=headers)
    assert answer.status_code == 415, answer.content
    assert "application/json" in answer.json()["ways_out"][0]
    assert not GearType.objects.exists()


def test_a_repetition_says_that_it_is_one(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    assert "Idempotency-Replayed" not in sent(client).headers
    assert sent(client)["Idempotency-Replayed"] == "true"


def test_without_a_key_every_request_is_its_own(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    assert [sent(client, None).status_code, sent(client, None).status_code] == [201, 409]
    assert not KeptAnswer.objects.exists()


def test_another_body_under_the_same_key_is_refused_and_not_done(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    sent(client)
    answer = sent(client, body={**BODY, "slug": "kestrel-600", "name": "Kestrel 600"})
    assert answer.status_code == 422
    assert answer.json()["code"] == "key-used"
    assert f"POST {ADDRESS}" in answer.json()["sentence"]
    assert GearType.objects.count() == 1


def test_another_address_under_the_same_key_is_refused(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    a_unit(tag="K-03")
    sent(client, body={"text": "dead"}, address="/api/units/K-03/faults")
    assert sent(client, body={"text": "dead"}, address="/api/units/K-03/care").status_code == 422


def test_the_same_body_in_another_order_and_spacing_is_the_same_request(
    signed_in: Callable[..., Client],
) -> None:
    client = signed_in()
    sent(client, body='{"kind": "strobe"}')
    assert "Idempotency-Replayed" in sent(client, body='{  "kind":"strobe" }').headers


def test_another_person_may_use_the_same_key(signed_in: Callable[..., Client]) -> None:
    sent(signed_in())
    assert sent(signed_in()).json()["code"] == "conflict"  # the slug is taken: it was really asked


@pytest.mark.parametrize("key", ["", " ", '""', "k" * 256, "schlüssel".encode().decode("latin-1")])
def test_a_key_that_is_none_gets_a_sentence_and_nothing_is_done(
    signed_in: Callable[..., Client], key: str
) -> None:
    answer = sent(signed_in(), key)
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["where"] == "Idempotency-Key"
    assert not GearType.objects.exists()


def test_a_key_in_quotes_is_the_same_key(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    sent(client, "a-1")
    assert "Idempotency-Replayed" in sent(client, '"a-1"').headers


def test_a_refusal_is_answered_alike_even_when_the_reason_is_gone(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    in_the_way = a_gear_type(slug=BODY["slug"])
    assert sent(client).status_code == 409
    in_the_way.delete()
    assert sent(client).status_code == 409
    assert not GearType.objects.exists()


def test_nothing_stays_of_a_refused_attempt(
    signed_in: Callable[..., Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    def half(entry: Any, by: Any) -> GearType:
        a_gear_type(slug="half-done")
        return create(entry, by)

    create = api.create_gear_type
    monkeypatch.setattr(api, "create_gear_type", half)
    a_gear_type(slug=BODY["slug"])
    assert sent(signed_in()).status_code == 409
    assert not GearType.objects.filter(slug="half-done").exists()


def test_a_failure_of_the_service_is_not_kept(
    signed_in: Callable[..., Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    client = signed_in()
    client.raise_request_exception = False
    with monkeypatch.context() as broken:
        broken.setattr(api, "create_gear_type", lambda *_: 1 / 0)
        assert sent(client).status_code == 500
    assert sent(client).status_code == 201


def test_who_may_not_is_asked_again_after_their_role_changed(signed_in: Callable[..., Client]) -> None:
    client = signed_in("assistant")
    assert sent(client).status_code == 403
    client.person.role = "manager"
    client.person.save()
    assert sent(client).status_code == 201


def test_nobody_in_particular_has_no_keys() -> None:
    assert sent(Client()).status_code in (401, 403)
    assert not KeptAnswer.objects.exists()


def test_programs_that_sign_each_request_have_keys_too(signed_in: Callable[..., Client]) -> None:
    word = b64encode(f"{signed_in().person.username}:tram-depot-7".encode()).decode()
    for _ in range(2):
        answer = sent(Client(), Authorization=f"Basic {word}")
        assert answer.status_code == 201
    assert GearType.objects.count() == 1


def test_reading_keeps_nothing(signed_in: Callable[..., Client]) -> None:
    assert signed_in().get(ADDRESS, headers={"Idempotency-Key": "a-1"}).status_code == 200
    assert not KeptAnswer.objects.exists()


def test_an_answer_without_a_body_is_kept_too(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    shoot, unit = a_shoot(), a_unit()
    body = {"unit": unit.tag, "recipe": None}
    path = f"/api/shoots/{shoot.pk}/units"
    for expected in ({}, {"Idempotency-Replayed": "true"}):
        answer = client.delete(path, body, "application/json", headers={"Idempotency-Key": "off"})
        assert (answer.status_code, answer.content) == (204, b"")
        assert expected.items() <= dict(answer.headers).items()


def test_answers_are_kept_for_ninety_days(signed_in: Callable[..., Client]) -> None:
    client = signed_in()
    sent(client, "old")
    sent(client, "young", {})
    KeptAnswer.objects.filter(key="old").update(made_at=timezone.now() - timedelta(days=90, minutes=1))
    KeptAnswer.objects.filter(key="young").update(made_at=timezone.now() - timedelta(days=89, hours=23))
    assert forget_old_answers() == 1
    assert KeptAnswer.objects.get().key == "young"


def test_the_published_schema_names_the_key_at_every_change() -> None:
    paths = Client().get("/api/schema", {"format": "json"}).json()["paths"]
    changing = [
        operation
        for operations in paths.values()
        for method, operation in operations.items()
        if method in ("post", "put", "patch", "delete")
    ]
    assert len(changing) > 15
    for operation in changing:
        assert [p["name"] for p in operation["parameters"]].count("Idempotency-Key") == 1


@pytest.mark.django_db(transaction=True)
def test_a_lost_race_inside_is_tried_again_as_a_whole(
    signed_in: Callable[..., Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    class Deadlock(Exception):
        sqlstate = "40P01"

    tries = []

    def once_beaten(entry: Any, by: Any) -> GearType:
        made = create(entry, by)
        tries.append(made)
        if len(tries) == 1:
            raise OperationalError("deadlock detected") from Deadlock()
        return made

    create = api.create_gear_type
    monkeypatch.setattr(api, "create_gear_type", once_beaten)
    assert sent(signed_in()).status_code == 201
    assert len(tries) == 2
    assert GearType.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_line_to_the_database_that_breaks_after_the_commit_does_not_do_it_twice(
    signed_in: Callable[..., Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    client = signed_in()
    client.raise_request_exception = False

    def commits_and_breaks() -> None:
        commit()
        made = GearType.objects.using("default")
        if made.exists():
            connection.close()
            raise OperationalError("the connection is lost")

    commit = connection._commit
    with monkeypatch.context() as line:
        line.setattr(connection, "_commit", commits_and_breaks)
        assert sent(client).status_code == 503
    assert sent(client).status_code == 201
    assert GearType.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_line_to_the_database_that_breaks_before_the_commit_leaves_it_to_be_done(
    signed_in: Callable[..., Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    client = signed_in()
    client.raise_request_exception = False

    def cut(entry: Any, by: Any) -> GearType:
        made = create(entry, by)
        with pytest.raises(DatabaseError), connection.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(pg_backend_pid())")
        return made

    create = api.create_gear_type
    with monkeypatch.context() as line:
        line.setattr(api, "create_gear_type", cut)
        assert sent(client).status_code == 503
    assert not GearType.objects.exists()
    assert sent(client).status_code == 201
