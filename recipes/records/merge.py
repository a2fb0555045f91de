"""What comes out when two people changed the same revision of a recipe?

A three-way merge by field path. Parts with names (zones, lights, ambient readings, lifts) are matched by name. Pure:
two looks and the one that both started from in, a document and its conflicts out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from recipes.look import Look
from recipes.records.three_way import Choice, Conflict, three_way
from recipes.records.tree import as_document, as_tree

__all__ = ["Choice", "Conflict", "Merge", "merge"]


@dataclass(frozen=True)
class Merge:
    """The merged document; undecided conflicts stand in it as theirs, so nothing saved is overwritten."""

    document: dict[str, Any]
    conflicts: tuple[Conflict, ...]

    @property
    def undecided(self) -> tuple[Conflict, ...]:
        return tuple(conflict for conflict in self.conflicts if conflict.choice is None)


def merge(base: Look, theirs: Look, mine: Look, choices: Mapping[str, Choice] | None = None) -> Merge:
    """Both sets of changes in one document.

    Parameters
    ----------
    base: what both started from.
    theirs, mine: what is saved now, and what is to be saved.
    choices: for each conflict decided so far, by its ``key``, whose value stands.

    Returns the document as stored (not yet validated: two changes that fit the document each may contradict each
    other) and every conflict, decided or not.
    """
    tree, conflicts = three_way(as_tree(base), as_tree(theirs), as_tree(mine), choices)
    return Merge(as_document(tree), conflicts)
