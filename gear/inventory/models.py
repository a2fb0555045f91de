"""What the store keeps."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.conf import settings
from django.contrib.postgres.indexes import GinIndex, OpClass
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Upper

from gear.catalogue.models import TAG, GearType
from gear.inventory.short_code import ALPHABET, LENGTH, random_code


class Condition(models.TextChoices):
    """The physical state of a unit; only a person makes it."""

    READY = "ready", "Ready"
    QUARANTINE = "quarantine", "Quarantine"
    REPAIR = "repair", "In repair"
    LOST = "lost", "Lost"
    WRITTEN_OFF = "written-off", "Written off"


class UnitQuerySet(models.QuerySet["Unit"]):
    """Units; whatever is made of them has a short code."""

    def bulk_create(self, objs: Iterable[Unit], *args: Any, **kwargs: Any) -> list[Unit]:
        units = list(objs)
        _give_codes([unit for unit in units if not unit.code])
        return super().bulk_create(units, *args, **kwargs)


class Unit(models.Model):
    """One physical thing with a tag, of one gear type."""

    tag = models.CharField(max_length=20, unique=True, validators=[TAG])
    code = models.CharField(
        max_length=LENGTH,
        unique=True,
        blank=True,
        editable=False,
        help_text="the short code on its label, given once and kept",
    )
    gear_type = models.ForeignKey(GearType, on_delete=models.PROTECT, related_name="units")
    serial = models.CharField(max_length=80, blank=True)
    condition = models.CharField(max_length=12, choices=Condition, default=Condition.READY)
    condition_note = models.CharField(max_length=300, blank=True)
    shelf = models.CharField(max_length=80, blank=True, help_text="where it lives in the store")
    case = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="contents",
        limit_choices_to={"gear_type__kind": "case"},
        help_text="the case it travels in",
    )
    prep_minutes = models.PositiveIntegerField(null=True, blank=True, help_text="empty: as its gear type")
    turnaround_minutes = models.PositiveIntegerField(
        null=True, blank=True, help_text="empty: as its gear type"
    )
    health = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0.05), MaxValueValidator(1.2)],
        help_text="for a battery: share of its rated capacity, as last measured",
    )
    firmware = models.CharField(max_length=40, blank=True, help_text="the version that runs on it")
    flash_count = models.PositiveIntegerField(
        null=True, blank=True, help_text="flashes of its tube, as last read from its counter"
    )
    radio_channel = models.PositiveSmallIntegerField(null=True, blank=True)
    inspection_due = models.DateField(null=True, blank=True)
    bought_on = models.DateField(null=True, blank=True)
    notes = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)
    updated_at = models.DateTimeField(auto_now=True)

    objects = UnitQuerySet.as_manager()

    class Meta:
        ordering = ["tag"]
        indexes = [
            GinIndex(OpClass(Upper("tag"), name="gin_trgm_ops"), name="inventory_tag_search"),
            GinIndex(OpClass(Upper("serial"), name="gin_trgm_ops"), name="inventory_serial_search"),
            models.Index(
                fields=["condition", "-updated_at", "tag"],
                condition=~models.Q(condition="ready"),
                name="inventory_unfit",
            ),
            models.Index(
                fields=["inspection_due", "tag"],
                condition=models.Q(inspection_due__isnull=False),
                name="inventory_to_inspect",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(tag__regex=r"^[A-Z0-9][A-Z0-9-]{0,18}[A-Z0-9]$"), name="inventory_tag_form"
            ),
            models.CheckConstraint(
                condition=models.Q(code__regex=f"^[{ALPHABET}]{{{LENGTH}}}$"), name="inventory_code_form"
            ),
            models.CheckConstraint(
                condition=models.Q(condition__in=Condition.values), name="inventory_known_condition"
            ),
            models.CheckConstraint(
                condition=models.Q(case__isnull=True) | ~models.Q(case=models.F("id")),
                name="inventory_case_is_another",
            ),
        ]

    def __str__(self) -> str:
        return self.tag

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self.code:
            _give_codes([self])
        super().save(*args, **kwargs)

    def clean(self) -> None:
        if not self.code:
            _give_codes([self])

    @property
    def prep(self) -> int:
        """Minutes of preparation before use."""
        return self.gear_type.prep_minutes if self.prep_minutes is None else self.prep_minutes

    @property
    def turnaround(self) -> int:
        """Minutes after use before it may go again."""
        return (
            self.gear_type.turnaround_minutes if self.turnaround_minutes is None else self.turnaround_minutes
        )


def _give_codes(units: list[Unit]) -> None:
    """Give each a short code that no unit has as its code or tag; a code taken in the same instant is the database's
    to refuse."""
    waiting = list(units)
    given: set[str] = {unit.tag for unit in units}
    while waiting:
        drawn = {random_code() for _ in waiting} - given
        named = Unit.objects.filter(models.Q(code__in=drawn) | models.Q(tag__in=drawn))
        drawn -= {name for names in named.values_list("code", "tag") for name in names}
        given |= drawn
        for code in drawn:
            waiting.pop().code = code


class CareEntry(models.Model):
    """One line in the life of a unit. ``happened_on`` is when it was true, ``entered_at`` when we learned it."""

    class Kind(models.TextChoices):
        NOTE = "note", "Note"
        FAULT = "fault", "Fault"
        REPAIR = "repair", "Repair"
        INSPECTION = "inspection", "Inspection"
        MEASUREMENT = "measurement", "Measurement"
        FIRMWARE = "firmware", "Firmware"
        CONDITION = "condition", "Change of condition"

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="care")
    kind = models.CharField(max_length=12, choices=Kind)
    text = models.CharField(max_length=500)
    happened_on = models.DateField()
    health = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0.05), MaxValueValidator(1.2)],
        help_text="for a measured battery: share of its rated capacity",
    )
    flash_count = models.PositiveIntegerField(
        null=True, blank=True, help_text="for a flash head: its counter; with a repair, that of the new tube"
    )
    firmware = models.CharField(max_length=40, blank=True, help_text="the version that was put on it")
    cost = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, help_text="what a repair cost"
    )
    currency = models.CharField(max_length=3, blank=True, help_text="ISO 4217, for example EUR")
    entered_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    condition_before = models.CharField(max_length=12, choices=Condition, blank=True)
    condition_after = models.CharField(max_length=12, choices=Condition, blank=True)

    class Meta:
        ordering = ["-entered_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(cost__isnull=True, currency="")
                | models.Q(cost__isnull=False, cost__gte=0, currency__regex=r"^[A-Z]{3}$"),
                name="inventory_cost_has_a_currency",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_kind_display()} {self.happened_on}"

    @property
    def late(self) -> bool:
        """Whether it was written down more than a day after it was true."""
        return (self.entered_at.date() - self.happened_on).days > 1


class CarePhoto(models.Model):
    """A picture that goes with a line of the care history. It stands in the database, so that it is written with the
    line or not at all, and saved with it."""

    entry = models.ForeignKey(CareEntry, on_delete=models.CASCADE, related_name="photos")
    kind = models.CharField(max_length=12, help_text="media type, for example image/jpeg")
    data = models.BinaryField()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.entry}: picture"


class ImportDraft(models.Model):
    """An uploaded file between its dry run and its confirmation, so that both judge the same text."""

    class What(models.TextChoices):
        UNITS = "units", "Units"
        GEAR_TYPES = "gear-types", "Gear types"

    what = models.CharField(max_length=12, choices=What)
    file_name = models.CharField(max_length=120, blank=True)
    text = models.TextField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(what__in=["units", "gear-types"]), name="inventory_known_import"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()} from {self.file_name or 'a file'}"
