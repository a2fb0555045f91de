"""How is a PostgreSQL data folder made, started and stopped, whatever state it was left in?

Used by the keeper alone, which holds the folder's lock: nobody else makes, starts or stops this server meanwhile.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .processes import die_with_parent, living_in
from .sentences import CannotStart, server_failed, server_is_of_another_version
from .server_user import ServerUser
from .socket_folder import choose_socket_folder

__all__ = ["Cluster"]

_SETTINGS = {
    "server": {"max_connections": "200"},
    # A test server is thrown away, so it need not survive a power cut; eight races at once stay below its connections.
    "test-server": {
        "max_connections": "400",
        "fsync": "off",
        "synchronous_commit": "off",
        "full_page_writes": "off",
    },
}


@dataclass(frozen=True)
class Cluster:
    """One server: its folder (named after its kind), the programs, and the account it runs as (None: ourselves)."""

    folder: Path
    binaries: Path
    user: ServerUser | None

    @property
    def data(self) -> Path:
        return self.folder / "cluster"

    @property
    def is_thrown_away(self) -> bool:
        return self.folder.name == "test-server"

    def make(self) -> None:
        """Make the data folder unless it is there: aside, and renamed when complete, so that none is half-made."""
        for leftover in self.folder.glob("making-*"):
            shutil.rmtree(leftover, ignore_errors=True)
        if self.is_thrown_away and self.data.exists():
            # It ran without fsync: after a crash of the machine nobody knows what is in it.
            shutil.rmtree(self.data)
        if self.data.exists():
            self._refuse_another_version()
            return
        making = self.folder / f"making-{os.getpid()}"
        making.mkdir(mode=0o700)
        if self.user:
            os.chown(making, self.user.uid, self.user.gid)
        # The built-in provider sorts and folds the same on every machine, whatever its C library is.
        locale = ["--encoding=UTF8", "--locale-provider=builtin", "--builtin-locale=C.UTF-8", "--locale=C"]
        # No passwords: the socket lies in a folder that only its owner can enter, and there is no TCP.
        access = ["--username=fullstop", "--auth-local=trust", "--auth-host=reject"]
        self._run(["initdb", "--pgdata", str(making), *locale, *access, "--no-instructions", "--no-sync"])
        alone = ["postgres", "--single", "-c", "fsync=off", "-D", str(making), "postgres"]
        self._run(alone, stdin="CREATE DATABASE fullstop\n")
        if not self.is_thrown_away:
            # Everything to the disk at once, before the name says that it is complete: file by file takes seconds
            # on a busy disk.
            os.sync()
        making.rename(self.data)
        _flush_folder(self.folder)

    def start(self) -> tuple[subprocess.Popen[bytes], Path]:
        """Start the server and wait until it answers; returns its process and the folder of its socket."""
        self._end_leftovers()
        (self.data / "postmaster.pid").unlink(missing_ok=True)
        sockets = choose_socket_folder(self.folder, self.user)
        for stale in sockets.glob(".s.PGSQL.*"):
            stale.unlink()
        settings = _SETTINGS[self.folder.name] | {
            "listen_addresses": "",
            "unix_socket_directories": str(sockets),
            "unix_socket_permissions": "0700",
            "timezone": "UTC",
            "log_timezone": "UTC",
        }
        log_path = self.folder / "postgres.log"
        _turn_over(log_path)
        with open(log_path, "ab") as log:
            server = subprocess.Popen(
                [str(self.binaries / "postgres"), "-D", str(self.data)]
                + [part for name, value in settings.items() for part in ("-c", f"{name}={value}")],
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                # With SIGINT the server disconnects everybody and stops cleanly, should the keeper be killed.
                preexec_fn=lambda: die_with_parent(signal.SIGINT),
                **self._as_user(),
            )
        try:
            self._wait_until_ready(server)
        except BaseException:
            self.stop(server)
            raise
        return server, sockets

    def stop(self, server: subprocess.Popen[bytes]) -> None:
        """Stop cleanly: clients are disconnected, what was acknowledged is on the disk."""
        for number, patience_s in ((signal.SIGINT, 60), (signal.SIGQUIT, 10)):
            if server.poll() is None:
                server.send_signal(number)
                try:
                    server.wait(patience_s)
                except subprocess.TimeoutExpired:
                    continue
            return

    def _end_leftovers(self) -> None:
        """End a server that lost its keeper, and wait for the rest of one that was killed.

        Only processes whose working folder is this data folder are touched, as every process of a PostgreSQL server's
        is: the number in a stale postmaster.pid may long belong to somebody else.
        """
        for number, patience_s in ((signal.SIGINT, 30), (signal.SIGQUIT, 10)):
            for pid in living_in(self.data):
                try:
                    os.kill(pid, number)
                except ProcessLookupError:
                    continue
            give_up_at = time.monotonic() + patience_s
            while living_in(self.data):
                if time.monotonic() > give_up_at:
                    break
                time.sleep(0.05)
            else:
                return
        raise CannotStart(
            f"An earlier database server (processes {', '.join(map(str, living_in(self.data)))}) still works in "
            f"{self.data} and does not stop. Stop it by hand and start again."
        )

    def _wait_until_ready(self, server: subprocess.Popen[bytes]) -> None:
        # The server writes its state into the eighth line of its pid file; asking there is cheaper than connecting.
        while True:
            if server.poll() is not None:
                raise server_failed("start", self.folder, _tail(self.folder / "postgres.log"))
            try:
                lines = (self.data / "postmaster.pid").read_text().splitlines()
            except FileNotFoundError:
                lines = []
            if len(lines) >= 8 and lines[0].strip() == str(server.pid) and lines[7].strip() == "ready":
                return
            time.sleep(0.02)

    def _refuse_another_version(self) -> None:
        made_by = (self.data / "PG_VERSION").read_text().strip()
        said = subprocess.run(
            [self.binaries / "postgres", "--version"], capture_output=True, text=True, cwd="/"
        ).stdout
        ours = said.split()[-1].split(".")[0]
        if made_by != ours:
            raise server_is_of_another_version(self.data, made_by, ours)

    def _run(self, command: Sequence[str], stdin: str = "") -> None:
        ran = subprocess.run(
            [str(self.binaries / command[0]), *command[1:]],
            input=stdin,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            preexec_fn=lambda: die_with_parent(signal.SIGKILL),
            **self._as_user(),
        )
        if ran.returncode:
            raise server_failed(command[0], self.folder, ran.stdout)

    def _as_user(self) -> dict[str, Any]:
        clean = {key: value for key, value in os.environ.items() if not key.startswith(("PG", "LC_", "LANG"))}
        common: dict[str, Any] = {"cwd": "/", "env": clean | {"TZ": "UTC", "LC_ALL": "C"}}
        if self.user:
            common |= {"user": self.user.uid, "group": self.user.gid, "extra_groups": []}
        return common


def _turn_over(log: Path, limit_bytes: int = 5_000_000) -> None:
    """A log that has grown becomes the old one; two files at most."""
    if log.exists() and log.stat().st_size > limit_bytes:
        log.replace(log.with_suffix(".old.log"))


def _tail(log: Path, size_bytes: int = 4000) -> str:
    with open(log, "rb") as file:
        file.seek(max(0, log.stat().st_size - size_bytes))
        return file.read().decode(errors="replace")


def _flush_folder(folder: Path) -> None:
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
