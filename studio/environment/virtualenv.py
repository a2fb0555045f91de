"""Is the virtual environment what the lock says, and if not, how does it become so?

The environment is `.venv` in the project folder. `runtime.lock` serves every command, `test.lock` (a superset) serves
`test`. Both are made from pyproject.toml with hashes for all platforms; after a change there:

    uv pip compile --universal --generate-hashes --python-version 3.11 pyproject.toml \
        -o studio/environment/runtime.lock
    uv pip compile --universal --generate-hashes --python-version 3.11 pyproject.toml --group test \
        -c studio/environment/runtime.lock -o studio/environment/test.lock

A stamp inside the environment names the locks that were installed. It says "building" while pip works, so that what a
killed start left behind is never trusted. Programs are always run as `.venv/bin/python -m name`, never by the scripts
beside it: those carry an absolute path, and without them the folder may be moved.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

from .data_folder import project_folder
from .locks import exclusive
from .progress import say
from .sentences import CannotStart, another_start_is_stuck, no_ensurepip, pip_failed, venv_failed

__all__ = ["ensure", "is_running_inside"]

LOCKS = {name: Path(__file__).parent / f"{name}.lock" for name in ("runtime", "test")}
PATIENCE_S = 30 * 60.0
# The lock is whole, so nothing is left to be looked for. Without --no-deps, "coverage[toml]" of one package asks for
# the newest release, finds no hash for it and fails on the day it is published (seen with pip 23.2.1).
_PIP_OPTIONS = (
    "--no-deps",
    "--require-hashes",
    "--no-input",
    "--progress-bar",
    "off",
    "--disable-pip-version-check",
)
# pip must install what the lock says, where we say, whatever the user's habits are.
_PIP_HABITS = ("PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PIP_REQUIRE_VIRTUALENV", "PIP_DRY_RUN")


def ensure(name: str, venv: Path | None = None) -> Path:
    """The environment's Python, after making sure that everything in the lock `name` is installed.

    `name` is "runtime" or "test". Raises CannotStart with a sentence.
    """
    venv = venv or project_folder() / ".venv"
    if _fits(venv, name):
        return _python(venv)
    if importlib.util.find_spec("venv") is None or importlib.util.find_spec("ensurepip") is None:
        raise no_ensurepip(sys.version_info[:2])
    venv.mkdir(parents=True, exist_ok=True)
    lock = venv / "fullstop.lock"
    with exclusive(
        lock,
        patience_s=PATIENCE_S,
        on_wait=lambda: say("Another start is building the environment; waiting for it ..."),
        on_timeout=lambda: another_start_is_stuck(lock, PATIENCE_S),
    ):
        if not _fits(venv, name):
            _build(venv, name)
    return _python(venv)


def is_running_inside(venv: Path | None = None) -> bool:
    """Is this very process the environment's Python?"""
    venv = venv or project_folder() / ".venv"
    return venv.exists() and os.path.samefile(sys.prefix, venv)


def _build(venv: Path, name: str) -> None:
    begun = time.monotonic()
    stamp = _stamp(venv)
    if not _is_sound(venv, stamp):
        say(f"Making the virtual environment in {venv} ...")
        _empty(venv)
        _write_stamp(venv, {"state": "building"})
        made = subprocess.run(
            [_base_python(), "-I", "-m", "venv", str(venv)],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
        )
        if made.returncode:
            raise (
                no_ensurepip(sys.version_info[:2])
                if "ensurepip" in made.stdout
                else venv_failed(venv, made.stdout)
            )
        stamp = {"state": "building"}
    _install(venv, name, stamp)
    # test.lock holds every pin of runtime.lock (a test keeps that true), so it answers for both.
    locks = {"runtime": _hash("runtime")} | ({"test": _hash("test")} if name == "test" else {})
    _write_stamp(venv, {"state": "ready", "interpreter": _interpreter(venv), **locks})
    say(f"Environment ready in {time.monotonic() - begun:.0f} s.")


