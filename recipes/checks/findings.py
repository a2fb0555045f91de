"""What a check answers: a finding, with its number, its limit and a way to mend it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

__all__ = ["SEVERITY", "Action", "Finding", "Remedy", "Status", "Working", "worst"]

Status = Literal["ok", "tight", "gap", "unknown"]

SEVERITY: tuple[Status, ...] = ("gap", "tight", "unknown", "ok")
"""From the one to look at first to the one that needs no look."""


Action = Literal["swap_unit", "change_camera", "assign", "add_unit", "edit_recipe", "none"]
"""What a remedy asks for. The service does the first two by itself; the others say where somebody must look: at the
assigned units, at the packing list, at the recipe, at the set."""


@dataclass(frozen=True)
class Remedy:
    """One way to mend a finding.

    ``arguments`` is what its action needs, as (name, value) pairs of text. ``costs`` says in words what else changes.
    """

    sentence: str
    action: Action = "none"
    arguments: tuple[tuple[str, str], ...] = ()
    costs: str = ""


@dataclass(frozen=True)
class Working:
    """One line of the sum, as a person would write it: name, formula, the numbers put in, the result."""

    name: str
    formula: str
    numbers: str
    result: str


@dataclass(frozen=True)
class Finding:
    """One answer.

    ``check`` is the check's registered name, ``about`` the light, zone or unit it speaks of. ``value``,
    ``limit`` and ``margin`` are in ``unit``; margin is positive when the limit is kept. ``spread`` is one
    standard deviation of the margin in the same unit. ``estimated`` is True when a figure it rests on was
    only estimated. ``missing`` names the figure that would settle an ``unknown``. ``caution`` is the usual
    caution where the work can hurt someone. ``follows`` names the light whose gap this one comes of: it goes with
    that one, and is not counted beside it.
    """

    check: str
    status: Status
    about: str
    sentence: str
    value: float | None = None
    limit: float | None = None
    margin: float | None = None
    unit: str = ""
    spread: float | None = None
    estimated: bool = False
    missing: str = ""
    remedies: tuple[Remedy, ...] = ()
    workings: tuple[Working, ...] = field(default=())
    caution: str = ""
    follows: str = ""


def worst(findings: tuple[Finding, ...] | list[Finding]) -> Status:
    """The status that stands for them all: the most severe one; ``ok`` when there is none."""
    return min((finding.status for finding in findings), key=SEVERITY.index, default="ok")
