"""What leaves the store and comes back, thing by thing."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from gear.inventory.models import Unit
from studio.shoots.models import Shoot


class PackingLine(models.Model):
    """One unit on a shoot's packing list, and what became of it.

    ``wanted`` is False once the plan no longer needs it; a line that has gone out stays until it is accounted for.
    """

    class Outcome(models.TextChoices):
        IN = "in", "Came back"
        USED = "used", "Used up"
        REPORTED = "reported", "Reported missing or damaged"

    shoot = models.ForeignKey(Shoot, on_delete=models.CASCADE, related_name="packing_lines", db_index=False)
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="packing_lines")
    reason = models.CharField(max_length=200, blank=True, help_text="why it is on the list")
    wanted = models.BooleanField(default=True)
    out_at = models.DateTimeField(null=True, blank=True)
    out_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", db_index=False
    )
    outcome = models.CharField(max_length=8, choices=Outcome, blank=True)
    outcome_at = models.DateTimeField(null=True, blank=True)
    outcome_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", db_index=False
    )
    outcome_note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["shoot_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["shoot", "unit"], name="packing_unit_once"),
            models.UniqueConstraint(
                fields=["unit"], name="packing_out_once", condition=Q(out_at__isnull=False, outcome="")
            ),
            models.CheckConstraint(
                condition=Q(outcome="") | Q(out_at__isnull=False),
                name="packing_comes_back_only_what_went_out",
            ),
            models.CheckConstraint(
                condition=Q(outcome_at__isnull=True) | Q(outcome_at__gte=F("out_at")),
                name="packing_back_after_out",
            ),
        ]
        indexes = [
            models.Index(
                fields=["shoot"], condition=Q(out_at__isnull=False, outcome=""), name="packing_outside"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.shoot}: {self.unit}"


class PackingClosure(models.Model):
    """A shoot's list closed by somebody: only when out = in + used + reported."""

    shoot = models.OneToOneField(Shoot, on_delete=models.CASCADE, related_name="packing_closure")
    closed_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    note = models.CharField(max_length=300, blank=True)

    def __str__(self) -> str:
        return f"{self.shoot} closed"


class Dispute(models.Model):
    """One unit was packed for two shoots, by people who could not know of each other. Both facts are kept: ``holder``
    is the line that was known first and stands as out, ``claim`` the other one. A later scan settles it."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="disputes")
    holder = models.ForeignKey(PackingLine, on_delete=models.PROTECT, related_name="disputed_by")
    claim = models.ForeignKey(PackingLine, on_delete=models.PROTECT, related_name="claims")
    claimed_at = models.DateTimeField(help_text="when the unit was packed for the second shoot")
    claimed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    opened_at = models.DateTimeField(auto_now_add=True)
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    settled_for = models.ForeignKey(
        Shoot, null=True, on_delete=models.SET_NULL, related_name="+", help_text="where the unit really was"
    )

    class Meta:
        ordering = ["opened_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["claim"], condition=Q(settled_at=None), name="packing_claim_open_once"
            ),
            models.CheckConstraint(condition=~Q(holder=F("claim")), name="packing_dispute_of_two"),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.holder.shoot} or {self.claim.shoot}"


class FoundThing(models.Model):
    """A thing in the found tray: it was scanned with a mark that no unit has. Nothing is made of it by itself."""

    mark = models.CharField(max_length=120)
    shoot = models.ForeignKey(Shoot, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    unit = models.ForeignKey(
        Unit, null=True, on_delete=models.SET_NULL, related_name="+", help_text="what it turned out to be"
    )
    words = models.CharField(max_length=300, blank=True, help_text="what became of it")

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["mark"], condition=Q(settled_at=None), name="packing_found_once"),
        ]

    def __str__(self) -> str:
        return f"found: {self.mark}"

    @property
    def zone(self) -> str:
        """The wall clock of where it was found."""
        return self.shoot.booking.zone if self.shoot else "UTC"
