"""The workers' side of the outbox, and one round of the relay."""

from __future__ import annotations

from celery import shared_task

from studio.outbox.handing import hand_over_due
from studio.outbox.services import deliver, forget_done

__all__ = ["deliver_message", "forget", "relay"]


@shared_task
def deliver_message(message_id: int) -> bool:
    """Do the work of a message; one that is done already, or in somebody's hands, is left alone."""
    return deliver(message_id)


@shared_task
def relay() -> int:
    """Hand over what was left: by a crash after the commit, by a broker that was away; returns how many."""
    return hand_over_due(deliver)


@shared_task
def forget() -> int:
    """Remove what was done long ago; returns how many."""
    return forget_done()
