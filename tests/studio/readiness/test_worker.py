"""A real worker on a real broker: what a web process commits is computed elsewhere, and no death loses it.

The broker is ``CELERY_BROKER_URL`` when it is set, else a Redis server that the tests start for themselves.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import time
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import httpx
import pytest
from django.db import connection, transaction

from studio.outbox.patience import PATIENCE_S, HandOver
from studio.people.models import Person
from studio.readiness.models import Readiness
from studio.readiness.tasks import sweep
from studio.shoots.models import Shoot
from tests.builders import a_person
from tests.race.server import client_of, gunicorn
from tests.studio.readiness.brokers import (
    QUEUE_SETTINGS,
    a_free_port,
    environment,
    forget_queue,
    own_redis,
    until,
    worker,
)
from tests.studio.readiness.plans import a_checked_shoot, is_stale, names_of_gaps

pytestmark = [pytest.mark.broker, pytest.mark.django_db(transaction=True)]

SLACK_S = 3.0
"""For a shared machine: what a request takes at most when nothing keeps it waiting."""


@pytest.fixture(scope="module")
def broker() -> Iterator[str]:
    named = os.environ.get("CELERY_BROKER_URL", "")
    if named:
        yield named
    elif shutil.which("redis-server"):
        with own_redis() as address:
            yield address
    else:
        pytest.skip("no broker: CELERY_BROKER_URL is not set, and there is no redis-server on this machine")


@pytest.fixture
def serve_with(
    settings: Any, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[str], Mapping[str, str]]]:
    """``serve_with(broker)`` makes the web process use it, and is what a worker needs to do the same."""
    made: list[Mapping[str, str]] = []

    def serve(broker: str) -> Mapping[str, str]:
        made.append(environment(broker))
        monkeypatch.setenv("CELERY_BROKER_URL", broker)
        monkeypatch.setenv("WORKER_QUEUE", made[-1]["WORKER_QUEUE"])
        settings.SETTINGS_MODULE = QUEUE_SETTINGS
        return made[-1]

    yield serve
    for env in made:
        forget_queue(env)


@pytest.fixture
def env(broker: str, serve_with: Callable[[str], Mapping[str, str]]) -> Mapping[str, str]:
    return serve_with(broker)


@pytest.fixture
def nowhere(broker: str) -> str:
    """An address of the same kind of broker where nobody listens."""
    return f"{broker.partition(':')[0]}://127.0.0.1:{a_free_port()}//"


@pytest.fixture
def manager() -> Person:
    return a_person(username="runa")


@pytest.fixture
def shoot(manager: Person) -> Shoot:
    """Confirmed and computed, with K-01 on its key."""
    shoot = a_checked_shoot(by=manager)
    assert not is_stale(shoot)
    return shoot


@contextlib.contextmanager
def web(person: Person) -> Iterator[httpx.Client]:
    """The web process, with somebody signed in."""
    with gunicorn(workers=1, threads=4) as address, client_of(person, address) as client:
        yield client


def report(client: httpx.Client, text: str = "fires twice") -> float:
    """Report a fault of K-01 through the page; how many seconds the answer took."""
    begun = time.monotonic()
    answer = client.post("/gear/K-01/fault/", data={"text": text})
    assert answer.status_code == 302, answer.text[:500]
    return time.monotonic() - begun


def test_what_the_web_process_commits_is_computed_by_a_worker(
    env: Mapping[str, str], manager: Person, shoot: Shoot
) -> None:
    with web(manager) as client:
        report(client)
    assert is_stale(shoot), "nobody but a worker should have computed it"
    with worker(env):
        until(lambda: not is_stale(shoot), 60, "the worker computed what was committed before it came")
    assert "unit-state K-01" in names_of_gaps(shoot)


def test_a_worker_that_is_killed_in_the_middle_loses_nothing(
    env: Mapping[str, str], broker: str, manager: Person, shoot: Shoot
) -> None:
    """RabbitMQ gives the task to the next worker at once; Redis much later, so there the sweep is what repairs."""
    with web(manager) as client, worker(env) as first, transaction.atomic():
        list(Readiness.objects.select_for_update().filter(shoot_recipe__shoot=shoot))
        report(client)
        until(_somebody_waits_for_the_row, 60, "the worker is in the middle of it")
        first.kill()
    assert is_stale(shoot)
    if broker.startswith("amqp"):
        with worker(env):
            until(lambda: not is_stale(shoot), 60, "the task was delivered again")
    else:
        assert sweep() == 1
    assert not is_stale(shoot)


def _somebody_waits_for_the_row() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_stat_clear_snapshot()")
        cursor.execute(
            """SELECT count(*) FROM pg_stat_activity
               WHERE datname = current_database() AND wait_event_type = 'Lock' AND query LIKE '%readiness_readiness%'"""
        )
        return int(cursor.fetchone()[0]) > 0


def test_a_broker_that_is_down_keeps_no_request_waiting(
    nowhere: str, manager: Person, shoot: Shoot, serve_with: Any
) -> None:
    serve_with(nowhere)
    with web(manager) as client:
        seconds = report(client)
    assert seconds < PATIENCE_S + SLACK_S
    assert is_stale(shoot)


def test_a_broker_that_never_answers_keeps_a_request_waiting_once_and_for_a_second(
    broker: str, manager: Person, shoot: Shoot, serve_with: Any
) -> None:
    scheme = broker.partition(":")[0]
    with socket.create_server(("127.0.0.1", 0)) as mute:
        serve_with(f"{scheme}://127.0.0.1:{mute.getsockname()[1]}//")
        with web(manager) as client:
            first, second = report(client), report(client, "smells, too")
    assert first < PATIENCE_S + SLACK_S
    assert second < SLACK_S


def test_what_no_broker_took_is_repaired_by_the_sweep(
    nowhere: str, manager: Person, shoot: Shoot, serve_with: Any
) -> None:
    serve_with(nowhere)
    with web(manager) as client:
        report(client)
    assert sweep() == 1
    assert "unit-state K-01" in names_of_gaps(shoot)


def test_handing_over_says_whether_it_was_taken() -> None:
    assert HandOver().send(lambda: None)


def test_handing_over_never_raises() -> None:
    def fail() -> None:
        raise ConnectionRefusedError("nobody there")

    assert not HandOver().send(fail)


def test_handing_over_waits_no_longer_than_its_patience() -> None:
    begun = time.monotonic()
    assert not HandOver(patience_s=0.2).send(lambda: time.sleep(5))
    assert time.monotonic() - begun < 2


def test_after_a_failure_nothing_is_tried_for_a_while() -> None:
    tried: list[int] = []

    def fail() -> None:
        tried.append(1)
        raise ConnectionRefusedError

    handing = HandOver(quiet_s=60)
    for _ in range(3):
        handing.send(fail)
    assert len(tried) == 1


def test_a_broker_that_came_back_is_used_again() -> None:
    def fail() -> Any:
        raise ConnectionRefusedError

    handing = HandOver(quiet_s=0)
    assert [handing.send(fail), handing.send(lambda: None)] == [False, True]
