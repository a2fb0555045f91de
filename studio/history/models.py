"""What the database itself wrote down of every change, whoever made it and by whatever way."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class Event(models.Model):
    """One row of a watched table that was made, changed or deleted. Triggers write it; nobody changes it.

    ``row_before`` and ``row_after`` are the whole row as the database had it. ``parent_id`` is the row that this one is
    shown with, an assignment's recipe on a shoot for example. Events of one transaction have the same ``at``.
    """

    class Act(models.TextChoices):
        MADE = "made", "Made"
        CHANGED = "changed", "Changed"
        DELETED = "deleted", "Deleted"

    at = models.DateTimeField()
    act = models.CharField(max_length=7, choices=Act)
    table = models.CharField(max_length=40)
    row_id = models.BigIntegerField()
    parent_id = models.BigIntegerField(null=True)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        on_delete=models.DO_NOTHING,
        db_constraint=False,
        db_index=False,
        related_name="+",
        help_text="who was signed in; empty for background work and what is done to the database directly",
    )
    row_before = models.JSONField(null=True)
    row_after = models.JSONField(null=True)

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(fields=["table", "row_id", "id"], name="history_of_a_row"),
            models.Index(
                fields=["table", "parent_id", "id"],
                condition=models.Q(parent_id__isnull=False),
                name="history_of_a_parent",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.table} {self.row_id} {self.act}"
