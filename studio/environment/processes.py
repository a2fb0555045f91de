"""Which processes work in a folder, and how does a child learn that its parent is gone?"""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from pathlib import Path

__all__ = ["die_with_parent", "living_in"]

_PR_SET_PDEATHSIG = 1
_libc = ctypes.CDLL(None) if sys.platform == "linux" else None


def die_with_parent(number: int) -> None:
    """To be called in a child before it becomes its program: the kernel sends `number` when the parent has ended.

    Linux only; elsewhere the next start ends what was left.
    """
    if _libc is not None:
        _libc.prctl(_PR_SET_PDEATHSIG, int(number), 0, 0, 0)


def living_in(folder: Path) -> list[int]:
    """The processes whose working folder is `folder`, first the oldest."""
    if not folder.exists():
        return []
    if not Path("/proc/self/cwd").exists():
        return _named_with(folder)
    found = []
    for entry in os.scandir("/proc"):
        if entry.name.isdigit():
            try:
                if os.path.samefile(f"/proc/{entry.name}/cwd", folder) and _is_alive(int(entry.name)):
                    found.append(int(entry.name))
            except OSError:  # ended meanwhile, or somebody else's
                continue
    return sorted(found)


def _is_alive(pid: int) -> bool:
    state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    return state not in "ZX"


def _named_with(folder: Path) -> list[int]:
    """Without /proc (macOS): servers started with `-D folder`."""
    listed = subprocess.run(["ps", "-axww", "-o", "pid=,command="], capture_output=True, text=True).stdout
    lines = (line.strip().split(None, 1) for line in listed.splitlines())
    return sorted(int(pid) for pid, *command in lines if f"postgres -D {folder} " in "".join(command))
