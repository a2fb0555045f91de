"""What comes out when two people changed the same thing, value by value?

What only one of them changed is taken, what both changed alike is taken once, and what they changed differently is a
conflict that a person decides. Pure: of any tree of named values, whatever it describes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from recipes.records.tree import MISSING, Path, Tree, pointer

__all__ = ["Choice", "Conflict", "three_way"]

Choice = Literal["theirs", "mine"]


@dataclass(frozen=True)
class Conflict:
    """One path that both changed, differently. A value is `MISSING` where that version has no such part."""

    path: Path
    base: Any
    theirs: Any
    mine: Any
    choice: Choice | None = None

    @property
    def key(self) -> str:
        """The path as one word: what a form field or an API answer calls it."""
        return pointer(self.path)


def three_way(
    base: Tree, theirs: Tree, mine: Tree, choices: Mapping[str, Choice] | None = None
) -> tuple[Tree, tuple[Conflict, ...]]:
    """Both sets of changes in one tree, and every conflict, decided or not.

    Parameters
    ----------
    base: what both started from.
    theirs, mine: what is saved now, and what is to be saved.
    choices: for each conflict decided so far, by its ``key``, whose value stands. Undecided ones stand as theirs, so
        that nothing saved is overwritten.
    """
    merger = _Merger(choices or {})
    return merger.merged((), base, theirs, mine), tuple(merger.conflicts)


@dataclass
class _Merger:
    choices: Mapping[str, Choice]
    conflicts: list[Conflict] = field(default_factory=list)

    def merged(self, path: Path, base: Any, theirs: Any, mine: Any) -> Any:
        if (
            isinstance(theirs, dict)
            and isinstance(mine, dict)
            and (isinstance(base, dict) or base is MISSING)
        ):
            return self._mapping(path, base if isinstance(base, dict) else {}, theirs, mine)
        if _same(theirs, mine) or _same(base, mine):
            return theirs
        if _same(base, theirs):
            return mine
        choice = self.choices.get(pointer(path))
        self.conflicts.append(Conflict(path, base, theirs, mine, choice))
        return mine if choice == "mine" else theirs

    def _mapping(self, path: Path, base: Tree, theirs: Tree, mine: Tree) -> Tree:
        merged: Tree = {}
        for key in _order(list(base), list(theirs), list(mine)):
            value = self.merged(
                (*path, key), base.get(key, MISSING), theirs.get(key, MISSING), mine.get(key, MISSING)
            )
            if value is not MISSING:
                merged[key] = value
        return merged


def _same(one: Any, other: Any) -> bool:
    """Equal, and of one kind: True is not 1 in a document."""
    if isinstance(one, bool) is not isinstance(other, bool):
        return False
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(_same(one[key], other[key]) for key in one)
    return bool(one == other)


def _order(base: list[str], theirs: list[str], mine: list[str]) -> list[str]:
    """All keys, in theirs' order unless only mine was rearranged; new ones after the neighbour they came with."""
    both = [key for key in base if key in theirs and key in mine]
    rearranged = [key for key in theirs if key in both] != both
    first, second = (theirs, mine) if rearranged else (mine, theirs)
    order = list(first)
    place = 0
    for key in second:
        if key in order:
            place = order.index(key) + 1
        else:
            order.insert(place, key)
            place += 1
    return order
