"""What time alone brings about on packing lists."""

from __future__ import annotations

from celery import shared_task

from studio.packing.overdue import note_overdue

__all__ = ["look_for_overdue"]


@shared_task
def look_for_overdue() -> int:
    """Report what is out too long while somebody waits for it."""
    return note_overdue()
