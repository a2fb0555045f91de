"""A real server, with processes and threads, on the test database; and many clients that ask at the same moment."""

from __future__ import annotations

import contextlib
import os
import socket
import ssl
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

__all__ = ["at_once", "client_of", "gunicorn"]

R = TypeVar("R")
_CSRF = "r" * 32
_TLS = ssl.create_default_context()  # one for all: to make one takes longer than most requests


@contextlib.contextmanager
def gunicorn(
    *, workers: int = 2, threads: int = 16, log: Path | None = None, alone: bool = False
) -> Iterator[str]:
    """The address of a gunicorn with this many processes and threads; it is gone afterwards. ``log`` gets what it says.

    ``alone``: what follows from a change is left to a worker that never comes, so that the race is one of bookings.
    """
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.race.server_settings",
        "RACE_SETTINGS": settings.SETTINGS_MODULE or os.environ["DJANGO_SETTINGS_MODULE"],
        "RACE_ALONE": "1" if alone else "",
        "RACE_DATABASE": connection.settings_dict["NAME"],
    }
    command = [sys.executable, "-m", "gunicorn", "studio.wsgi:application", f"--bind=127.0.0.1:{port}"]
    command += [f"--workers={workers}", f"--threads={threads}", "--log-level=error"]
    root = Path(__file__).resolve().parents[2]
    with contextlib.ExitStack() as ends:
        said = ends.enter_context(log.open("wb")) if log else None
        server = ends.enter_context(subprocess.Popen(command, env=environment, cwd=root, stderr=said))
        try:
            _wait_for(f"http://127.0.0.1:{port}/healthz", server)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            try:
                server.wait(60)
            except subprocess.TimeoutExpired:
                server.kill()


def client_of(person: Person, address: str) -> httpx.Client:
    """An HTTP client that is signed in as this person."""
    browser = Client()
    browser.force_login(person)
    cookies = {"sessionid": browser.cookies["sessionid"].value, "csrftoken": _CSRF}
    return httpx.Client(
        base_url=address, cookies=cookies, headers={"X-CSRFToken": _CSRF}, timeout=120, verify=_TLS
    )


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


def _wait_for(url: str, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + 180
    while time.monotonic() < until:
        if server.poll() is not None:
            raise RuntimeError(f"the server ended with {server.returncode} before it answered")
        with contextlib.suppress(httpx.TransportError):
            if httpx.get(url, timeout=2).status_code == 200:
                return
        time.sleep(0.1)
    raise RuntimeError("the server did not answer within three minutes")
