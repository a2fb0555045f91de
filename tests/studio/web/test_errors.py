"""An error page says in plain words what happened and what to do, and shows even when the database does not answer."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.db import connection
from django.http import Http404, HttpRequest
from django.middleware.csrf import REASON_NO_CSRF_COOKIE
from django.test import Client, RequestFactory
from django.views import defaults
from django.views.csrf import csrf_failure

SignIn = Callable[[str], Client]


def test_an_unknown_address_says_so(signed_in: SignIn) -> None:
    answer = signed_in("assistant").get("/no-such-page")
    assert answer.status_code == 404
    assert "There is nothing at this address" in answer.content.decode()


def test_a_refused_page_says_why(signed_in: SignIn) -> None:
    request = RequestFactory().get("/gear/new")
    request.user = signed_in("assistant").person  # type: ignore[attr-defined]
    answer = defaults.permission_denied(request, PermissionDenied("As assistant you may not change gear."))
    assert answer.status_code == 403
    assert "As assistant you may not change gear." in answer.content.decode()


def _without_database(view: Callable[[HttpRequest], object]) -> str:
    def refuse(*args: object) -> None:
        raise AssertionError("asked the database")

    with connection.execute_wrapper(refuse):
        return view(RequestFactory().get("/")).content.decode()  # type: ignore[attr-defined]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("view", "words"),
    [
        (defaults.server_error, "check before you enter it again"),
        (lambda request: defaults.bad_request(request, SuspiciousOperation()), "Nothing was changed"),
        (lambda request: csrf_failure(request, REASON_NO_CSRF_COOKIE), "Nothing was saved"),
    ],
    ids=["500", "400", "form expired"],
)
def test_it_shows_without_the_database(view: Callable[[HttpRequest], object], words: str) -> None:
    assert words in _without_database(view)


@pytest.mark.django_db
def test_a_visitor_at_an_unknown_address_gets_the_page_too() -> None:
    request = RequestFactory().get("/x")
    assert "There is nothing at this address" in defaults.page_not_found(request, Http404()).content.decode()


@pytest.mark.django_db
def test_a_body_that_is_too_large_is_refused_before_it_is_read(signed_in: SignIn) -> None:
    client = signed_in("manager")
    answer = client.post(
        "/api/recipes/", b"{}", content_type="application/json", headers={"Content-Length": str(11 * 2**20)}
    )
    assert answer.status_code == 413
    assert answer.json()["sentence"] == "This is more than 10 MB at once; send it in smaller parts."
