"""What was agreed with the owner of a borrowed unit."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

from gear.inventory.models import Unit

_MINUTES = [MaxValueValidator(60 * 24 * 30)]


class SubHire(models.Model):
    """A unit borrowed from outside: from when, and when it must be back with its owner. Travel is ours both ways."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="sub_hires")
    owner = models.CharField(max_length=120)
    contact = models.CharField(max_length=200, blank=True)
    from_at = models.DateTimeField(help_text="when it can be fetched from its owner")
    back_by = models.DateTimeField(help_text="when it must be back with its owner")
    travel_in_minutes = models.PositiveIntegerField(default=0, validators=_MINUTES)
    travel_out_minutes = models.PositiveIntegerField(default=0, validators=_MINUTES)
    zone = models.CharField(max_length=64, default="UTC", help_text="in which the times were agreed")
    price = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    agreed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    agreed_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_why = models.CharField(max_length=300, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["from_at", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(back_by__gt=F("from_at")), name="subhire_lasts"),
            models.UniqueConstraint(
                fields=["unit"], condition=Q(ended_at=None), name="subhire_one_at_a_time"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit} of {self.owner}"
