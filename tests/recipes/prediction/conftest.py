"""Findings that come about here are held to what is true of all of them, too."""

from __future__ import annotations

from tests.recipes.checks.conftest import every_finding_is_sound

__all__ = ["every_finding_is_sound"]
