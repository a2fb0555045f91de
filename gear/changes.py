"""Telling the rest of the house that something changed, without knowing who wants to hear.

A service announces inside its transaction, and a writer keeps the announcement there: it is committed with the change
or not at all, and whoever acts on it does so afterwards. Truth never depends on that: whoever keeps something computed
also keeps a fingerprint of its inputs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

__all__ = ["Change", "Topic", "announce", "write_with"]

Topic = Literal["unit", "gear-type", "stock", "recipe", "room", "shoot"]


@dataclass(frozen=True)
class Change:
    """What changed: a topic and the ids of its rows."""

    topic: Topic
    ids: tuple[int, ...]


_writers: list[Callable[[Change], None]] = []


def write_with(writer: Callable[[Change], None]) -> None:
    """Call ``writer`` with every announcement, inside the transaction. Registering twice has no effect."""
    if writer not in _writers:
        _writers.append(writer)


def announce(topic: Topic, ids: Iterable[int]) -> None:
    """Say, inside the transaction that changes them, which rows of a topic change."""
    change = Change(topic, tuple(ids))
    if change.ids:
        for writer in _writers:
            writer(change)
