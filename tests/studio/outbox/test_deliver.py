"""The work of a message is done, once where the database can see it, and tried again where it failed."""

from __future__ import annotations

import threading
from datetime import timedelta
from typing import Any

import pytest
from django.db import connections, transaction
from django.utils import timezone

from gear.catalogue.models import GearType
from studio.outbox import consumers
from studio.outbox.models import Message
from studio.outbox.services import deliver, forget_done, put
from studio.outbox.tasks import relay
from tests.builders import a_gear_type
from tests.race.server import at_once
from tests.studio.outbox.helpers import Heard, time_passes

pytestmark = pytest.mark.django_db(transaction=True)


def left_behind(body: Any = "x", topic: str = "note") -> Message:
    """A message whose process died right after the commit, a while ago."""
    now = timezone.now() - timedelta(minutes=1)
    return Message.objects.create(topic=topic, body=body, made_at=now, due_at=now)


def test_what_is_done_is_not_done_again(heard: Heard) -> None:
    message = left_behind()
    assert [deliver(message.pk), deliver(message.pk)] == [True, False]
    assert heard.bodies == ["x"]


def test_a_failure_stays_in_the_row_and_waits(heard: Heard) -> None:
    heard.trouble = RuntimeError("the post office is closed")
    message = left_behind()
    assert not deliver(message.pk)
    message.refresh_from_db()
    assert (message.failures, message.last_failure) == (1, "RuntimeError: the post office is closed")
    assert message.done_at is None
    assert message.due_at > timezone.now()
    assert relay() == 0


def test_a_failure_is_tried_again_ever_more_rarely_but_for_ever(heard: Heard) -> None:
    heard.trouble = RuntimeError()
    message, waits = left_behind(), []
    for _ in range(12):
        before = timezone.now()
        deliver(message.pk)
        message.refresh_from_db()
        waits.append((message.due_at - before).total_seconds())
    assert waits[0] == pytest.approx(10, abs=1)
    assert waits[1] == pytest.approx(20, abs=1)
    assert waits[-1] == pytest.approx(600, abs=1)
    heard.trouble = None
    time_passes(timedelta(minutes=11))
    assert relay() == 1
    assert heard.bodies == ["x"]


def test_nothing_stays_of_work_that_failed(monkeypatch: pytest.MonkeyPatch) -> None:
    def half(body: Any, message: Message) -> None:
        a_gear_type(slug="half-done")
        raise RuntimeError

    monkeypatch.setattr(consumers, "_consumers", {"note": half})
    deliver(left_behind().pk)
    assert not GearType.objects.exists()


def test_one_that_fails_keeps_no_other_from_being_done(heard: Heard) -> None:
    left_behind(topic="nobody knows")
    left_behind("y")
    assert relay() == 1
    assert heard.bodies == ["y"]


def test_a_topic_that_nobody_does_is_said(heard: Heard) -> None:
    message = left_behind(topic="later-version")
    deliver(message.pk)
    message.refresh_from_db()
    assert "nobody here does “later-version”" in message.last_failure


def test_a_message_in_somebodys_hands_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    inside, go_on, done = threading.Event(), threading.Event(), []

    def slowly(body: Any, message: Message) -> None:
        inside.set()
        assert go_on.wait(30)
        done.append(body)

    monkeypatch.setattr(consumers, "_consumers", {"note": slowly})
    message = left_behind()

    def work() -> None:
        deliver(message.pk)
        connections.close_all()

    thread = threading.Thread(target=work)
    thread.start()
    assert inside.wait(30)
    assert not deliver(message.pk)
    go_on.set()
    thread.join(30)
    assert done == ["x"]


def test_of_many_relays_at_once_each_message_is_done_by_one(heard: Heard) -> None:
    for number in range(40):
        left_behind(number)
    assert sum(at_once([relay for _ in range(4)])) == 40
    assert sorted(heard.bodies) == list(range(40))


def test_work_may_write_down_more_work(monkeypatch: pytest.MonkeyPatch, heard: Heard) -> None:
    def two(body: Any, message: Message) -> None:
        put("note", 1)
        put("note", 2)

    monkeypatch.setitem(consumers._consumers, "changes", two)
    with transaction.atomic():
        put("changes", {})
    assert heard.bodies == [1, 2]
    assert not Message.objects.filter(done_at=None).exists()


def test_what_was_done_long_ago_is_removed_and_nothing_else(heard: Heard) -> None:
    deliver(left_behind("old").pk)
    left_behind("never done", topic="nobody knows")
    time_passes(timedelta(days=8))
    deliver(left_behind("new").pk)
    assert forget_done() == 1
    assert sorted(Message.objects.values_list("body", flat=True)) == ["never done", "new"]
