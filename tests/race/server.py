"""A real server, with processes and threads, on the test database; and many clients that ask at the same moment."""

from __future__ import annotations

import contextlib
import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TypeVar

import httpx
from django.conf import settings
from django.db import connection, connections
from django.test import Client

from studio.people.models import Person

__all__ = ["at_once", "client_of", "gunicorn", "overlaps"]

R = TypeVar("R")
_CSRF = "r" * 32


@contextlib.contextmanager
def gunicorn(*, workers: int = 2, threads: int = 16) -> Iterator[str]:
    """The address of a gunicorn with this many processes and threads; it is gone afterwards."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.race.server_settings",
        "RACE_SETTINGS": settings.SETTINGS_MODULE or os.environ["DJANGO_SETTINGS_MODULE"],
        "RACE_DATABASE": connection.settings_dict["NAME"],
    }
    command = [sys.executable, "-m", "gunicorn", "studio.wsgi:application", f"--bind=127.0.0.1:{port}"]
    command += [f"--workers={workers}", f"--threads={threads}", "--log-level=error"]
    root = Path(__file__).resolve().parents[2]
    with subprocess.Popen(command, env=environment, cwd=root) as server:
        try:
            _wait_for(f"http://127.0.0.1:{port}/healthz", server)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(20)


def client_of(person: Person, address: str) -> httpx.Client:
    """An HTTP client that is signed in as this person."""
    browser = Client()
    browser.force_login(person)
    cookies = {"sessionid": browser.cookies["sessionid"].value, "csrftoken": _CSRF}
    return httpx.Client(base_url=address, cookies=cookies, headers={"X-CSRFToken": _CSRF}, timeout=60)


def at_once(acts: Sequence[Callable[[], R]]) -> list[R]:
    """Run every act in a thread of its own, all let go at the same moment; their answers in order."""
    gate = threading.Barrier(len(acts))

    def run(act: Callable[[], R]) -> R:
        gate.wait(30)
        try:
            return act()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def overlaps() -> int:
    """How many pairs of active promises of one unit overlap: the table joined with itself."""
    with connection.cursor() as cursor:
        cursor.execute(
            """SELECT count(*) FROM booking_allocation a JOIN booking_allocation b
               ON a.unit_id = b.unit_id AND a.id < b.id AND a.active AND b.active AND a.blocked && b.blocked"""
        )
        return int(cursor.fetchone()[0])


def _wait_for(url: str, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        if server.poll() is not None:
            raise RuntimeError(f"the server ended with {server.returncode} before it answered")
        with contextlib.suppress(httpx.TransportError):
            if httpx.get(url, timeout=2).status_code == 200:
                return
        time.sleep(0.1)
    raise RuntimeError("the server did not answer within a minute")
