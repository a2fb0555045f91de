"""Who does the work of a topic. Each topic has one consumer, registered when its area starts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from studio.outbox.models import Message

__all__ = ["Consumer", "consume", "consumer_of"]

Consumer = Callable[[Any, Message], None]
"""Called with the body and the message, in the transaction that marks it done. What it does may be repeated: a mail or
another thing outside the database happens again when the commit fails."""

_consumers: dict[str, Consumer] = {}


def consume(topic: str, act: Consumer) -> None:
    """Let ``act`` do the work of a topic."""
    _consumers[topic] = act


def consumer_of(topic: str) -> Consumer:
    """Who does it. Raises `LookupError` for a topic that nobody knows, for instance on a worker of an older version."""
    try:
        return _consumers[topic]
    except KeyError:
        raise LookupError(f"nobody here does “{topic}”; is this process older than the others?") from None
