"""The same key in the same moment, and servers that die between commit and answer."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.db import connection, connections
from django.test import Client

from gear.catalogue import api
from gear.catalogue.models import GearType
from studio.once.models import KeptAnswer
from studio.people.models import Person
from tests.builders import a_person
from tests.race.server import at_once, client_of, gunicorn
from tests.studio.once.test_repeat_a_request import ADDRESS, BODY, sent

pytestmark = pytest.mark.django_db(transaction=True)


def a_client(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def test_a_key_that_is_being_worked_on_is_refused_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    person, inside, go_on = a_person(), threading.Event(), threading.Event()

    def slowly(entry: Any, by: Any) -> GearType:
        made = create(entry, by)
        inside.set()
        assert go_on.wait(30)
        return made

    create = api.create_gear_type
    monkeypatch.setattr(api, "create_gear_type", slowly)
    first: list[int] = []

    def ask() -> None:
        first.append(sent(a_client(person)).status_code)
        connections.close_all()

    thread = threading.Thread(target=ask)
    thread.start()
    assert inside.wait(30)
    answer = sent(a_client(person))
    go_on.set()
    thread.join(30)
    assert (answer.status_code, answer.json()["code"]) == (409, "in-progress")
    assert first == [201]
    assert sent(a_client(person)).status_code == 201
    assert GearType.objects.count() == 1


def test_of_many_at_once_one_is_done_and_the_others_wait_or_hear_the_same() -> None:
    person = a_person()
    clients = [a_client(person) for _ in range(12)]
    answers = at_once([lambda client=client: sent(client) for client in clients])
    said = Counter((a.status_code, a.json().get("code", "done")) for a in answers)
    assert set(said) <= {(201, "done"), (409, "in-progress")}
    assert said[201, "done"] >= 1
    assert GearType.objects.count() == 1
    assert KeptAnswer.objects.count() == 1


@pytest.mark.race
def test_a_line_cut_before_the_answer_and_the_same_again_makes_one() -> None:
    person = a_person()
    body = json.dumps(BODY).encode()
    with gunicorn(workers=2, threads=4) as address:
        client = client_of(person, address)
        where = urlsplit(address)
        cookies = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
        head = (
            f"POST {ADDRESS} HTTP/1.1\r\nHost: {where.netloc}\r\nCookie: {cookies}\r\n"
            f"X-CSRFToken: {client.headers['X-CSRFToken']}\r\nContent-Type: application/json\r\n"
            f"Idempotency-Key: cut\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        with socket.create_connection((where.hostname, where.port)) as line:
            line.sendall(head.encode() + body)
        _until(KeptAnswer.objects.exists)
        again = client.post(ADDRESS, json=BODY, headers={"Idempotency-Key": "cut"})
    assert again.status_code == 201
    assert again.headers["Idempotency-Replayed"] == "true"
    assert GearType.objects.count() == 1


def test_a_server_killed_between_commit_and_answer_has_kept_the_answer() -> None:
    person = a_person()
    asked = {"person": person.pk, "path": ADDRESS, "body": BODY, "key": "killed"}
    ended = subprocess.run(
        [sys.executable, "-m", "tests.studio.once.dying"],
        input=json.dumps(asked),
        text=True,
        cwd=Path(__file__).resolve().parents[3],
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.race.server_settings",
            "RACE_SETTINGS": settings.SETTINGS_MODULE or os.environ["DJANGO_SETTINGS_MODULE"],
            "RACE_DATABASE": connection.settings_dict["NAME"],
        },
        timeout=120,
    )
    assert ended.returncode == -signal.SIGKILL
    again = sent(a_client(person), "killed")
    assert (again.status_code, again["Idempotency-Replayed"]) == (201, "true")
    assert again.json()["slug"] == BODY["slug"]
    assert GearType.objects.count() == 1


def _until(happened: Callable[[], bool]) -> None:
    until = time.monotonic() + 30
    while not happened():
        assert time.monotonic() < until, "it did not happen within half a minute"
        time.sleep(0.05)
