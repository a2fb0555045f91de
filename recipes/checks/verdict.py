"""When is a margin a gap, when is it tight, and how does a check say that it does not know?"""

from __future__ import annotations

from math import isfinite

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status
from recipes.look import Triple
from recipes.quantity import round_up

__all__ = [
    "ROUNDING_STOPS",
    "engraved_time",
    "enough",
    "not_known",
    "number",
    "signed",
    "status_of",
    "times_of",
]

_DUST = 1e-9

ROUNDING_STOPS = 0.05
"""What a setting may miss and is still said to be that setting: half of the finest step on a head, 1/10 stop."""


def status_of(margin: float, tight_under: float = 0.0) -> Status:
    """``gap`` below 0, ``tight`` below ``tight_under`` (same unit), else ``ok``; rounding dust is forgiven."""
    if margin < -_DUST:
        return "gap"
    return "tight" if margin < tight_under - _DUST else "ok"


def not_known(
    explanation: Explanation,
    about: str,
    sentence: str,
    missing: str,
    remedies: tuple[Remedy, ...] = (),
    caution: str = "",
) -> Finding:
    """The finding of a check that lacks a figure; ``missing`` names what would settle it."""
    return Finding(
        check=explanation.name,
        status="unknown",
        about=about,
        sentence=sentence,
        missing=missing,
        remedies=remedies,
        caution=caution,
    )


def number(value: float | None) -> float | None:
    """A figure for a finding; None for an infinite one, which has no place on a scale."""
    return value if value is not None and isfinite(value) else None


def signed(stops: float, digits: int = 1) -> str:
    """Stops with their sign, for a sentence: +0.7, −1.0, 0.0."""
    rounded = round(stops, digits)
    if rounded == 0:
        return f"{0:.{digits}f}"
    return f"{'+' if rounded > 0 else '−'}{abs(rounded):.{digits}f}"


def enough(amount: float, digits: int = 0) -> str:
    """An amount for a remedy, rounded up, so that doing as it says is enough."""
    scale = 10.0**digits
    return f"{round_up(amount * scale) / scale:.{digits}f}"


def times_of(seconds: float) -> str:
    """A short time as photographers say it: 1/800 s, 2.5 s; a long one in whole seconds."""
    if 0 < seconds < 0.4:
        return f"1/{1 / seconds:.0f} s"
    return f"{seconds:.2g} s" if seconds < 10 else f"{seconds:.0f} s"


def engraved_time(triple: Triple) -> str:
    """The shutter time as it stands on the dial: 1/200 s."""
    return f"{triple.shutter} s" if "/" in triple.shutter else triple.shutter
