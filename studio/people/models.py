"""Who works here."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AbstractUser, UserManager
from django.db import models
from django.db.models.functions import Lower, Now


class Role(models.TextChoices):
    MANAGER = "manager", "Studio manager"
    PHOTOGRAPHER = "photographer", "Photographer"
    ASSISTANT = "assistant", "Assistant"


class People(UserManager["Person"]):
    """Capitals in a name make no difference; whoever sets the service up is its first studio manager."""

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(username__iexact=username)

    def create_superuser(self, username: str, *args: Any, **more: Any) -> Person:
        return super().create_superuser(username, *args, **{"role": Role.MANAGER, **more})


class Person(AbstractUser):
    """Somebody who signs in, with the one role that decides what they may do."""

    role = models.CharField(max_length=12, choices=Role, default=Role.ASSISTANT)

    rights_since = models.DateTimeField(
        db_default=Now(),
        editable=False,
        help_text="when role or standing last changed; a trigger sets it, whoever makes the change",
    )

    version = models.PositiveIntegerField(default=1, editable=False)

    objects = People()

    class Meta:
        ordering = ["username"]
        verbose_name_plural = "people"
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="people_known_role"),
            models.UniqueConstraint(
                Lower("username"),
                name="people_one_of_that_name",
                violation_error_message="This name is taken, whether in capitals or not; choose another one.",
            ),
        ]

    def __str__(self) -> str:
        return self.get_full_name() or self.username
