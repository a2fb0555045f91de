"""Real brokers and real workers for the tests, and waiting for what must come true."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from django.conf import settings
from django.db import connection
from kombu import Connection

__all__ = [
    "QUEUE_SETTINGS",
    "Worker",
    "a_free_port",
    "environment",
    "forget_queue",
    "own_redis",
    "until",
    "worker",
]

ROOT = Path(settings.BASE_DIR)
QUEUE_SETTINGS = "tests.studio.readiness.queue_settings"


def a_free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


def until(true: Callable[[], bool], seconds: float, what: str) -> float:
    """Wait until it is true, and say after how many seconds it was; fails with ``what`` when it never is."""
    begun = time.monotonic()
    while time.monotonic() - begun < seconds:
        if true():
            return time.monotonic() - begun
        time.sleep(0.05)
    raise AssertionError(f"after {seconds:.0f} s still not: {what}")


@contextlib.contextmanager
def own_redis() -> Iterator[str]:
    """The address of a Redis server of our own, in an empty folder, on a free port."""
    binary = shutil.which("redis-server")
    assert binary
    port = a_free_port()
    with tempfile.TemporaryDirectory() as folder:
        command = [binary, "--port", str(port), "--bind", "127.0.0.1", "--dir", folder]
        command += ["--save", "", "--appendonly", "no"]
        with subprocess.Popen(command, stdout=subprocess.DEVNULL) as server:
            try:
                until(lambda: _listens(port), 20, "redis-server listens")
                yield f"redis://127.0.0.1:{port}/0"
            finally:
                server.terminate()
                server.wait(20)


def environment(broker: str) -> Mapping[str, str]:
    """What a process needs to work on the test database with this broker, on a queue that nobody else reads."""
    return {
        "CELERY_BROKER_URL": broker,
        "DJANGO_SETTINGS_MODULE": "tests.race.server_settings",
        "RACE_SETTINGS": QUEUE_SETTINGS,
        "RACE_DATABASE": connection.settings_dict["NAME"],
        "WORKER_QUEUE": f"fullstop-test-{uuid.uuid4().hex[:8]}",
    }


def forget_queue(env: Mapping[str, str]) -> None:
    """Remove the queue from the broker, if it can be reached."""
    with contextlib.suppress(Exception), Connection(env["CELERY_BROKER_URL"], connect_timeout=2) as to:
        to.channel().queue_delete(env["WORKER_QUEUE"])


class Worker:
    """A worker process with one child that does the work."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self.process = process

    def kill(self) -> None:
        """Kill it as a machine does that loses its power: all of it, at once."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(20)


@contextlib.contextmanager
def worker(env: Mapping[str, str]) -> Iterator[Worker]:
    """A worker in a process group of its own; gone afterwards."""
    command = [sys.executable, "-m", "celery", "-A", "studio", "worker", "-c", "1", "--loglevel", "WARNING"]
    command += ["--without-gossip", "--without-mingle", "--hostname", f"{uuid.uuid4().hex[:6]}@%h"]
    process = subprocess.Popen(command, env={**os.environ, **env}, cwd=ROOT, start_new_session=True)
    running = Worker(process)
    try:
        yield running
    finally:
        if process.poll() is None:
            process.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(10)
        running.kill()


def _listens(port: int) -> bool:
    with socket.socket() as visitor:
        return visitor.connect_ex(("127.0.0.1", port)) == 0
