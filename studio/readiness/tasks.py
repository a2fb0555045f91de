"""Background work: re-checking what a change touched, and a sweep that finds whatever was missed."""

from __future__ import annotations

import logging
from time import monotonic

from celery import shared_task
from django.db import DatabaseError
from kombu.exceptions import OperationalError

from gear.changes import Change
from studio.readiness.queries import shoots_to_check, shoots_touched_by
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot

__all__ = ["recheck", "recheck_touched", "sweep"]

log = logging.getLogger(__name__)

QUIET_S = 15.0
"""For how long nothing is handed to a broker that did not answer."""

_quiet_until = 0.0


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

    A broker that does not answer keeps nobody waiting twice: for a while nothing is handed over, and the sweep finds
    what was left.
    """
    global _quiet_until
    shoot_ids = shoots_touched_by(change)
    if not shoot_ids or monotonic() < _quiet_until:
        return
    try:
        recheck.delay(shoot_ids)
    except OperationalError as trouble:
        _quiet_until = monotonic() + QUIET_S
        log.warning("no broker (%s): the sweep will check shoots %s", trouble, shoot_ids)
