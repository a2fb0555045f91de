"""The manager sees what waits and what failed; a watchdog reads the same at /healthz."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from studio.outbox.models import Message
from studio.outbox.services import deliver

pytestmark = pytest.mark.django_db


def waiting_since(minutes: int, topic: str = "nobody knows") -> Message:
    when = timezone.now() - timedelta(minutes=minutes)
    return Message.objects.create(topic=topic, body={}, made_at=when, due_at=when)


def test_it_says_when_nothing_waits(signed_in: Callable[..., Client]) -> None:
    assert "Nothing waits." in signed_in().get("/work").content.decode()


def test_it_says_how_long_the_oldest_waits_and_what_to_look_at(signed_in: Callable[..., Client]) -> None:
    waiting_since(25)
    waiting_since(3)
    page = signed_in().get("/work").content.decode().replace("\xa0", " ")
    assert "<b>25 minutes</b>" in page
    assert "manage.py tick" in page


def test_what_waits_for_a_moment_is_no_alarm(signed_in: Callable[..., Client]) -> None:
    waiting_since(2)
    assert "That is long" not in signed_in().get("/work").content.decode()


def test_it_lists_what_failed_and_why(signed_in: Callable[..., Client]) -> None:
    deliver(waiting_since(1).pk)
    assert "nobody here does “nobody knows”" in signed_in().get("/work").content.decode()


def test_it_stands_in_the_managers_menu_only(signed_in: Callable[..., Client]) -> None:
    assert 'href="/work"' in signed_in().get("/").content.decode()
    assert 'href="/work"' not in signed_in("photographer").get("/").content.decode()


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_others_do_not_see_it(signed_in: Callable[..., Client], role: str) -> None:
    assert signed_in(role).get("/work").status_code == 403


def test_health_tells_the_age_of_the_oldest() -> None:
    assert Client().get("/healthz").json()["outbox"] == {"waiting": 0, "failed": 0, "oldest_s": 0.0}
    waiting_since(10)
    left = Client().get("/healthz").json()["outbox"]
    assert left["waiting"] == 1
    assert left["oldest_s"] == pytest.approx(600, abs=5)
