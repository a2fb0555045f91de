"""The service on several machines, as processes: a database, a broker, two web servers, two workers and a relay.

Each can be killed as a machine dies that loses its power, and is started again. The database is an embedded server of
its own that writes to the disk as in service.
"""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from urllib.parse import quote

from django.conf import settings

from studio.environment.cluster import Cluster
from studio.environment.processes import die_with_parent, living_in
from studio.environment.server_user import binaries_folder, server_user
from tests.studio.readiness.brokers import a_free_port, until

__all__ = ["Machines", "machines"]

_ROOT = Path(settings.BASE_DIR)


class Machines:
    """All of them running, with the means to kill one. To be used from one thread, which starts all processes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.web_ports = (a_free_port(), a_free_port())
        self.broker_port = a_free_port()
        self._cluster = Cluster(_made(folder / "server"), binaries_folder(), server_user(folder))
        self._running: dict[str, subprocess.Popen[bytes]] = {}
        self._log = open(folder / "programs.log", "ab")  # noqa: SIM115 - closed with the machines

    @property
    def database_url(self) -> str:
        """Where the database is; the same before and after it was killed."""
        return f"postgresql://fullstop@/fullstop?host={quote(str(self._sockets))}&port=5432"

    @property
    def mail_folder(self) -> Path:
        """Where the mail is that was sent."""
        return self.folder / "mail"

    @property
    def victims(self) -> tuple[str, ...]:
        """What can be killed."""
        programs = ("a web server", "a worker", "the relay", "the broker", "the database")
        return (
            *programs,
            "a child of a web server",
            "a child of a worker",
            "a process that serves a connection",
        )

    def run(self, *arguments: str, **more: str) -> str:
        """What a program of ours says, run to its end on this database."""
        ran = subprocess.run(
            [sys.executable, *arguments],
            env=self._environment(),
            cwd=_ROOT,
            capture_output=True,
            text=True,
            **more,
        )
        assert ran.returncode == 0, ran.stderr[-3000:]
        return ran.stdout

    def start_database(self) -> None:
        """Make the database if it is new, and start it."""
        self._cluster.make()
        self._server, self._sockets = self._cluster.start()

    def mend(self) -> list[str]:
        """Start again whatever is not running; its names."""
        ended = []
        if self._server.poll() is not None:
            self.start_database()
            ended.append("database")
        for name, command in self._commands().items():
            process = self._running.get(name)
            if process is None or process.poll() is not None:
                self._running[name] = subprocess.Popen(
                    command,
                    env=self._environment(),
                    cwd=_ROOT,
                    stdout=self._log,
                    stderr=self._log,
                    start_new_session=True,
                    preexec_fn=lambda: die_with_parent(signal.SIGKILL),
                )
                ended.append(name)
        return ended

    def kill(self, victim: str, chance: random.Random) -> None:
        """Kill it with SIGKILL: a program with all its processes, or one process of many."""
        if victim == "the database":
            for pid in living_in(self._cluster.data):
                _kill(pid)
            self._server.wait(20)
        elif victim == "a process that serves a connection":
            serving = [pid for pid in living_in(self._cluster.data) if _serves(pid)]
            if serving:
                _kill(chance.choice(serving))
        elif victim.startswith("a child of"):
            children = [pid for name in self._called(victim) for pid in _children(self._running[name].pid)]
            if children:
                _kill(chance.choice(children))
        else:
            process = self._running[chance.choice(self._called(victim))]
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait(20)

    def _called(self, victim: str) -> list[str]:
        return [name for name in self._running if f" {name.split()[0]}" in victim]

    def wait_for_web(self) -> None:
        """Until both web servers listen."""
        for port in self.web_ports:
            until(lambda port=port: _listens(port), 90, f"a web server listens on {port}")

    def stop(self) -> None:
        """End everything."""
        for process in self._running.values():
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait(20)
        self._cluster.stop(self._server)
        self._log.close()

    def _commands(self) -> dict[str, Sequence[str]]:
        python = [sys.executable, "-m"]
        web = [
            *python,
            "gunicorn",
            "studio.wsgi:application",
            "--workers=1",
            "--threads=4",
            "--log-level=error",
        ]
        work = [*python, "celery", "-A", "studio", "worker", "--loglevel=ERROR"]
        work += ["--without-gossip", "--without-mingle"]
        redis = ["redis-server", "--port", str(self.broker_port), "--bind", "127.0.0.1", "--save", ""]
        return {
            "broker": [*redis, "--appendonly", "no", "--dir", str(self.folder)],
            **{
                f"web {port}": [*web, "--no-control-socket", f"--bind=127.0.0.1:{port}"]
                for port in self.web_ports
            },
            "worker 1": [*work, "--concurrency=1", "--hostname=one@%h"],
            "worker 2": [*work, "--concurrency=1", "--hostname=two@%h"],
            "relay": [*python, "django", "relay", "--every=0.5"],
        }

    def _environment(self) -> Mapping[str, str]:
        clean = {
            name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "FULLSTOP"))
        }
        return clean | {
            "DATABASE_URL": self.database_url,
            "CELERY_BROKER_URL": f"redis://127.0.0.1:{self.broker_port}/0",
            "DJANGO_SETTINGS_MODULE": "studio.settings",
            "FULLSTOP_DATA": str(self.folder),
            "FULLSTOP_NO_VENV": "1",
        }


@contextlib.contextmanager
def machines() -> Iterator[Machines]:
    """All of them, with an empty database that is up to date; gone afterwards."""
    # Not one of pytest's folders: the database's account must be able to reach it when root runs the tests.
    folder = Path(tempfile.mkdtemp(prefix="fullstop-kills-"))
    folder.chmod(0o711)
    try:
        them = Machines(folder)
        them.start_database()
        try:
            them.run("-m", "studio.environment.prepare", "--no-demo")
            yield them
        finally:
            them.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _made(folder: Path) -> Path:
    folder.mkdir(mode=0o711)
    return folder


def _kill(pid: int) -> None:
    with contextlib.suppress(ProcessLookupError):
        os.kill(pid, signal.SIGKILL)


def _children(pid: int) -> list[int]:
    try:
        tasks = list(Path(f"/proc/{pid}/task").iterdir())
        return [int(child) for task in tasks for child in (task / "children").read_text().split()]
    except (FileNotFoundError, ProcessLookupError):
        return []


def _serves(pid: int) -> bool:
    try:
        title = Path(f"/proc/{pid}/cmdline").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False
    return title.startswith("postgres: fullstop")


def _listens(port: int) -> bool:
    with socket.socket() as visitor:
        return visitor.connect_ex(("127.0.0.1", port)) == 0
