"""Writing work down with a change, and doing it afterwards; what was written down is done at least once.

Between processes nothing is remembered but the row. Done means: the consumer's own writing and the mark ``done_at``
were committed together.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from gear.changes import Change
from studio.outbox.consumers import consumer_of
from studio.outbox.handing import hand_soon
from studio.outbox.models import Message

__all__ = ["CHANGES", "changes_in", "deliver", "forget_done", "keep_changes", "put"]

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


def keep_changes(changes: Sequence[Change]) -> None:
    """Writer of `gear.changes`: all changes of one transaction become one message."""
    now, body = timezone.now(), {change.topic: sorted(set(change.ids)) for change in changes}
    with connection.cursor() as cursor:
        cursor.execute(_MERGE, [CHANGES, json.dumps(body), now, now + GRACE])
        (message_id,) = cursor.fetchone()
    # Also when they were merged into an older one: whether that one will be seen to is not known here, and what is
    # done already is not done twice.
    _after_commit(message_id)


def changes_in(body: dict[str, list[int]]) -> list[Change]:
    """The changes that a message of the topic `CHANGES` holds."""
    return [Change(topic, tuple(ids)) for topic, ids in sorted(body.items())]  # type: ignore[arg-type]


def deliver(message_id: int) -> bool:
    """Do the work of a message, unless it is done or somebody is at it. Returns whether it was done here and now.

    A consumer that fails is undone and tried again later, ever more rarely; the failure stands in the row.
    """
    try:
        with transaction.atomic():
            # Marked before the work, so that one statement finds, locks and marks it; work that fails undoes the mark.
            marked = list(Message.objects.raw(_MARK_DONE, [timezone.now(), message_id]))
            for message in marked:
                consumer_of(message.topic)(message.body, message)
    except Exception as trouble:
        log.exception("outbox: message %s failed", message_id)
        _keep_failure(message_id, trouble)
        return False
    return bool(marked)


def forget_done(now: datetime | None = None) -> int:
    """Remove what was done more than `KEPT_DONE` ago; returns how many."""
    return Message.objects.filter(done_at__lt=(now or timezone.now()) - KEPT_DONE).delete()[0]


def _keep_failure(message_id: int, trouble: Exception) -> None:
    with transaction.atomic():
        left = Message.objects.select_for_update(skip_locked=True).filter(pk=message_id, done_at=None).first()
        if left is None:
            return  # somebody else is at it by now, or did it
        left.failures += 1
        left.last_failure = f"{type(trouble).__name__}: {trouble}"[:300]
        left.due_at = timezone.now() + min(GRACE * 2**left.failures, _LONGEST_WAIT)
        left.save(update_fields=["failures", "last_failure", "due_at"])


def _after_commit(message_id: int) -> None:
    transaction.on_commit(lambda: hand_soon(message_id, deliver), robust=True)


_MARK_DONE = """
UPDATE outbox_message SET done_at = %s
WHERE id = (SELECT id FROM outbox_message WHERE id = %s AND done_at IS NULL FOR UPDATE SKIP LOCKED)
RETURNING *
"""
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
