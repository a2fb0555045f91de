"""What is it doing now, and how long did that take? Lines on stderr, so that a command's own output stays clean."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["say", "step"]


def say(sentence: str) -> None:
    """One line for the person at the terminal."""
    sys.stderr.write(sentence + "\n")
    sys.stderr.flush()


@contextmanager
def step(doing: str, done: str) -> Iterator[None]:
    """Say what begins; when it ended well, say what was done and in how many seconds."""
    say(f"{doing} ...")
    begun = time.monotonic()
    yield
    say(f"{done} in {time.monotonic() - begun:.1f} s.")
