"""What time alone brings about: a hold or a challenge ends, nothing stays on set for it or from it any more, and the
next in line moves up."""

from __future__ import annotations

from celery import shared_task

from gear.booking.promotion import promote_due
from gear.booking.staying_ends import end_stays_of_ended_holds

__all__ = ["move_up"]


@shared_task
def move_up() -> int:
    """Give units whose holds have ended to those who wait for them; returns how many."""
    end_stays_of_ended_holds()
    return promote_due()
