"""`test`: is everything that we hold ourselves to still true?"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from .data_folder import project_folder
from .progress import say

__all__ = ["run_checks_and_tests"]

# Tests of a module stay together, so that its browser or server is started once, and nobody waits for one long test.
_STEALING = ("--dist", "worksteal")


def run_checks_and_tests(arguments: Sequence[str]) -> int:
    """All checks, then pytest, whose summary is the last thing printed. Returns the exit code.

    `--fast` leaves the checks out, `--long` adds the long state machine runs; any other argument is for pytest, which
    then runs alone.
    """
    for_pytest = [argument for argument in arguments if argument not in ("--fast", "--long")]
    environment = dict(os.environ) | {
        "FULLSTOP_SERVER": "test-server",
        "DJANGO_SETTINGS_MODULE": "studio.settings",
    }
    if "--long" in arguments:
        environment["FULLSTOP_LONG"] = "1"
    failed = []
    if not for_pytest and "--fast" not in arguments:
        _hold_test_server()
        failed = [name for name, command in _checks() if not _passes(name, command, environment)]
        say(f"\nChecks that failed: {', '.join(failed)}." if failed else "\nAll checks passed.")
    command = [sys.executable, "-m", "pytest", *(for_pytest or ["-n", str(_workers()), *_STEALING])]
    say(f"\n== pytest: {' '.join(command[2:])}")
    code = subprocess.run(command, cwd=project_folder(), env=environment).returncode
    return code or (1 if failed else 0)


def _checks() -> Iterator[tuple[str, list[str]]]:
    python = [sys.executable, "-m"]
    yield "ruff check", [*python, "ruff", "check"]
    yield "ruff format", [*python, "ruff", "format", "--check"]
    lint = "import sys; from importlinter.cli import lint_imports_command as lint; sys.exit(lint())"
    yield "lint-imports", [sys.executable, "-c", lint]
    yield "mypy", [*python, "mypy"]
    templates = _templates()
    if templates:
        # A program, not a module; unlike the scripts beside it, it holds no path.
        yield "djade", [str(Path(sysconfig.get_path("scripts")) / "djade"), "--check", *templates]
    yield "django check", [sys.executable, "manage.py", "check", "--fail-level", "WARNING"]
    yield "makemigrations", [sys.executable, "manage.py", "makemigrations", "--check", "--dry-run"]


def _passes(name: str, command: Sequence[str], environment: dict[str, str]) -> bool:
    say(f"\n== {name}")
    begun = time.monotonic()
    ended = subprocess.run(command, cwd=project_folder(), env=environment).returncode
    say(f"   {name}: {'passed' if ended == 0 else 'FAILED'} in {time.monotonic() - begun:.1f} s")
    return ended == 0


def _templates() -> list[str]:
    project = project_folder()
    return sorted(
        str(path.relative_to(project))
        for package in ("gear", "recipes", "studio")
        for path in (project / package).rglob("templates/**/*.html")
    )


def _hold_test_server() -> None:
    """One start for all checks instead of one for each."""
    if not os.environ.get("DATABASE_URL"):
        from .postgres import ensure_server

        ensure_server("test-server")


def _workers() -> int:
    count = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 2
    # One more than there are cores: many tests wait for programs that they start.
    return max(2, min(8, count + 1))
