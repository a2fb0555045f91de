"""What keeps several programs running, and ends them together?"""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from .processes import die_with_parent
from .progress import say

__all__ = ["Program", "supervise"]

LOOK_EVERY_S = 0.5
GRACE_S = 15.0
LONGEST_PAUSE_S = 30.0
STEADY_AFTER_S = 30.0


@dataclass
class Program:
    """One program to keep running. When `is_vital` ends at once MOST_QUICK_ENDS times, everything ends."""

    name: str
    command: Sequence[str]
    environment: Mapping[str, str]
    pass_fds: Sequence[int] = ()
    is_vital: bool = False
    _process: subprocess.Popen[bytes] | None = field(default=None, init=False)
    _begun_at: float = field(default=0.0, init=False)
    _start_at: float = field(default=0.0, init=False)
    _quick_ends: int = field(default=0, init=False)

    MOST_QUICK_ENDS = 4

    def look(self, now: float) -> None:
        """Start it when it is due; note its end."""
        if self._process is None:
            if now >= self._start_at:
                self._start(now)
        elif self._process.poll() is not None:
            self._quick_ends = self._quick_ends + 1 if now - self._begun_at < STEADY_AFTER_S else 1
            pause_s = min(LONGEST_PAUSE_S, 0.5 * 2**self._quick_ends)
            say(
                f"{self.name} ended ({_how(self._process.returncode)}); starting it again in {pause_s:.0f} s."
            )
            self._process, self._start_at = None, now + pause_s

    @property
    def is_hopeless(self) -> bool:
        return self.is_vital and self._quick_ends >= self.MOST_QUICK_ENDS

    def _start(self, now: float) -> None:
        self._begun_at = now
        self._process = subprocess.Popen(
            self.command,
            stdin=subprocess.DEVNULL,
            env=self.environment,
            pass_fds=self.pass_fds,
            # Ctrl-C reaches the supervisor only, which then ends the programs in order.
            start_new_session=True,
            preexec_fn=lambda: die_with_parent(signal.SIGTERM),
        )

    def ask_to_end(self) -> None:
        if self._process and self._process.poll() is None:
            self._process.terminate()

    def wait_for_end(self, until: float) -> None:
        if self._process is None:
            return
        try:
            self._process.wait(max(0.1, until - time.monotonic()))
        except subprocess.TimeoutExpired:
            os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()


def supervise(
    programs: Sequence[Program], meanwhile: Callable[[], None], stopping: Callable[[], bool]
) -> int:
    """Keep the programs running until `stopping()`.

    Returns the exit code: 0 when asked to stop, 1 when a vital program does not stay up. `meanwhile` is called at
    every look, to keep running what the programs need.
    """
    try:
        while not stopping():
            meanwhile()
            for program in programs:
                program.look(time.monotonic())
                if program.is_hopeless:
                    say(f"{program.name} does not stay up: see its words above. Everything is stopped.")
                    return 1
            time.sleep(LOOK_EVERY_S)
        return 0
    finally:
        for program in programs:
            program.ask_to_end()
        until = time.monotonic() + GRACE_S
        for program in programs:
            program.wait_for_end(until)


def _how(code: int) -> str:
    return f"killed by signal {-code}" if code < 0 else f"exit code {code}"
