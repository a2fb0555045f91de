"""Doing what a request asks once, however often it is sent.

The kept answer and the change stand or fall in one transaction. Whoever dies before the commit has done nothing, and
the repetition does it; whoever dies after the commit has kept the answer, and the repetition gets it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import connection, transaction
from django.http import HttpResponse
from django.utils import timezone

from gear.booking.transactions import in_one_transaction
from gear.errors import Conflict, Invalid
from studio.once.asked import Asked
from studio.once.models import KeptAnswer

__all__ = ["KEPT_FOR", "answer_once", "forget_old_answers"]

KEPT_FOR = timedelta(days=90)

_KEPT_HEADERS = ("Content-Type", "ETag", "Location")
_ASK_AGAIN = {401, 403, 408, 413, 429}
"""Refusals for who asks or how, not for what is asked: a repetition is judged anew."""


class _Refused(Exception):
    """Carries a refusing answer out of the transaction, so that nothing of the attempt stays."""

    def __init__(self, answer: HttpResponse) -> None:
        self.answer = answer


@in_one_transaction
def answer_once(asked: Asked, act: Callable[[], HttpResponse]) -> HttpResponse:
    """The answer of ``act``, or the one that was kept when the same was asked before.

    Tried again as a whole when the database asks for it. Raises `Invalid` when the key was used for another request,
    `Conflict` while the same key is being worked on.
    """
    _claim(asked)
    kept = KeptAnswer.objects.filter(person=asked.person_id, key=asked.key).first()
    if kept is not None:
        return _repeated(kept, asked)
    try:
        with transaction.atomic():
            answer = act()
            if answer.status_code >= 400:
                raise _Refused(answer)
    except _Refused as refused:
        answer = refused.answer
    if answer.status_code < 500 and answer.status_code not in _ASK_AGAIN:
        KeptAnswer.objects.create(
            person_id=asked.person_id,
            key=asked.key,
            method=asked.method,
            path=asked.path,
            asked_hash=asked.asked_hash,
            status=answer.status_code,
            headers={name: answer.headers[name] for name in _KEPT_HEADERS if name in answer.headers},
            body=answer.content,
        )
    return answer


def forget_old_answers(now: datetime | None = None) -> int:
    """Forget answers older than `KEPT_FOR`; returns how many."""
    return KeptAnswer.objects.filter(made_at__lt=(now or timezone.now()) - KEPT_FOR).delete()[0]


def _claim(asked: Asked) -> None:
    """Take the key until the transaction ends, however it ends. A lock, since a row would keep others waiting."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_try_advisory_xact_lock(hashtextextended(%s, 0))",
            [f"once {asked.person_id} {asked.key}"],
        )
        if not cursor.fetchone()[0]:
            raise Conflict(
                "This change is being made right now, by an earlier request with the same key. "
                "Wait a moment and send it again with the same key to see what became of it.",
                code="in-progress",
            )


def _repeated(kept: KeptAnswer, asked: Asked) -> HttpResponse:
    if kept.asked_hash != asked.asked_hash:
        raise Invalid(
            f"This key was used for another request ({kept.method} {kept.path}, {kept.made_at:%d %b %H:%M} UTC), "
            f"and nothing was done. Send a new key with every new change.",
            code="key-used",
        )
    answer = HttpResponse(bytes(kept.body), status=kept.status, headers=kept.headers)
    answer["Idempotency-Replayed"] = "true"
    return answer
