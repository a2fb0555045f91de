"""Writing work down with a change, and doing it afterwards; what was written down is done at least once.

Between processes nothing is remembered but the row. Done means: the consumer's own writing and the mark ``done_at``
were committed together.
"""

from __future__ import annotations

import json
import logging
from datetime import datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from gear.changes import Change
from studio.outbox.consumers import consumer_of
from studio.outbox.handing import hand_soon
from studio.outbox.models import Message

__all__ = ["CHANGES", "changes_in", "deliver", "forget_done", "keep_change", "put"]

log = logging.getLogger(__name__)

CHANGES = "changes"
"""The topic of `gear.changes`: all that one transaction announced, as ``{topic: [id, ...]}``."""

GRACE = timedelta(seconds=5)
"""How long the process that committed has to see to its own message before a relay does."""

KEPT_DONE = timedelta(days=7)

_LONGEST_WAIT = timedelta(minutes=10)


def put(topic: str, body: Any) -> int:
    """Write work down in the transaction that is open; it is seen to right after the commit. Returns its id."""
    now = timezone.now()
    message = Message.objects.create(topic=topic, body=body, made_at=now, due_at=now + GRACE)
    _after_commit(message.pk)
    return message.pk


def keep_change(change: Change) -> None:
    """Writer of `gear.changes`: all changes of one transaction become one message."""
    now = timezone.now()
    with connection.cursor() as cursor:
        cursor.execute(
            _MERGE, [CHANGES, json.dumps({change.topic: sorted(set(change.ids))}), now, now + GRACE]
        )
        _after_commit(cursor.fetchone()[0])


def changes_in(body: dict[str, list[int]]) -> list[Change]:
    """The changes that a message of the topic `CHANGES` holds."""
    return [Change(topic, tuple(ids)) for topic, ids in sorted(body.items())]  # type: ignore[arg-type]


def deliver(message_id: int) -> bool:
    """Do the work of a message, unless it is done or somebody is at it. Returns whether it was done here and now.

    A consumer that fails is undone and tried again later, ever more rarely; the failure stands in the row.
    """
    with transaction.atomic():
        message = (
            Message.objects.select_for_update(skip_locked=True).filter(pk=message_id, done_at=None).first()
        )
        if message is None:
            return False
        try:
            with transaction.atomic():
                consumer_of(message.topic)(message.body, message)
        except Exception as trouble:
            log.exception("outbox: %s failed", message)
            message.failures += 1
            message.last_failure = f"{type(trouble).__name__}: {trouble}"[:300]
            message.due_at = timezone.now() + min(GRACE * 2**message.failures, _LONGEST_WAIT)
            message.save(update_fields=["failures", "last_failure", "due_at"])
            return False
        message.done_at = timezone.now()
        message.save(update_fields=["done_at"])
        return True


def forget_done(now: datetime | None = None) -> int:
    """Remove what was done more than `KEPT_DONE` ago; returns how many."""
    return Message.objects.filter(done_at__lt=(now or timezone.now()) - KEPT_DONE).delete()[0]


def _after_commit(message_id: int) -> None:
    transaction.on_commit(lambda: hand_soon(message_id, deliver), robust=True)


_MERGE = """
INSERT INTO outbox_message (topic, body, transaction, made_at, due_at, failures, last_failure)
VALUES (%s, %s::jsonb, pg_current_xact_id()::text::bigint, %s, %s, 0, '')
ON CONFLICT (transaction, topic) WHERE done_at IS NULL AND transaction IS NOT NULL DO UPDATE SET body = (
    SELECT jsonb_object_agg(name, ids) FROM (
        SELECT name, jsonb_agg(DISTINCT one ORDER BY one) AS ids
        FROM (
            SELECT * FROM jsonb_each(outbox_message.body) UNION ALL SELECT * FROM jsonb_each(excluded.body)
        ) AS told(name, listed), jsonb_array_elements(listed) AS each(one)
        GROUP BY name
    ) AS merged
)
RETURNING id
"""
