"""What waits to be done, and since when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Min, Q, QuerySet
from django.utils import timezone

from studio.outbox.models import Message

__all__ = ["Waiting", "failing", "waiting"]


@dataclass(frozen=True)
class Waiting:
    """How many messages are not done, how many of them a worker has, how many failed, since when the oldest waits, and
    for how many seconds that is."""

    count: int
    handed: int
    failed: int
    since: datetime | None
    oldest_s: float


def waiting(now: datetime | None = None) -> Waiting:
    """What is not done, in one query."""
    now = now or timezone.now()
    found = Message.objects.filter(done_at=None).aggregate(
        count=Count("pk"),
        handed=Count("pk", filter=Q(handed_at__isnull=False)),
        failed=Count("pk", filter=Q(failures__gt=0)),
        since=Min("made_at"),
    )
    since = found["since"]
    oldest_s = max((now - since).total_seconds(), 0.0) if since else 0.0
    return Waiting(found["count"], found["handed"], found["failed"], since, oldest_s)


def failing() -> QuerySet[Message]:
    """Messages whose work failed and will be tried again, the oldest first."""
    return Message.objects.filter(done_at=None, failures__gt=0).order_by("made_at")
