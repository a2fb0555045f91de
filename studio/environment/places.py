"""Where does this copy of the project keep its things?"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

__all__ = ["data_folder", "project_folder", "short_name_of"]


def project_folder() -> Path:
    """The folder that holds manage.py."""
    return Path(__file__).resolve().parent.parent.parent


def data_folder() -> Path:
    """The folder for everything that must outlive a restart: FULLSTOP_DATA, or `.fullstop` in the project."""
    chosen = os.environ.get("FULLSTOP_DATA")
    return Path(chosen).expanduser().absolute() if chosen else project_folder() / ".fullstop"


def short_name_of(folder: Path) -> str:
    """Twelve hex digits that stand for a folder, for places where its whole path would be too long."""
    return hashlib.sha256(os.fsencode(folder)).hexdigest()[:12]
