"""Who works here."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models.functions import Now


class Role(models.TextChoices):
    MANAGER = "manager", "Studio manager"
    PHOTOGRAPHER = "photographer", "Photographer"
    ASSISTANT = "assistant", "Assistant"


class Person(AbstractUser):
    """Somebody who signs in, with the one role that decides what they may do."""

    role = models.CharField(max_length=12, choices=Role, default=Role.ASSISTANT)

    rights_since = models.DateTimeField(
        db_default=Now(),
        editable=False,
        help_text="when role or standing last changed; a trigger sets it, whoever makes the change",
    )

    class Meta:
        ordering = ["username"]
        verbose_name_plural = "people"
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="people_known_role"),
        ]

    def __str__(self) -> str:
        return self.get_full_name() or self.username
