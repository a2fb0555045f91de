"""A process that is killed between commit and hand-over, and brokers that are away: what was committed is done."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import OperationalError, connection, transaction
from django.utils import timezone

from gear.changes import announce
from studio.outbox import handing
from studio.outbox.handing import HAND_AGAIN
from studio.outbox.models import Message
from studio.outbox.patience import HandOver
from studio.outbox.services import deliver, put
from studio.outbox.tasks import deliver_message, relay
from tests.race.server import at_once
from tests.studio.outbox.helpers import Heard, time_passes
from tests.studio.readiness.plans import a_checked_shoot, is_stale, names_of_gaps

pytestmark = pytest.mark.django_db(transaction=True)


class Broker:
    """Stands for a broker: keeps what it is given, unless it is down."""

    def __init__(self) -> None:
        self.down = False
        self.kept: list[int] = []

    def send_task(self, name: str, arguments: list[int], **more: Any) -> None:
        assert name == deliver_message.name
        if self.down:
            raise OperationalError("[Errno 111] Connection refused")
        self.kept += arguments


@pytest.fixture
def broker(settings: Any, monkeypatch: pytest.MonkeyPatch) -> Broker:
    """With this fixture work goes to workers, through a broker that a test can take down."""
    settings.CELERY_TASK_ALWAYS_EAGER = False
    stand_in = Broker()
    monkeypatch.setattr(handing, "current_app", stand_in)
    monkeypatch.setattr(handing, "_hand_over", HandOver(quiet_s=0))
    return stand_in


def a_worker_works(broker: Broker) -> list[bool]:
    """What a worker makes of all that the broker holds."""
    given, broker.kept = broker.kept, []
    return [deliver_message(pk) for pk in given]


def test_a_process_killed_right_after_its_commit_leaves_the_work_to_the_relay() -> None:
    shoot = a_checked_shoot()
    ended = subprocess.run(
        [sys.executable, "-m", "tests.studio.outbox.dying"],
        cwd=Path(__file__).resolve().parents[3],
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.race.server_settings",
            "RACE_SETTINGS": "studio.settings",
            "RACE_DATABASE": connection.settings_dict["NAME"],
        },
        timeout=120,
    )
    assert ended.returncode == -signal.SIGKILL
    assert is_stale(shoot), "it was killed before it could do anything"
    time_passes(timedelta(seconds=6))
    call_command("relay", "--once")
    assert not is_stale(shoot)
    assert "unit-state K-01" in names_of_gaps(shoot)


def test_the_tick_of_a_machine_without_a_broker_sees_to_what_was_left(heard: Heard) -> None:
    now = timezone.now() - timedelta(minutes=1)
    Message.objects.create(topic="note", body="left", made_at=now, due_at=now)
    call_command("tick", "--once")
    assert heard.bodies == ["left"]


def test_a_message_goes_to_the_broker_right_after_the_commit(broker: Broker, heard: Heard) -> None:
    put("note", "x")
    assert heard.bodies == []
    assert a_worker_works(broker) == [True]
    assert heard.bodies == ["x"]
    assert relay() == 0


def test_a_broker_that_is_away_lets_the_row_wait_and_gets_it_when_it_is_back(
    broker: Broker, heard: Heard
) -> None:
    broker.down = True
    put("note", "x")
    assert relay() == 0
    assert Message.objects.get().handed_at is None
    broker.down = False
    assert relay() == 1
    assert a_worker_works(broker) == [True]
    assert heard.bodies == ["x"]


def test_a_broker_that_fails_in_the_middle_of_a_round_gets_the_rest_later(
    broker: Broker, heard: Heard, monkeypatch: pytest.MonkeyPatch
) -> None:
    broker.down = True
    for number in range(5):
        put("note", number)
    broker.down = False
    real = broker.send_task

    def send_two(name: str, arguments: list[int], **more: Any) -> None:
        broker.down = len(broker.kept) == 2
        real(name, arguments, **more)

    with monkeypatch.context() as failing:
        failing.setattr(broker, "send_task", send_two)
        assert relay() == 2
    broker.down = False
    assert relay() == 3
    a_worker_works(broker)
    assert sorted(heard.bodies) == [0, 1, 2, 3, 4]


def test_what_a_broker_lost_is_handed_over_again(broker: Broker, heard: Heard) -> None:
    put("note", "x")
    broker.kept.clear()
    time_passes(HAND_AGAIN - timedelta(seconds=30))
    assert relay() == 0, "a worker may still be about to take it"
    time_passes(timedelta(minutes=1))
    assert relay() == 1
    a_worker_works(broker)
    assert heard.bodies == ["x"]


def test_what_a_broker_delivers_twice_is_done_once(broker: Broker, heard: Heard) -> None:
    put("note", "x")
    broker.kept *= 2
    assert a_worker_works(broker) == [True, False]
    assert heard.bodies == ["x"]


def test_two_relays_at_once_hand_each_message_over_once(broker: Broker, heard: Heard) -> None:
    broker.down = True
    made = [put("note", number) for number in range(30)]
    broker.down = False
    time_passes(timedelta(minutes=1))
    assert sum(at_once([relay, relay, relay])) == 30
    assert sorted(broker.kept) == sorted(made)


def test_a_worker_that_is_quick_finds_the_row_free(
    broker: Broker, heard: Heard, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The broker gives it to a worker, which does it, before the relay has even heard that it was taken."""

    def at_once_done(name: str, arguments: list[int], **more: Any) -> None:
        assert deliver(arguments[0])

    monkeypatch.setattr(broker, "send_task", at_once_done)
    put("note", "x")
    assert heard.bodies == ["x"]
    Message.objects.update(done_at=None, due_at=timezone.now())
    assert relay() == 1
    assert heard.bodies == ["x", "x"]


def test_several_changes_of_one_transaction_go_to_the_broker_once(broker: Broker, heard: Heard) -> None:
    with transaction.atomic():
        announce("unit", [1])
        announce("unit", [2])
    assert len(broker.kept) == 1
