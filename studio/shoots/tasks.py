"""What time alone brings about for shoots."""

from __future__ import annotations

from celery import shared_task

from studio.shoots.series_extending import extend_all

__all__ = ["extend_series"]


@shared_task
def extend_series() -> int:
    """Book the days of series that have come into sight; returns how many shoots were booked."""
    return extend_all()
