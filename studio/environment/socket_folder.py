"""Where can the server's socket lie, when a socket's path may have a hundred bytes and a project's may have more?"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path

from .data_folder import short_name_of
from .sentences import CannotStart
from .server_user import ServerUser

__all__ = ["choose_socket_folder"]

LONGEST_BYTES = 100
_SOCKET_NAME = ".s.PGSQL.5432.lock"


def choose_socket_folder(folder: Path, user: ServerUser | None) -> Path:
    """A folder that only the server's account can enter: beside the data if the path is short, else in a common place.

    The same answer for the same `folder` every time, so that those who are connected find the server again after it
    was restarted.
    """
    uid = user.uid if user else os.geteuid()
    for candidate in _candidates(folder):
        if len(os.fsencode(candidate / _SOCKET_NAME)) <= LONGEST_BYTES and _make_private(
            candidate, user, uid
        ):
            return candidate
    raise CannotStart(
        f"There is no place for the database server's socket: {folder} is too long a path for it, and neither /run nor "
        "/tmp can be written or another user's folder stands in the way there. Move the project to a shorter path, or "
        "set FULLSTOP_DATA to one."
    )


def _candidates(folder: Path) -> Iterator[Path]:
    # PostgreSQL reads lists of folders and of hosts, in which these characters have a meaning.
    if not set(',"') & set(str(folder)):
        yield folder / "socket"
    name = f"fullstop-{short_name_of(folder)}"
    if os.geteuid() == 0:
        yield Path("/run") / name
    for number in range(4):
        # In a folder that all may write somebody else may have taken the name; then the next one is ours.
        yield Path("/tmp") / f"{name}-{number}"


def _make_private(path: Path, user: ServerUser | None, uid: int) -> bool:
    try:
        os.mkdir(path, 0o700)
        if user:
            os.chown(path, user.uid, user.gid)
    except FileExistsError:
        pass
    except OSError:
        return False
    found = os.lstat(path)
    return stat.S_ISDIR(found.st_mode) and found.st_uid == uid and not found.st_mode & 0o077
