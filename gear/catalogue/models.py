"""What the catalogue keeps."""

from __future__ import annotations

from functools import cached_property

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models

from gear.catalogue.entry import INSPECTION_DAYS_AT_MOST, read_sheet
from gear.errors import Invalid
from gear.specs import KINDS, SpecSheet, parse_spec


class GearType(models.Model):
    """A catalogue entry with a typed spec sheet."""

    slug = models.SlugField(max_length=80, unique=True)
    name = models.CharField(max_length=120)
    maker = models.CharField(max_length=80, blank=True)
    kind = models.CharField(max_length=20, choices=[(kind, label) for kind, (label, _) in KINDS.items()])
    spec = models.JSONField(default=dict)
    prep_minutes = models.PositiveIntegerField(default=0, validators=[MaxValueValidator(60 * 24 * 30)])
    turnaround_minutes = models.PositiveIntegerField(default=30, validators=[MaxValueValidator(60 * 24 * 30)])
    inspection_days = models.PositiveIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(INSPECTION_DAYS_AT_MOST)],
        help_text="days from one inspection of a unit to the next; empty: none is asked for",
    )
    inspection_source = models.CharField(
        max_length=200, blank=True, help_text="where that interval comes from"
    )
    notes = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["kind", "name", "id"]
        constraints = [
            models.UniqueConstraint(fields=["maker", "name"], name="catalogue_one_entry_a_type"),
            models.CheckConstraint(condition=models.Q(kind__in=list(KINDS)), name="catalogue_known_kind"),
            models.CheckConstraint(
                condition=models.Q(inspection_days__isnull=True)
                | (models.Q(inspection_days__gte=1) & ~models.Q(inspection_source="")),
                name="catalogue_interval_has_a_source",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}".strip()

    def clean(self) -> None:
        try:
            self.spec = read_sheet(self.kind, self.spec)
        except Invalid as refusal:
            raise ValidationError(
                {"spec": [f"{p.where.removeprefix('spec.')}: {p.expected}" for p in refusal.problems]}
            ) from None

    @cached_property
    def sheet(self) -> SpecSheet:
        """The spec sheet as a typed value."""
        return parse_spec({**self.spec, "kind": self.kind})


TAG = RegexValidator(
    r"^[A-Z0-9][A-Z0-9-]{0,18}[A-Z0-9]$",
    "A tag is 2 to 20 capital letters, digits and dashes, for example K-03.",
)
