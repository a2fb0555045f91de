"""What went wrong, where, and how is it mended? One sentence for each way a start can fail."""

from __future__ import annotations

import errno
import shutil
import sys
from pathlib import Path

__all__ = [
    "CannotStart",
    "another_start_is_stuck",
    "database_refuses",
    "disk_is_full",
    "from_os_error",
    "no_ensurepip",
    "pip_failed",
    "server_failed",
    "server_is_of_another_version",
    "venv_failed",
]


class CannotStart(Exception):
    """A start that cannot go on; its text is the sentence for the person at the terminal."""


_NETWORK_SIGNS = (
    "Failed to establish a new connection",
    "NewConnectionError",
    "ConnectTimeoutError",
    "Read timed out",
    "ReadTimeoutError",
    "Temporary failure in name resolution",
    "Name or service not known",
    "Connection refused",
    "Network is unreachable",
    "ProxyError",
    "SSLError",
    "CERTIFICATE_VERIFY_FAILED",
    "Connection broken",
    "503 Server Error",
    "502 Server Error",
)


def no_ensurepip(version: tuple[int, int]) -> CannotStart:
    """Debian ships Python without the part that makes environments."""
    name = f"python{version[0]}.{version[1]}"
    return CannotStart(
        f"{sys.executable} cannot make a virtual environment: its modules venv and ensurepip are missing. "
        f"On Debian or Ubuntu install them with: apt install {name}-venv"
    )


def venv_failed(folder: Path, output: str) -> CannotStart:
    """`python -m venv` ended with an error that is none of the known ones."""
    return _full_disk_in(output, folder) or CannotStart(
        f"The virtual environment could not be made in {folder}. Python said:\n{_last_lines(output)}\n"
        f"Remove that folder and start again."
    )


def pip_failed(lock: Path, output: str) -> CannotStart:
    """pip could not install what the lock names."""
    full = _full_disk_in(output, lock.parent)
    if full:
        return full
    # A registry that is not there looks, after pip's last try, like one that has nothing at all.
    if any(sign in output for sign in (*_NETWORK_SIGNS, "(from versions: none)")):
        return CannotStart(
            f"The packages of {lock.name} could not be fetched: the package registry did not answer, or has nothing. "
            "Check the network and pip's settings (`python3 -m pip config list`, PIP_INDEX_URL, HTTPS_PROXY), then "
            f"start again; what was already fetched is kept. pip said:\n{_last_lines(output)}"
        )
    if "DO NOT MATCH THE HASHES" in output:
        return CannotStart(
            f"A fetched package is not the one that {lock.name} was made with, so nothing was installed. "
            "Check which registry pip uses (`python3 -m pip config list`) and, if it is the right one, make the lock "
            f"anew. pip said:\n{_last_lines(output)}"
        )
    if "No matching distribution found" in output:
        return CannotStart(
            f"The package registry has no build of a package in {lock.name} for this system (Python "
            f"{sys.version_info[0]}.{sys.version_info[1]} on {sys.platform}). Try another Python, 3.11 or newer, or "
            f"another registry. pip said:\n{_last_lines(output)}"
        )
    return CannotStart(f"pip could not install the packages of {lock.name}. It said:\n{_last_lines(output)}")


def disk_is_full(folder: Path) -> CannotStart:
    """No space left where the project writes."""
    return CannotStart(
        f"The disk is full: {_free(folder)}. Make room there (the environment takes 0.7 GB, 1.3 GB with the tests', "
        "and as much again while it is made) and start again; a half-made environment is mended by itself."
    )


def another_start_is_stuck(lock: Path, patience_s: float) -> CannotStart:
    """Somebody else has held the lock for longer than any honest step takes."""
    return CannotStart(
        f"Another start of this project has been busy for more than {patience_s / 60:.0f} minutes and holds {lock}. "
        "See who it is (`fuser` or `lsof` on that file), stop it, and start again."
    )


def server_failed(doing: str, folder: Path, output: str) -> CannotStart:
    """A program of PostgreSQL (`initdb`, or the `start` of the server) ended with an error."""
    return _full_disk_in(output, folder) or CannotStart(
        f"The database server in {folder} failed at {doing}. PostgreSQL said:\n{_last_lines(output)}"
    )


def database_refuses(output: str) -> CannotStart:
    """The database of DATABASE_URL is not there, or not for us."""
    return CannotStart(
        "The database that DATABASE_URL names lets nobody in. Check the address and the password there; a server keeps "
        f"the password that it was made with, whatever is written into .env later. It said:\n{_last_lines(output)}"
    )


def server_is_of_another_version(data: Path, made_by: str, ours: str) -> CannotStart:
    """PostgreSQL reads only data of its own major version."""
    return CannotStart(
        f"The data in {data} were made by PostgreSQL {made_by} and this environment brings PostgreSQL {ours}. "
        f"Go back to the version of the project that wrote them, save them with pg_dump, move the folder away, start "
        "anew and load them with psql."
    )


def from_os_error(error: OSError, doing: str) -> CannotStart | None:
    """The sentence for a system error that a person can mend; None for one that is our own fault.

    `doing` completes "while ...".
    """
    where = Path(str(error.filename)) if error.filename else Path.cwd()
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return disk_is_full(where)
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        why = (
            "the file system is read-only" if error.errno == errno.EROFS else "this user may not write there"
        )
        return CannotStart(
            f"{where} cannot be written while {doing}: {why}. Give the folder to this user (chown), or copy the "
            "project to a folder of your own and start it there. FULLSTOP_DATA moves the data folder alone."
        )
    return None


def _full_disk_in(output: str, folder: Path) -> CannotStart | None:
    if "No space left on device" in output or "Disk quota exceeded" in output or "Errno 28" in output:
        return disk_is_full(folder)
    return None


def _free(folder: Path) -> str:
    """Free space at a folder and at the folder for temporary files, where pip unpacks."""
    import tempfile

    lines = []
    for name, place in (("", folder), ("temporary files in ", Path(tempfile.gettempdir()))):
        while not place.exists() and place != place.parent:
            place = place.parent
        lines.append(f"{name}{place} has {shutil.disk_usage(place).free / 1e6:.0f} MB left")
    return ", ".join(lines)


def _last_lines(output: str, count: int = 8) -> str:
    """The last lines that say something: pip's notices, skipped pins and blank lines are left out."""
    noise = ("[notice]", "Ignoring ", "Looking in ", "WARNING: Location ")
    useful = [line for line in output.splitlines() if line.strip() and not line.startswith(noise)]
    return "\n".join("    " + line for line in useful[-count:])
