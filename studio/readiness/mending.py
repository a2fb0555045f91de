"""Applying one remedy of a finding, by the person who reads it."""

from __future__ import annotations

from typing import Any

from gear.errors import Gone
from studio.shoots.models import Shoot

__all__ = ["mend"]


def mend(
    shoot: Shoot, position: int, computed_from: str, finding_number: str, remedy_number: str, by: Any
) -> str:
    """Do what a remedy says, if it still speaks of today's figures. Returns what was done, in a sentence."""
    raise Gone("This remedy is not known any more; look at the readiness again.")
