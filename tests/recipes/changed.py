"""A document with one thing in it said otherwise."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

__all__ = ["changed"]


def changed(document: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """A copy with ``value`` at a dotted path, such as ``lights.0.heads``."""
    whole = deepcopy(document)
    *parents, last = (int(part) if part.isdigit() else part for part in path.split("."))
    part = whole
    for parent in parents:
        part = part[parent]
    part[last] = value
    return whole
