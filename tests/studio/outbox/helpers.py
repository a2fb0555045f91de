"""Consumers to watch, and time that passes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.db.models import F

from studio.outbox.models import Message

__all__ = ["Heard", "time_passes"]


class Heard:
    """A consumer that remembers what it was given, and fails as long as ``trouble`` is set."""

    def __init__(self) -> None:
        self.bodies: list[Any] = []
        self.trouble: Exception | None = None

    def __call__(self, body: Any, message: Message) -> None:
        if self.trouble:
            raise self.trouble
        self.bodies.append(body)


def time_passes(by: timedelta) -> None:
    """Everything in the outbox happened that much longer ago."""
    Message.objects.update(made_at=F("made_at") - by, due_at=F("due_at") - by, done_at=F("done_at") - by)
