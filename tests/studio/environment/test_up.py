"""`up` on an empty data folder: it answers, and leaves nothing running behind."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from studio.environment.data_folder import project_folder
from studio.environment.ports import is_fullstop
from studio.environment.processes import living_in

from .clients import becomes_true, cluster, environment

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")


@pytest.fixture
def port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def up(data: Path, port: int) -> subprocess.Popen[str]:
    command = [sys.executable, str(project_folder() / "manage.py"), "up", "--no-demo", "--port", str(port)]
    return subprocess.Popen(
        command, env=environment(data), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )


def children(pid: int) -> list[int]:
    """The programs that a process has started."""
    return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def is_gone(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] in "ZX"
    except FileNotFoundError:
        return True


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_answers_until_it_ends_and_leaves_nothing_running(data: Path, port: int, end: signal.Signals) -> None:
    service = up(data, port)
    address = f"http://127.0.0.1:{port}/"
    assert becomes_true(lambda: is_fullstop(address) or service.poll() is not None, within_s=120)
    assert service.poll() is None, service.communicate()[0]
    programs = [pid for pid in children(service.pid) if pid not in living_in(cluster(data))]
    assert len(programs) >= 2, "a web server and a sweep"
    os.kill(service.pid, end)
    said = service.communicate(timeout=30)[0]
    assert service.returncode == (0 if end != signal.SIGKILL else -signal.SIGKILL), said
    assert becomes_true(lambda: all(is_gone(pid) for pid in programs), within_s=30)
    assert becomes_true(lambda: not living_in(cluster(data)), within_s=30)


def test_a_second_start_is_told_where_the_first_one_is(data: Path, port: int) -> None:
    first = up(data, port)
    lock = data / f"up-{port}.lock"
    assert becomes_true(lambda: lock.exists() or first.poll() is not None, within_s=60)
    second = up(data, port)
    assert "Fullstop already runs, or is just starting, at" in second.communicate(timeout=60)[0]
    assert second.returncode == 1
    first.terminate()
    first.communicate(timeout=60)
