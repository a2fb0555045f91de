"""Where this copy of the project keeps what it makes: the embedded server's data, the secret key, mail, static files.

``FULLSTOP_DATA`` names another folder; unset it is ``.fullstop`` in the project folder.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

__all__ = ["data_folder", "secret_key"]

PROJECT = Path(__file__).resolve().parent.parent.parent


def data_folder() -> Path:
    """The folder, made on first use, closed to other users' writing."""
    folder = Path(os.environ.get("FULLSTOP_DATA") or PROJECT / ".fullstop")
    folder.mkdir(mode=0o755, parents=True, exist_ok=True)
    return folder


def secret_key() -> str:
    """The signing key, made once and kept with mode 0600; two processes that start at once get the same one."""
    path = data_folder() / "secret-key"
    try:
        return path.read_text()
    except FileNotFoundError:
        draft = path.with_name(f"secret-key.{os.getpid()}")
        draft.touch(mode=0o600)
        draft.write_text(secrets.token_urlsafe(50))
        try:
            os.link(draft, path)
        except FileExistsError:
            pass
        finally:
            draft.unlink()
        return path.read_text()
