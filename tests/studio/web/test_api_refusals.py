"""Whatever an API request comes to grief over, a program reads the same four fields and a person a sentence."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.db import InterfaceError, OperationalError
from django.test import Client

from gear.catalogue import api

pytestmark = pytest.mark.django_db
FIELDS = {"code", "sentence", "ways_out", "problems"}
LISTS = ["gear-types", "units", "shoots", "stock", "kits", "shortages"]


def refused(answer: Any, status: int) -> dict[str, Any]:
    assert answer.status_code == status, answer.content
    said: dict[str, Any] = answer.json()
    assert set(said) == FIELDS
    assert said["sentence"].endswith(".")
    return said


@pytest.mark.parametrize(
    "address", ["/api/nothing", "/api/shoots/-1", "/api/shoots/999999", "/api/units/NO-99"]
)
def test_what_is_not_there(signed_in: Callable[..., Client], address: str) -> None:
    refused(signed_in().get(address), 404)


def test_a_page_that_is_not_there_is_still_a_page(signed_in: Callable[..., Client]) -> None:
    answer = signed_in().get("/nothing")
    assert (answer.status_code, answer["Content-Type"].split(";")[0]) == (404, "text/html")


def test_nobody(client: Client) -> None:
    refused(client.get("/api/units/"), 403)


def test_who_may_not(signed_in: Callable[..., Client]) -> None:
    refused(signed_in("assistant").post("/api/gear-types/", {}, "application/json"), 403)


@pytest.mark.parametrize("body", ["{", "\x00", "[1,"])
def test_broken_json(signed_in: Callable[..., Client], body: str) -> None:
    refused(signed_in().generic("POST", "/api/gear-types/", body, "application/json"), 400)


def test_another_kind_of_body(signed_in: Callable[..., Client]) -> None:
    said = refused(signed_in().generic("POST", "/api/gear-types/", "<a/>", "application/xml"), 415)
    assert "application/json" in said["ways_out"][0]


def test_another_method(signed_in: Callable[..., Client]) -> None:
    refused(signed_in().delete("/api/units/"), 405)


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("offset", ["10000001", "9" * 30])
def test_a_page_beyond_everything(signed_in: Callable[..., Client], name: str, offset: str) -> None:
    said = refused(signed_in().get(f"/api/{name}/", {"offset": offset}), 422)
    assert said["problems"][0]["where"] == "offset"


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize(
    "asked", [{"offset": "x"}, {"limit": "-3"}, {"limit": "9" * 30}, {"offset": "10000000"}]
)
def test_nonsense_for_a_page_is_as_if_nothing_was_said(
    signed_in: Callable[..., Client], name: str, asked: dict[str, str]
) -> None:
    assert signed_in().get(f"/api/{name}/", asked).status_code == 200


def test_what_nobody_foresaw(signed_in: Callable[..., Client], monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: Any) -> None:
        raise RuntimeError("a lamp burst")

    monkeypatch.setattr(api, "gear_types", breaks)
    client = signed_in()
    client.raise_request_exception = False
    said = refused(client.get("/api/gear-types/"), 500)
    assert "lamp" not in said["sentence"]


@pytest.mark.parametrize("error", [OperationalError, InterfaceError])
def test_a_database_that_is_away_is_said_and_when_to_ask_again(
    signed_in: Callable[..., Client], monkeypatch: pytest.MonkeyPatch, error: type[Exception]
) -> None:
    def away(*_: Any) -> None:
        raise error("the database system is starting up")

    client = signed_in()
    client.raise_request_exception = False
    monkeypatch.setattr(api, "gear_types", away)
    answer = client.get("/api/gear-types/")
    assert refused(answer, 503)["code"] == "database-away"
    assert answer["Retry-After"] == "5"
    monkeypatch.setattr(SessionStore, "load", away)
    page = client.get("/")
    assert (page.status_code, page["Retry-After"]) == (503, "5")
    assert "The database does not answer" in page.content.decode()


def test_the_schema_says_so_at_every_operation(client: Client) -> None:
    schema = client.get("/api/schema", headers={"Accept": "application/vnd.oai.openapi+json"}).json()
    operations = [one for path in schema["paths"].values() for one in path.values()]
    assert len(operations) > 90
    for operation in operations:
        statuses = set(operation["responses"])
        assert {"403", "404", "422"} <= statuses, operation["operationId"]
        assert {"400", "413", "415"} <= statuses or "requestBody" not in operation, operation["operationId"]
    assert set(schema["components"]["schemas"]["Refusal"]["properties"]) == FIELDS
