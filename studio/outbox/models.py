"""Work that follows from a change, written down in the transaction of the change."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class Message(models.Model):
    """Something to do after a commit. It waits until it is done, whoever dies in between.

    ``due_at`` is when a relay takes it up (again): a moment after the commit, or when a worker should long have done
    it, or later after every failure. ``transaction`` is set on what may be merged within one transaction.
    """

    topic = models.CharField(max_length=40)
    body = models.JSONField(default=dict)
    transaction = models.BigIntegerField(null=True, editable=False)
    made_at = models.DateTimeField()
    due_at = models.DateTimeField()
    handed_at = models.DateTimeField(null=True, help_text="when it was given to the broker")
    done_at = models.DateTimeField(null=True)
    failures = models.PositiveIntegerField(default=0)
    last_failure = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["transaction", "topic"],
                condition=Q(done_at=None, transaction__isnull=False),
                name="outbox_one_a_transaction",
            )
        ]
        indexes = [
            models.Index(fields=["due_at", "id"], condition=Q(done_at=None), name="outbox_due"),
            models.Index(fields=["made_at"], condition=Q(done_at=None), name="outbox_waiting"),
            models.Index(fields=["done_at"], condition=Q(done_at__isnull=False), name="outbox_done"),
        ]

    def __str__(self) -> str:
        return f"{self.topic} {self.pk}"
