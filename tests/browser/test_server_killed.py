"""The web server is killed while a phone sends: what it had taken it has, the rest comes again, each act once."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections
from django.test import Client

from gear.booking.services import promise_units
from studio.packing.models import PackingLine
from studio.phones.models import Device, Operation
from tests.builders import a_gear_type, a_person, a_shoot, a_unit
from tests.race.server import _wait_for

pytestmark = [pytest.mark.browser, pytest.mark.django_db]

MANY = 120


class Server:
    """A gunicorn that can be killed and started again at the same address."""

    def __init__(self) -> None:
        with socket.socket() as taken:
            taken.bind(("127.0.0.1", 0))
            self.port = taken.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        environment = {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.race.server_settings",
            "RACE_SETTINGS": settings.SETTINGS_MODULE or os.environ["DJANGO_SETTINGS_MODULE"],
            "RACE_DATABASE": connection.settings_dict["NAME"],
        }
        command = [
            sys.executable,
            "-m",
            "gunicorn",
            "studio.wsgi:application",
            f"--bind=127.0.0.1:{self.port}",
        ]
        command += ["--workers=1", "--threads=4", "--log-level=error"]
        root = Path(__file__).resolve().parents[2]
        self.process = subprocess.Popen(command, env=environment, cwd=root, start_new_session=True)
        _wait_for(f"{self.url}/healthz", self.process)

    def kill(self) -> None:
        if self.process is not None and self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(20)


@pytest.fixture(scope="module")
def killed(django_db_setup: None, django_db_blocker: Any, browser: Any) -> Iterator[SimpleNamespace]:
    """A phone sends many acts; the server is killed when it has taken some, and started again."""
    server, notes = Server(), SimpleNamespace()
    with django_db_blocker.unblock():
        try:
            server.start()
            _send_and_kill(server, browser, notes)
            yield notes
        finally:
            for context in browser.contexts:
                context.close()
            server.kill()
            call_command("flush", interactive=False, verbosity=0)
            connections.close_all()


def _send_and_kill(server: Server, browser: Any, notes: SimpleNamespace) -> None:
    kind, person = a_gear_type(), a_person("assistant")
    units = [a_unit(kind, tag=f"M-{number:03d}") for number in range(MANY)]
    shoot = a_shoot(title="Long table")
    promise_units(shoot.booking, [unit.pk for unit in units], a_person("manager"))
    client = Client()
    client.force_login(person)
    context = browser.new_context(is_mobile=True, has_touch=True, viewport={"width": 390, "height": 844})
    context.set_default_timeout(60_000)
    context.add_cookies(
        [{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": server.url}]
    )
    page = context.new_page()
    page.goto(f"{server.url}/phone/#{shoot.pk}")
    page.get_by_text("The server has everything").wait_for()
    page.locator(".packing-line").first.wait_for()
    context.set_offline(True)
    page.evaluate(
        """async ([shoot, tags]) => {
            const {note} = await import("/static/phones/keeping.js");
            for (const mark of tags) await note({shoot, act: "out", mark, listed: true});
        }""",
        [shoot.pk, [unit.tag for unit in units]],
    )
    page.reload()
    page.get_by_text(f"On this phone only: {MANY} not sent").wait_for()
    context.set_offline(False)
    until = time.monotonic() + 60
    while Operation.objects.count() < 5 and time.monotonic() < until:
        time.sleep(0.005)
    server.kill()
    notes.taken = Operation.objects.count()
    notes.out_then = PackingLine.objects.filter(out_at__isnull=False).count()
    page.locator("#sync-words", has_text="On this phone only").wait_for()
    page.get_by_text("No network").wait_for()
    server.start()
    page.locator("#send").tap()
    page.get_by_text("The server has everything").wait_for()
    notes.operations = list(Operation.objects.order_by("number").values_list("number", "state"))
    notes.lines = PackingLine.objects.filter(out_at__isnull=False, out_by=person).count()
    notes.device = Device.objects.get()


def test_it_is_killed_in_the_middle(killed: SimpleNamespace) -> None:
    assert 5 <= killed.taken < MANY


def test_what_was_taken_has_its_effect(killed: SimpleNamespace) -> None:
    assert killed.out_then == killed.taken


def test_started_again_it_has_each_act_once(killed: SimpleNamespace) -> None:
    assert killed.operations == [(number, "done") for number in range(1, MANY + 1)]
    assert (killed.lines, killed.device.done_up_to) == (MANY, MANY)
