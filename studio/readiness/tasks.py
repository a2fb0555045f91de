"""Background work: re-checking what a change touched, and a sweep that finds whatever was missed."""

from __future__ import annotations

import logging

from celery import current_app, shared_task
from django.db import DatabaseError

from gear.changes import Change
from studio.readiness.handing_over import HandOver
from studio.readiness.queries import shoots_to_check, shoots_touched_by
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot

__all__ = ["recheck", "recheck_touched", "sweep"]

log = logging.getLogger(__name__)

_hand_over = HandOver()


@shared_task
def recheck(shoot_ids: list[int]) -> int:
    """Check these shoots where they are stale; returns how many recipes were computed."""
    return len(check_shoots(Shoot.objects.filter(pk__in=shoot_ids), only_stale=True))


@shared_task
def sweep() -> int:
    """Check every coming shoot that is stale, whatever the reason; returns how many recipes were computed.

    A shoot that cannot be computed is logged and does not keep the others from being checked.
    """
    done = 0
    for shoot in shoots_to_check():
        try:
            done += len(check_shoots([shoot], only_stale=True))
        except DatabaseError:
            raise
        except Exception:
            log.exception("sweep: shoot %d could not be checked", shoot.pk)
    return done


def recheck_touched(change: Change) -> None:
    """Listener of `gear.changes`: hand the touched shoots to a worker, or do it here without a broker.

    What a broker does not take stays stale, and the sweep finds it.
    """
    shoot_ids = shoots_touched_by(change)
    if not shoot_ids:
        return
    if current_app.conf.task_always_eager:
        recheck.delay(shoot_ids)
    else:
        _hand_over.send(lambda: recheck.delay(shoot_ids))
