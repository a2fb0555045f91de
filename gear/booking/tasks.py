"""What time alone brings about: a hold or a challenge ends, and the next in line moves up."""

from __future__ import annotations

from celery import shared_task

from gear.booking.promotion import promote_due

__all__ = ["move_up"]


@shared_task
def move_up() -> int:
    """Give units whose holds have ended to those who wait for them; returns how many."""
    return promote_due()
