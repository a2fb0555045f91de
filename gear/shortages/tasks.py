"""What time alone brings about: an ended hold, a return that is later still."""

from __future__ import annotations

from celery import shared_task

from gear.shortages.review import review_all

__all__ = ["sweep"]


@shared_task
def sweep() -> None:
    """Bring every shortage in line with the facts."""
    review_all()
