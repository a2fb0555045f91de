"""Processes that use an embedded server of their own, as `manage.py` commands do."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from studio.environment.data_folder import project_folder
from studio.environment.processes import living_in

_CLIENT = """
import sys
import psycopg
from studio.environment.postgres import ensure_server
address = ensure_server()
with psycopg.connect(address.url, autocommit=True) as connection:
    for statement in sys.argv[1:]:
        cursor = connection.execute(statement)
        print(cursor.fetchall() if cursor.description else "done", flush=True)
    print("ready", flush=True)
    sys.stdin.read()
"""


def environment(data: Path, kind: str = "server") -> dict[str, str]:
    """The environment of a command whose data folder is `data`, as in a shell where no test is running."""
    inherited = {
        key: value for key, value in os.environ.items() if not key.startswith(("PYTEST", "FULLSTOP"))
    }
    inherited.pop("DATABASE_URL", None)
    return inherited | {
        "FULLSTOP_DATA": str(data),
        "FULLSTOP_SERVER": kind,
        "FULLSTOP_NO_VENV": "1",
        "PYTHONPATH": str(project_folder()),
    }


def client(data: Path, *statements: str, kind: str = "server") -> subprocess.Popen[str]:
    """Start a process that starts or joins the server, executes the statements, and stays until its input ends."""
    return subprocess.Popen(
        [sys.executable, "-c", _CLIENT, *statements],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(data, kind),
    )


def ask(data: Path, *statements: str, kind: str = "server") -> list[str]:
    """What the statements answered, from a process that came, asked and went."""
    said, complaint = client(data, *statements, kind=kind).communicate(timeout=60)
    assert said.endswith("ready\n"), complaint
    return said.splitlines()[:-1]


def first_answer(user: subprocess.Popen[str]) -> str:
    """The first line that a client says; fails with its complaint when it says none."""
    assert user.stdout
    line = user.stdout.readline()
    assert line, user.communicate()[1]
    return line


def wait_for_end(data: Path) -> None:
    """Wait until the keeper has stopped the server."""
    assert becomes_true(lambda: not living_in(cluster(data)), within_s=10)


def cluster(data: Path, kind: str = "server") -> Path:
    """The PostgreSQL data folder."""
    return data / kind / "cluster"


def postmaster(data: Path) -> int:
    """The server's main process: the first of those that work in its folder."""
    return living_in(cluster(data))[0]


def keeper(data: Path) -> int:
    """The process that keeps the server: the server's parent."""
    status = Path(f"/proc/{postmaster(data)}/status").read_text()
    return int(next(line.split()[1] for line in status.splitlines() if line.startswith("PPid:")))


def becomes_true(condition: Callable[[], bool], within_s: float) -> bool:
    """Look again and again until it is so, or the time is over."""
    give_up_at = time.monotonic() + within_s
    while not condition():
        if time.monotonic() > give_up_at:
            return False
        time.sleep(0.05)
    return True
