"""`up`: what runs when the studio's service is up on this machine, and in which order does it come up?"""

from __future__ import annotations

import argparse
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from .data_folder import project_folder
from .ports import address_of, listen_on, refuse_taken_port, sign_for
from .progress import say
from .sentences import CannotStart
from .supervisor import Program, supervise

__all__ = ["Wanted", "parse", "refuse_taken_port", "serve"]

THREADS = 4
MOST_WORKERS = 8


@dataclass(frozen=True)
class Wanted:
    """What the command line of `up` asks for."""

    host: str
    port: int
    with_demo: bool


def parse(arguments: Sequence[str]) -> Wanted:
    """Read the command line of `up`."""
    parser = argparse.ArgumentParser(
        prog="manage.py up", description="Start the studio's service on this machine."
    )
    parser.add_argument("--port", type=_port, default=8000, help="default: 8000")
    parser.add_argument("--host", default="127.0.0.1", help="default: 127.0.0.1, this machine only")
    parser.add_argument("--no-demo", action="store_true", help="start without the demo studio")
    read = parser.parse_args(arguments)
    return Wanted(read.host, read.port, not read.no_demo)


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port: a whole number from 1 to 65535")
    return int(text)


def serve(wanted: Wanted) -> int:
    """Database, schema, demo, web server and the periodic sweep; until Ctrl-C or SIGTERM. Returns the exit code."""
    asked_to_stop: list[int] = []

    def stop(number: int, _frame: object) -> None:
        if asked_to_stop:
            # The second Ctrl-C is for those who do not want to wait.
            raise KeyboardInterrupt
        asked_to_stop.append(number)

    # Held from here on, so that nobody else gets the port during the steps below.
    with listen_on(wanted.host, wanted.port) as bound:
        sign_for(wanted.port)
        keep_database = _start_database()
        _prepare(wanted)
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, stop)
        programs = [_web_server(bound.fileno())]
        if os.environ.get("CELERY_BROKER_URL"):
            say(
                "Background work goes to the broker; a worker does it: .venv/bin/python -m celery -A studio worker -B"
            )
        else:
            sweep = [sys.executable, str(project_folder() / "manage.py"), "tick"]
            programs.append(Program("The periodic sweep", sweep, _environment()))
        sys.stdout.write(f"\nFullstop is at {address_of(wanted.host, wanted.port)}   (Ctrl-C stops it)\n")
        sys.stdout.flush()
        code = supervise(programs, keep_database, lambda: bool(asked_to_stop))
    if asked_to_stop:
        say("Stopped.")
    return code


def _start_database() -> Callable[[], None]:
    if os.environ.get("DATABASE_URL"):
        return lambda: None
    from .postgres import ensure_server

    say("Starting the database server ...")
    ensure_server()

    def keep() -> None:
        try:
            ensure_server()
        except CannotStart as trouble:
            say(str(trouble))

    return keep


def _prepare(wanted: Wanted) -> None:
    prepared = subprocess.run(
        [sys.executable, "-m", "studio.environment.prepare", *([] if wanted.with_demo else ["--no-demo"])],
        cwd=project_folder(),
        env=_environment(),
        stdin=subprocess.DEVNULL,
    )
    if prepared.returncode:
        raise CannotStart(
            "The database could not be prepared, for the reason above. Nothing is left half-applied."
        )


def _web_server(descriptor: int) -> Program:
    workers = min(
        MOST_WORKERS, max(2, len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 2)
    )
    # The workers' heartbeat file must not sit on a slow disk.
    heartbeat = ["--worker-tmp-dir", "/dev/shm"] if os.access("/dev/shm", os.W_OK) else []
    options = ["--workers", str(workers), "--threads", str(THREADS), "--timeout", "60"]
    options += ["--graceful-timeout", "10", "--bind", f"fd://{descriptor}", "--chdir", str(project_folder())]
    # Loaded once, before the workers part: on a small machine that is half of the start.
    options += ["--preload", "--no-control-socket", "--log-level", "warning", *heartbeat]
    return Program(
        "The web server",
        [sys.executable, "-m", "gunicorn", "studio.wsgi:application", *options],
        _environment(),
        pass_fds=[descriptor],
        is_vital=True,
    )


def _environment() -> dict[str, str]:
    return dict(os.environ) | {"PYTHONUNBUFFERED": "1", "DJANGO_SETTINGS_MODULE": "studio.settings"}
