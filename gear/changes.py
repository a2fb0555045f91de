"""Telling the rest of the house that something changed, without knowing who wants to hear.

A service announces inside its transaction, and a writer keeps the announcement there: it is committed with the change
or not at all, and whoever acts on it does so afterwards. Truth never depends on that: whoever keeps something computed
also keeps a fingerprint of its inputs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

__all__ = ["Change", "Topic", "Writer", "announce", "announce_together", "write_with"]

Topic = Literal["unit", "gear-type", "stock", "recipe", "room", "shoot"]


@dataclass(frozen=True)
class Change:
    """What changed: a topic and the ids of its rows."""

    topic: Topic
    ids: tuple[int, ...]


Writer = Callable[[Sequence[Change]], None]
"""Called inside the transaction with what changed together, one `Change` a topic."""

_writers: list[Writer] = []


def write_with(writer: Writer) -> None:
    """Call ``writer`` with every announcement. Registering twice has no effect."""
    if writer not in _writers:
        _writers.append(writer)


def announce(topic: Topic, ids: Iterable[int]) -> None:
    """Say, inside the transaction that changes them, which rows of a topic change."""
    announce_together({topic: ids})


def announce_together(changed: Mapping[Topic, Iterable[int]]) -> None:
    """The same of several topics at once, so that whoever hears of them looks once."""
    changes = [
        change for change in (Change(topic, tuple(ids)) for topic, ids in changed.items()) if change.ids
    ]
    if changes:
        for writer in _writers:
            writer(changes)
