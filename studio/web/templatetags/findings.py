"""How findings are shown: grouped by severity, numbers in the words of their unit.

A finding is a ``recipes.checks.findings.Finding`` or the same fields as a dict, as they are stored.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import floor, isfinite, log10
from typing import Any

from django import template

from recipes.checks.findings import SEVERITY, Finding
from studio.web.templatetags.studio import stops

__all__ = [
    "FindingGroup",
    "NumberedFinding",
    "amount",
    "by_severity",
    "figures",
    "margin_figure",
    "signed_amount",
]

register = template.Library()

_WORDS = {
    "gap": ("gap", "gaps"),
    "tight": ("tight", "tight"),
    "unknown": ("unknown", "unknown"),
    "ok": ("ok", "ok"),
}


@dataclass(frozen=True)
class NumberedFinding:
    """A finding with its place in the list that was handed in, from 0."""

    number: int
    finding: Finding | Mapping[str, Any]


@dataclass(frozen=True)
class FindingGroup:
    """All findings of one status."""

    status: str
    items: tuple[NumberedFinding, ...]

    @property
    def count(self) -> int:
        """How many, without those that only follow from another."""
        return sum(not _follows(item.finding) for item in self.items)

    @property
    def heading(self) -> str:
        """``2 gaps``, ``1 tight``."""
        one, many = _WORDS[self.status]
        return f"{self.count} {one if self.count == 1 else many}"


@register.filter
def by_severity(findings: Iterable[Finding | Mapping[str, Any]]) -> list[FindingGroup]:
    """Groups that hold something, the most severe first; inside a group the order stays, but that what only follows
    from another finding comes last."""
    numbered = [NumberedFinding(number, finding) for number, finding in enumerate(findings or ())]
    numbered.sort(key=lambda item: bool(_follows(item.finding)))
    groups = [FindingGroup(s, tuple(n for n in numbered if _status(n.finding) == s)) for s in SEVERITY]
    return [group for group in groups if group.items]


@register.filter
def amount(value: float | None, unit: str = "") -> str:
    """A number with its unit at three figures: ``0.00125 s``, ``12 400 lx``, ``+0.7 stops``."""
    if value is None:
        return "–"
    if unit in ("stop", "stops"):
        return f"{stops(value)}\u00a0stops"
    return f"{_figures(value)}\u00a0{unit}".rstrip()


@register.filter
def signed_amount(value: float | None) -> str:
    """A margin without its unit, always signed."""
    if value is None:
        return "–"
    text = _figures(abs(value))
    if not text.strip("0."):
        return text
    return f"{'+' if value > 0 else '−'}{text}"


@register.filter
def margin_figure(value: float | None, unit: str = "") -> str:
    """A margin as the large figure: stops with one decimal, others at three figures."""
    return stops(value) if unit in ("stop", "stops") else signed_amount(value)


@register.filter
def spread(value: float | None) -> str:
    """How far a figure may be off, at two figures: 0.22."""
    return "–" if value is None else _figures(value, 2)


@register.filter
def figures(value: float | None) -> str:
    """A number at three figures: 0.35, 1 240."""
    return "–" if value is None else _figures(value)


def _status(finding: Finding | Mapping[str, Any]) -> str:
    return finding["status"] if isinstance(finding, Mapping) else finding.status


def _follows(finding: Finding | Mapping[str, Any]) -> str:
    return finding.get("follows", "") if isinstance(finding, Mapping) else finding.follows


def _figures(value: float, figures: int = 3) -> str:
    if not isfinite(value):
        return "∞" if value > 0 else "−∞"
    if value == 0:
        return "0"
    decimals = max(0, figures - 1 - floor(log10(abs(value))))
    text = f"{abs(value):,.{min(decimals, 6)}f}".replace(",", "\u202f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"−{text}" if value < 0 else text
