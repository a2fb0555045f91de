"""Background work: re-checking what a change touched, and a sweep that finds whatever was missed."""

from __future__ import annotations

from celery import shared_task

from gear.changes import Change
from studio.readiness.queries import shoots_touched_by, stale_shoots
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot

__all__ = ["recheck", "recheck_touched", "sweep"]


@shared_task
def recheck(shoot_ids: list[int]) -> int:
    """Check these shoots where they are stale; returns how many recipes were computed."""
    return len(check_shoots(Shoot.objects.filter(pk__in=shoot_ids), only_stale=True))


@shared_task
def sweep() -> int:
    """Check every coming shoot that is stale, whatever the reason; returns how many recipes were computed."""
    return len(check_shoots(stale_shoots(), only_stale=True))


def recheck_touched(change: Change) -> None:
    """Listener of `gear.changes`: hand the touched shoots to a worker, or do it here without a broker."""
    shoot_ids = shoots_touched_by(change)
    if shoot_ids:
        recheck.delay(shoot_ids)
