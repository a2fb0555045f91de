"""Mail as work that follows from a change: written down with it, sent after it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage

from studio.outbox.models import Message

__all__ = ["TOPIC", "body_of", "send"]

TOPIC = "mail"


def body_of(subject: str, text: str, to: Iterable[str]) -> dict[str, Any]:
    """What a message of this topic holds."""
    return {"subject": subject, "text": text, "to": sorted(to)}


def send(body: dict[str, Any], message: Message) -> None:
    """Consumer: send it. Sent again after a crash it has the same Message-ID, so that a mailbox can tell."""
    host = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2]
    EmailMessage(
        body["subject"],
        body["text"],
        settings.DEFAULT_FROM_EMAIL,
        body["to"],
        headers={"Message-ID": f"<{message.pk}.{message.made_at:%Y%m%d%H%M%S%f}@{host}>"},
    ).send()
