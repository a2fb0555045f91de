"""Telling the rest of the house that something changed, without knowing who listens.

A service announces inside its transaction; listeners are called after the commit, so that nobody acts on what may
still be rolled back. Truth never depends on a listener: whoever keeps something computed also keeps a fingerprint of
its inputs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

from django.db import transaction

__all__ = ["Change", "Topic", "announce", "listen"]

Topic = Literal["unit", "gear-type", "recipe", "room", "shoot"]


@dataclass(frozen=True)
class Change:
    """What changed: a topic and the ids of its rows."""

    topic: Topic
    ids: tuple[int, ...]


_listeners: list[Callable[[Change], None]] = []


def listen(listener: Callable[[Change], None]) -> None:
    """Call ``listener`` after every commit that announced something. Registering twice has no effect."""
    if listener not in _listeners:
        _listeners.append(listener)


def announce(topic: Topic, ids: Iterable[int]) -> None:
    """Say, inside the transaction that changes them, which rows of a topic change."""
    change = Change(topic, tuple(ids))
    if change.ids:
        for listener in _listeners:
            transaction.on_commit(lambda listener=listener: listener(change), robust=True)
