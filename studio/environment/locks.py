"""Who may go on, when several processes want the same thing? Kernel file locks, which a killed process gives back."""

from __future__ import annotations

import fcntl
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["exclusive", "open_lock", "try_lock"]


def open_lock(path: Path) -> int:
    """A descriptor on the lock file, made when missing; not inherited by programs that this one starts."""
    return os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)


def try_lock(descriptor: int, *, shared: bool = False) -> bool:
    """Take the lock if nobody stands against it; True when it is ours."""
    try:
        fcntl.flock(descriptor, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


@contextmanager
def exclusive(
    path: Path,
    *,
    patience_s: float,
    on_wait: Callable[[], None] = lambda: None,
    on_timeout: Callable[[], Exception],
) -> Iterator[None]:
    """Hold the lock file alone for the length of the block.

    `on_wait` is called once when somebody else has it; after `patience_s` seconds `on_timeout()` is raised.
    """
    descriptor = open_lock(path)
    try:
        give_up_at = time.monotonic() + patience_s
        told = False
        while not try_lock(descriptor):
            if not told:
                on_wait()
                told = True
            if time.monotonic() > give_up_at:
                raise on_timeout()
            time.sleep(0.05)
        yield
    finally:
        os.close(descriptor)
