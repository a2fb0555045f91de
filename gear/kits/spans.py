"""Stretches of time: joined, and cut with each other. Pure; half-open."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

__all__ = ["Span", "both", "either"]


@dataclass(frozen=True)
class Span:
    """Half-open time."""

    start: datetime
    end: datetime


def either(groups: Iterable[Iterable[Span]]) -> list[Span]:
    """The time that is in any of the groups; spans that touch become one."""
    joined: list[Span] = []
    every = (span for group in groups for span in group if span.start < span.end)
    for span in sorted(every, key=lambda one: one.start):
        if joined and span.start <= joined[-1].end:
            joined[-1] = Span(joined[-1].start, max(joined[-1].end, span.end))
        else:
            joined.append(span)
    return joined


def both(groups: Sequence[Iterable[Span]]) -> list[Span]:
    """The time that is in all of the groups."""
    if not groups:
        return []
    common = either([groups[0]])
    for group in groups[1:]:
        cuts = (Span(max(a.start, b.start), min(a.end, b.end)) for a in common for b in group)
        common = either([[span for span in cuts if span.start < span.end]])
    return common
