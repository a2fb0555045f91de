"""Who does what was written down: a worker behind the broker, or this process when there is no broker.

What a broker does not take waits in its row until a relay hands it over. A broker that lost what it was given loses
nothing either: what no worker has done after `HAND_AGAIN` is handed over again. No lock is held while something is
handed over, so that a worker that is quick finds the row free.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from celery import current_app
from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from studio.outbox.models import Message
from studio.outbox.patience import HandOver

__all__ = ["HAND_AGAIN", "hand_over_due", "hand_soon", "has_broker"]

HAND_AGAIN = timedelta(minutes=10)
CLAIMED_FOR = timedelta(seconds=30)
"""How long others leave alone what this process is just handing over; it may die at that."""

MOST_A_ROUND = 200

_TASK = "studio.outbox.tasks.deliver_message"
_hand_over = HandOver()

Deliver = Callable[[int], bool]


def has_broker() -> bool:
    """Whether work goes to workers."""
    return not settings.CELERY_TASK_ALWAYS_EAGER


def hand_soon(message_id: int, deliver: Deliver) -> None:
    """Right after the commit: the fast way, which may fail or be cut off without harm."""
    if not has_broker():
        deliver(message_id)
        return
    fresh = Message.objects.filter(pk=message_id, done_at=None, handed_at=None)
    if _claim(fresh):  # several changes of one transaction are one message: the first of them hands it over
        _hand([message_id])


def hand_over_due(deliver: Deliver) -> int:
    """One round of a relay: what is due is handed over, or done here without a broker; returns how many.

    Any number of relays may run: each row is claimed by one of them.
    """
    due = Message.objects.filter(done_at=None, due_at__lte=timezone.now()).order_by("due_at", "id")
    if not has_broker():
        return sum(deliver(pk) for pk in list(due.values_list("pk", flat=True)[:MOST_A_ROUND]))
    with transaction.atomic():
        locked = due.select_for_update(skip_locked=True)
        claimed = list(locked.values_list("pk", flat=True)[:MOST_A_ROUND])
        _claim(Message.objects.filter(pk__in=claimed))
    return _hand(claimed)


def _claim(messages: QuerySet[Message]) -> int:
    now = timezone.now()
    return messages.update(handed_at=now, due_at=now + CLAIMED_FOR)


def _hand(message_ids: list[int]) -> int:
    """Hand over what this process has claimed, and let go of the rest when the broker fails; returns how many."""
    handed = []
    for message_id in message_ids:
        if not _hand_over.send(lambda pk=message_id: current_app.send_task(_TASK, [pk], retry=False)):
            break
        handed.append(message_id)
    now = timezone.now()
    with transaction.atomic():
        # Whatever is locked is being done right now: nothing is to be said of it, and nobody should wait for it.
        waiting = Message.objects.filter(done_at=None).select_for_update(skip_locked=True)
        given = list(waiting.filter(pk__in=handed).values_list("pk", flat=True))
        Message.objects.filter(pk__in=given).update(due_at=now + HAND_AGAIN)
        left = list(waiting.filter(pk__in=message_ids[len(handed) :]).values_list("pk", flat=True))
        Message.objects.filter(pk__in=left).update(handed_at=None, due_at=now)
    return len(handed)
