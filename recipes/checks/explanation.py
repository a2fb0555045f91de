"""How a check explains itself: so that somebody can follow it with a pocket calculator."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Explanation", "Family"]

Family = Literal[
    "exposure", "time", "picture", "colour", "power", "rig", "radio", "booking", "packing", "travel"
]


@dataclass(frozen=True)
class Explanation:
    """One check in plain words.

    ``name`` is its registered name (lower case, dashes). ``formula`` are the lines of the sum; ``symbols`` what each
    letter stands for, with its unit; ``assumes`` what it takes for granted or leaves out; ``source`` where the rule
    comes from, or "common practice, no source".
    """

    name: str
    family: Family
    title: str
    question: str
    formula: tuple[str, ...]
    symbols: tuple[tuple[str, str], ...]
    assumes: tuple[str, ...]
    source: tuple[str, ...]
