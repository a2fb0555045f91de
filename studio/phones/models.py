"""Phones, and every act that one of them has sent. Nothing is deleted: what was refused stays as well."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from gear.inventory.models import Unit
from studio.shoots.models import Shoot


class Device(models.Model):
    """One browser on one phone. Its number is made there, once; a browser that lost its memory is a new one.

    ``done_up_to`` is the last synced point: every act up to that number has arrived and was decided.
    """

    id = models.UUIDField(primary_key=True, editable=False)
    name = models.CharField(max_length=80, blank=True)
    last_person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    first_seen_at = models.DateTimeField(auto_now_add=True)
    last_seen_at = models.DateTimeField()
    done_up_to = models.PositiveIntegerField(default=0)
    unsent = models.PositiveIntegerField(default=0, help_text="how many acts it still kept, as it said last")

    class Meta:
        ordering = ["-last_seen_at"]

    def __str__(self) -> str:
        return f"{self.name or 'a phone'} ({str(self.id)[:4].upper()})"


class Operation(models.Model):
    """One act on one phone: a scan, a tick, a count, a report. ``number`` counts the acts of a phone from 1 without a
    hole; ``document`` is what it sent, without the picture."""

    class State(models.TextChoices):
        DONE = "done", "Done"
        WAITING = "waiting", "Waits for an earlier one"
        REVIEW = "review", "To be looked at"
        DISPUTED = "disputed", "Disputed"
        FOUND = "found", "In the found tray"
        REFUSED = "refused", "Refused"
        GAP = "gap", "Never arrived"

    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="operations")
    number = models.PositiveIntegerField()
    key = models.UUIDField(unique=True, null=True, help_text="made with the act; a gap has none")
    document = models.JSONField(default=dict)
    photo = models.BinaryField(null=True)
    act = models.CharField(max_length=12, blank=True)
    mark = models.CharField(max_length=120, blank=True)
    shoot = models.ForeignKey(Shoot, null=True, on_delete=models.SET_NULL, related_name="phone_operations")
    unit = models.ForeignKey(Unit, null=True, on_delete=models.SET_NULL, related_name="+")
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    acted_at = models.DateTimeField(null=True, help_text="when it was done, by the server's clock")
    received_at = models.DateTimeField(auto_now_add=True)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    sentence = models.CharField(max_length=500, blank=True)
    looked_at = models.DateTimeField(null=True, blank=True)
    looked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ["device_id", "number"]
        constraints = [
            models.UniqueConstraint(fields=["device", "number"], name="phones_number_once"),
            models.CheckConstraint(
                condition=Q(state__in=["done", "waiting", "review", "disputed", "found", "refused", "gap"]),
                name="phones_known_state",
            ),
            models.CheckConstraint(
                condition=Q(key__isnull=False) | Q(state="gap"), name="phones_gap_has_no_key"
            ),
        ]
        indexes = [
            models.Index(
                fields=["shoot"], name="phones_unsettled", condition=Q(state__in=["waiting", "review"])
            )
        ]

    def __str__(self) -> str:
        return f"{self.device} {self.number}"

    @property
    def zone(self) -> str:
        """The wall clock of where it was done."""
        return self.shoot.booking.zone if self.shoot else "UTC"
