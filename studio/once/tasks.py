"""Background work: old answers are forgotten."""

from __future__ import annotations

from celery import shared_task

from studio.once.services import forget_old_answers

__all__ = ["forget"]


@shared_task
def forget() -> int:
    """Forget answers that nobody will ask for any more; returns how many."""
    return forget_old_answers()