def _install(venv: Path, name: str, stamp_before: dict[str, str]) -> None:
    lock = LOCKS[name]
    pins = sum("==" in line and not line.startswith((" ", "#")) for line in lock.read_text().splitlines())
    say(f"Fetching {pins} packages ({lock.name}) ...")
    _write_stamp(venv, {"state": "building"})
    begun = time.monotonic()
    lines: list[str] = []
    installing_since: float | None = None
    habits = {key: value for key, value in os.environ.items() if key not in _PIP_HABITS}
    with subprocess.Popen(
        [str(_python(venv)), "-I", "-m", "pip", "install", *_PIP_OPTIONS, "--requirement", str(lock)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        env=habits,
    ) as pip:
        assert pip.stdout
        for line in pip.stdout:
            lines.append(line)
            if line.startswith("Installing collected packages"):
                installing_since = time.monotonic()
                say(
                    f"Fetched in {installing_since - begun:.0f} s. Installing {line.count(',') + 1} packages ..."
                )
            elif line.startswith("Collecting") and sys.stderr.isatty():
                sys.stderr.write(f"\r  {line.split()[1].split('==')[0]:<40}\r")
    if pip.returncode:
        if installing_since is None and stamp_before.get("state") == "ready":
            # Nothing was touched yet: what was installed before still stands, for its own lock.
            _write_stamp(venv, stamp_before)
        raise pip_failed(lock, "".join(lines))
    if installing_since is not None:
        say(f"Installed in {time.monotonic() - installing_since:.0f} s.")


def _fits(venv: Path, name: str) -> bool:
    stamp = _stamp(venv)
    return stamp.get("state") == "ready" and stamp.get(name) == _hash(name) and _is_sound(venv, stamp)


def _is_sound(venv: Path, stamp: dict[str, str]) -> bool:
    """Can the folder be built upon, or must it be made anew? A foreign environment is built upon when its pip runs."""
    if not _python(venv).exists():
        return False
    if stamp:  # one that says "building" names no interpreter
        return stamp.get("interpreter") == _interpreter(venv)
    tried = subprocess.run([str(_python(venv)), "-I", "-m", "pip", "--version"], capture_output=True)
    return tried.returncode == 0


def _interpreter(venv: Path) -> str:
    """Which Python the environment stands on; a system upgrade changes it under our feet."""
    return os.path.realpath(_python(venv))


def _python(venv: Path) -> Path:
    return venv / "bin" / "python"


def _base_python() -> str:
    """The Python outside any environment, for the one that runs this may be the one to be replaced."""
    return getattr(sys, "_base_executable", None) or sys.executable


def _hash(name: str) -> str:
    return hashlib.sha256(LOCKS[name].read_bytes()).hexdigest()


def _stamp(venv: Path) -> dict[str, str]:
    try:
        read = json.loads((venv / "fullstop.json").read_text())
    except FileNotFoundError:
        return {}
    except ValueError:
        return {"state": "building"}
    return read if isinstance(read, dict) else {"state": "building"}


def _write_stamp(venv: Path, stamp: dict[str, str]) -> None:
    fresh = venv / "fullstop.json.new"
    fresh.write_text(json.dumps(stamp, indent=1) + "\n")
    fresh.replace(venv / "fullstop.json")


def _empty(venv: Path) -> None:
    """Remove all but the lock that we hold."""
    for entry in venv.iterdir():
        if entry.is_dir() and not entry.is_symlink():
            shutil.rmtree(entry)
        elif entry.name != "fullstop.lock":
            entry.unlink()


def refuse_to_loop() -> None:
    """A process that has entered the environment once and is still outside it would go round for ever."""
    if os.environ.get("FULLSTOP_ENTERED") == str(os.getpid()):
        raise CannotStart(
            f"The environment in {project_folder() / '.venv'} does not hold: its Python reports the prefix "
            f"{sys.prefix}. Remove the folder .venv and start again."
        )
    os.environ["FULLSTOP_ENTERED"] = str(os.getpid())
