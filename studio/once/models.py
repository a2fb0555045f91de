"""Answers that were given to requests with a key."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class KeptAnswer(models.Model):
    """What a person's request under this key was answered. It is written with the change itself, or not at all."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+", db_index=False
    )
    key = models.CharField(max_length=255)
    method = models.CharField(max_length=7)
    path = models.TextField()
    asked_hash = models.CharField(max_length=64, help_text="SHA-256 of what was asked")
    status = models.PositiveSmallIntegerField()
    headers = models.JSONField(default=dict)
    body = models.BinaryField()
    made_at = models.DateTimeField(auto_now_add=True, db_index=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["person", "key"], name="once_key_once")]

    def __str__(self) -> str:
        return f"{self.method} {self.path}: {self.status}"
