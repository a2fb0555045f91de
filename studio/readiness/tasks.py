"""Background work: re-checking what a change touched, and a sweep that finds whatever was missed."""

from __future__ import annotations

import logging
from typing import Any

from celery import shared_task
from django.db import DatabaseError

from studio.outbox.models import Message
from studio.outbox.services import changes_in, put
from studio.readiness.queries import shoots_to_check, shoots_touched_by
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot

__all__ = ["RECHECK", "recheck", "recheck_touched", "sweep"]

log = logging.getLogger(__name__)

RECHECK = "recheck"
"""The topic of one shoot that is to be checked where it is stale, as ``{"shoot": id}``."""


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


def recheck_touched(body: dict[str, list[int]], message: Message) -> None:
    """Consumer of changes: every shoot that they touch becomes a work of its own, so that workers share them and one
    that cannot be computed keeps no other from it."""
    for shoot_id in sorted({pk for change in changes_in(body) for pk in shoots_touched_by(change)}):
        put(RECHECK, {"shoot": shoot_id})


def recheck(body: dict[str, Any], message: Message) -> None:
    """Consumer: check a shoot where it is stale; doing it twice computes nothing twice."""
    check_shoots(Shoot.objects.filter(pk=body["shoot"]), only_stale=True)
