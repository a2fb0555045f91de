"""How much work is an act? Processor time of this process and of the database's process that serves it.

On a machine that others use, time on the wall says how busy they are; ratios of processor time hold.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

from django.db import connection

__all__ = ["work_of"]


def work_of(times: int, *acts: Callable[[], object]) -> list[float]:
    """The median work of each act in seconds, the acts in turn. On the wall where the server's time cannot be seen
    (elsewhere than on this machine, or not on Linux)."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        server = Path(f"/proc/{cursor.fetchone()[0]}/schedstat")
    clock = (lambda: process_time() + _ran(server)) if server.exists() else perf_counter
    took: list[list[float]] = [[] for _ in acts]
    for _ in range(times):
        for act, found in zip(acts, took, strict=True):
            begun = clock()
            act()
            found.append(clock() - begun)
    return [median(found) for found in took]


def _ran(server: Path) -> float:
    """Seconds that this process was on a processor (proc(5), schedstat: the first figure, in nanoseconds)."""
    return int(server.read_text().split()[0]) / 1e9
