"""Who stops the database server when nobody needs it any more?

The keeper: a small process that makes and starts the server, starts it again when it dies, and stops it when it gets
the users' lock alone. The kernel gives a user's share back when that process ends, also by `kill -9`.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import time
from contextlib import suppress
from pathlib import Path

from .cluster import Cluster
from .data_folder import give_to_owner
from .locks import open_lock, try_lock
from .sentences import CannotStart, from_os_error
from .server_user import server_user

__all__ = ["main"]

LOOK_EVERY_S = 0.2
MOST_RESTARTS = 5
WITHIN_S = 60.0


def main(folder_name: str, binaries: str) -> None:
    """Keep the server of one folder until its last user has gone."""
    os.umask(0o077)
    folder = Path(folder_name)
    lock = open_lock(folder / "keeper.lock")
    # A user looking for a keeper holds the lock for a moment, and so does a keeper that is just ending.
    for _ in range(250):
        if try_lock(lock):
            break
        time.sleep(0.02)
    else:
        sys.exit("Another keeper has this folder.")
    asked_to_stop = []
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: asked_to_stop.append(True))
    signal.signal(signal.SIGHUP, signal.SIG_IGN)
    cluster = Cluster(folder, Path(binaries), server_user(folder.parent))
    try:
        _keep(cluster, asked_to_stop)
    except CannotStart as trouble:
        _leave_word(folder, str(trouble))
    except OSError as error:
        sentence = from_os_error(error, "the database server is started")
        _leave_word(folder, str(sentence or f"The database server could not be started: {error}"))
        raise
    finally:
        _address(folder).unlink(missing_ok=True)
        for name in ("keeper.log", "postgres.log", "keeper.lock", "start.lock"):
            if (folder / name).exists():
                give_to_owner(folder / name)


def _keep(cluster: Cluster, asked_to_stop: list[bool]) -> None:
    users = open_lock(cluster.folder / "users.lock")
    _log("making")
    cluster.make()
    server, sockets = cluster.start()
    _log("ready")
    _write_address(cluster.folder, sockets)
    restarts: list[float] = []
    try:
        while not asked_to_stop and not try_lock(users):
            if server.poll() is not None:
                _log(f"the server ended with {server.returncode}; starting it again")
                restarts = [at for at in restarts if at > time.monotonic() - WITHIN_S] + [time.monotonic()]
                if len(restarts) > MOST_RESTARTS:
                    raise CannotStart(
                        f"The database server ended {MOST_RESTARTS} times within a minute. Its last words are in "
                        f"{cluster.folder / 'postgres.log'}."
                    )
                # Whoever comes now waits for the new address instead of knocking at a door that is not there.
                _address(cluster.folder).unlink(missing_ok=True)
                time.sleep(0.1 * 2 ** len(restarts))
                server, sockets = cluster.start()
                _write_address(cluster.folder, sockets)
            time.sleep(LOOK_EVERY_S)
    finally:
        cluster.stop(server)
        with suppress(OSError):
            sockets.rmdir()
        _log("stopped")


def _address(folder: Path) -> Path:
    return folder / "address.json"


def _write_address(folder: Path, sockets: Path) -> None:
    fresh = folder / "address.json.new"
    fresh.write_text(json.dumps({"socket_folder": str(sockets)}) + "\n")
    give_to_owner(fresh)
    fresh.replace(_address(folder))


def _leave_word(folder: Path, sentence: str) -> None:
    path = folder / "trouble.txt"
    path.write_text(sentence)
    give_to_owner(path)


def _log(what: str) -> None:
    sys.stderr.write(f"{time.strftime('%Y-%m-%d %H:%M:%S')} keeper {os.getpid()}: {what}\n")
    sys.stderr.flush()
