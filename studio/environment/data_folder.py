"""Where does this copy of the project keep its things, and to whom do they belong?"""

from __future__ import annotations

import hashlib
import os
import secrets
from pathlib import Path

__all__ = ["data_folder", "give_to_owner", "make_folder", "project_folder", "secret_key", "short_name_of"]


def project_folder() -> Path:
    """The folder that holds manage.py."""
    return Path(__file__).resolve().parent.parent.parent


def data_folder() -> Path:
    """The folder for everything that must outlive a restart: FULLSTOP_DATA, or `.fullstop` in the project."""
    chosen = os.environ.get("FULLSTOP_DATA")
    return Path(chosen).expanduser().absolute() if chosen else project_folder() / ".fullstop"


def secret_key() -> str:
    """The key that signs sessions, made once and kept in the data folder for its owner only.

    Two first starts at once agree on one key: whoever links the file first wins. Raises OSError.
    """
    path = make_folder(data_folder()) / "secret-key"
    if not path.exists():
        fresh = path.with_name(f"secret-key.{os.getpid()}")
        descriptor = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with open(descriptor, "w") as file:
            file.write(secrets.token_urlsafe(50) + "\n")
            file.flush()
            os.fsync(file.fileno())
        give_to_owner(fresh)
        try:
            os.link(fresh, path)
        except FileExistsError:
            pass
        finally:
            fresh.unlink()
    return path.read_text().strip()


def make_folder(path: Path) -> Path:
    """The folder, made when missing: private, except that root's may be passed through by the server's user."""
    if not path.exists():
        path.mkdir(parents=True, exist_ok=True)
        path.chmod(0o711 if os.geteuid() == 0 else 0o700)
        give_to_owner(path)
    return path


def give_to_owner(path: Path) -> None:
    """What root makes for somebody belongs to that somebody: the one who called sudo, or the folder's owner."""
    if os.geteuid() != 0:
        return
    around = path.parent.stat()
    if around.st_uid:
        os.chown(path, around.st_uid, around.st_gid)
    elif os.environ.get("SUDO_UID", "0") != "0":
        os.chown(path, int(os.environ["SUDO_UID"]), int(os.environ.get("SUDO_GID", "-1")))


def short_name_of(folder: Path) -> str:
    """Twelve hex digits that stand for a folder, for places where its whole path would be too long."""
    return hashlib.sha256(os.fsencode(folder)).hexdigest()[:12]
