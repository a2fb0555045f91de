"""What an import would do, or did, row by row: the same for units and gear types. Pure: no Django."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from gear.errors import FieldProblem, Invalid

__all__ = ["FieldChange", "ImportReport", "Outcome", "RowReport"]

Outcome = Literal["new", "changed", "unchanged", "refused"]

_PROBLEMS_NAMED = 200


@dataclass(frozen=True)
class FieldChange:
    """One field whose value the import changes, as text."""

    field: str
    old: str
    new: str


@dataclass(frozen=True)
class RowReport:
    """One row: its number in the file (the header is row 1), what it is about, and what becomes of it."""

    row: int
    name: str
    outcome: Outcome
    changes: tuple[FieldChange, ...] = ()
    problems: tuple[FieldProblem, ...] = ()


@dataclass(frozen=True)
class ImportReport:
    """A whole file. ``applied`` tells what was done from what would be done."""

    what: Literal["units", "gear types"]
    rows: tuple[RowReport, ...]
    applied: bool = False

    @cached_property
    def counts(self) -> dict[Outcome, int]:
        """How many rows of each outcome."""
        found = Counter(row.outcome for row in self.rows)
        return {name: found[name] for name in ("new", "changed", "unchanged", "refused")}

    @property
    def refused(self) -> bool:
        """Whether any row stands in the way; then nothing of the file is applied."""
        return self.counts["refused"] > 0

    @property
    def changes_nothing(self) -> bool:
        return self.counts["new"] + self.counts["changed"] == 0

    @property
    def digest(self) -> str:
        """A fingerprint of everything that a person sees in this report, to notice that it became another."""
        return hashlib.sha256(repr((self.what, self.rows)).encode("utf-8", "backslashreplace")).hexdigest()

    def raise_if_refused(self) -> None:
        """Raises `Invalid` that names row and column of each problem."""
        if not self.refused:
            return
        problems = [
            FieldProblem(f"row {row.row}, {problem.where}", problem.expected)
            for row in self.rows
            for problem in row.problems
        ]
        raise Invalid(
            f"Nothing was imported: {self.counts['refused']} of {len(self.rows)} rows need mending. "
            f"First: {problems[0].where}: {problems[0].expected}.",
            tuple(problems[:_PROBLEMS_NAMED]),
        )
