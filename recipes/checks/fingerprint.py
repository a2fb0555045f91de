"""The fingerprint of a setup: equal inputs give equal fingerprints, and any change of an input another one."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from datetime import datetime
from typing import Any

from pydantic import BaseModel

from recipes.checks.registry import CHECKS
from recipes.checks.setup import Setup

__all__ = ["CALCULATION", "fingerprint"]

CALCULATION = 19
"""Raise this when the calculation itself changes, so that every stored readiness shows as stale. A check that comes or
goes does so by itself: the names of all checks are part of the fingerprint."""


def fingerprint(setup: Setup) -> str:
    """64 hexadecimal digits (SHA-256) over the whole setup, the version of the calculation and the checks there are."""
    checks = [check.explanation.name for check in CHECKS]
    text = json.dumps([CALCULATION, checks, _plain(setup)], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json")
    if dataclasses.is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, (tuple, list)):
        return [_plain(item) for item in value]
    if isinstance(value, datetime):
        return value.isoformat()
    return value
