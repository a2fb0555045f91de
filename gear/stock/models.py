"""What is counted, what changed its number, and who was promised how much."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

from django.conf import settings
from django.contrib.postgres.fields import DateTimeRangeField
from django.contrib.postgres.indexes import GistIndex
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from gear.booking.models import Booking
from gear.catalogue.models import GearType

_CALENDAR = (datetime(1900, 1, 1, tzinfo=UTC), datetime(2501, 1, 1, tzinfo=UTC))
_AMOUNT = {"max_digits": 12, "decimal_places": 3}
_MINUTES = [MaxValueValidator(60 * 24 * 30)]


class StockItem(models.Model):
    """Things that are counted and returned (sandbags, clamps), or counted and used up (tape, paper, gels)."""

    name = models.CharField(max_length=120)
    gear_type = models.ForeignKey(
        GearType, null=True, blank=True, on_delete=models.PROTECT, related_name="stock_items"
    )
    counted_in = models.CharField(max_length=20, default="pieces", help_text="pieces, metres, rolls")
    whole = models.BooleanField(default=True, help_text="only whole numbers")
    consumable = models.BooleanField(default=False, help_text="used up rather than returned")
    reorder_point = models.DecimalField(**_AMOUNT, null=True, blank=True)
    overbooking_percent = models.PositiveSmallIntegerField(default=0)
    prep_minutes = models.PositiveIntegerField(default=0, validators=_MINUTES)
    turnaround_minutes = models.PositiveIntegerField(default=0, validators=_MINUTES)
    shelf = models.CharField(max_length=80, blank=True)
    notes = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.UniqueConstraint(Lower("name"), name="stock_name_once"),
            models.CheckConstraint(
                condition=Q(overbooking_percent__lte=100), name="stock_overbooking_at_most_100"
            ),
            models.CheckConstraint(
                condition=Q(reorder_point__isnull=True) | Q(reorder_point__gte=0),
                name="stock_reorder_point_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class StockMovement(models.Model):
    """A fact that changed how many there are, from an instant on. Never changed afterwards; a wrong one is corrected by
    another."""

    class Kind(models.TextChoices):
        PURCHASE = "purchase", "Bought"
        LOSS = "loss", "Lost"
        BREAK = "break", "Broken"
        USE = "use", "Used up"
        CORRECTION = "correction", "Counted"

    item = models.ForeignKey(StockItem, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=Kind)
    quantity = models.DecimalField(**_AMOUNT, help_text="signed")
    effective_at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)
    booking = models.ForeignKey(Booking, null=True, on_delete=models.SET_NULL, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    entered_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-effective_at", "-id"]
        indexes = [models.Index(fields=["item", "effective_at"], name="stock_movement_by_time")]
        constraints = [
            models.CheckConstraint(condition=~Q(quantity=0), name="stock_movement_moves"),
            models.CheckConstraint(
                condition=Q(kind="correction")
                | Q(kind="purchase", quantity__gt=0)
                | Q(kind__in=["loss", "break", "use"], quantity__lt=0),
                name="stock_movement_has_its_sign",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item}: {self.get_kind_display()} {self.quantity:+}"


class StockPromise(models.Model):
    """So many promised to a booking. ``use`` is the asked time, ``blocked`` the same plus prep and turnaround.

    Nothing in the table forbids promising too many: whoever promises holds the lock of the item. What left and what
    became of it is counted here as well: out = back + used + reported + still out.
    """

    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="stock_promises")
    item = models.ForeignKey(StockItem, on_delete=models.PROTECT, related_name="promises")
    source = models.CharField(max_length=140, blank=True, help_text="the kit it belongs to; empty for loose")
    quantity = models.DecimalField(**_AMOUNT)
    use = DateTimeRangeField(default_bounds="[)")
    blocked = DateTimeRangeField(default_bounds="[)")
    active = models.BooleanField(default=True)
    out_quantity = models.DecimalField(**_AMOUNT, default=Decimal(0))
    back_quantity = models.DecimalField(**_AMOUNT, default=Decimal(0))
    used_quantity = models.DecimalField(**_AMOUNT, default=Decimal(0))
    reported_quantity = models.DecimalField(**_AMOUNT, default=Decimal(0))
    counted_back_at = models.DateTimeField(null=True, blank=True)
    promised_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", db_index=False
    )
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        indexes = [
            GistIndex(fields=["item", "blocked"], name="stock_promise_by_time", condition=Q(active=True)),
        ]
        constraints = [
            models.UniqueConstraint(fields=["booking", "item", "source"], name="stock_line_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="stock_promise_of_something"),
            models.CheckConstraint(
                condition=Q(use__isempty=False, blocked__isempty=False), name="stock_ranges_not_empty"
            ),
            models.CheckConstraint(
                condition=Q(
                    use__lower_inc=True,
                    use__upper_inc=False,
                    blocked__lower_inc=True,
                    blocked__upper_inc=False,
                ),
                name="stock_ranges_half_open",
            ),
            models.CheckConstraint(
                condition=Q(
                    use__lower_inf=False,
                    use__upper_inf=False,
                    blocked__lower_inf=False,
                    blocked__upper_inf=False,
                ),
                name="stock_ranges_finite",
            ),
            models.CheckConstraint(condition=Q(blocked__contains=F("use")), name="stock_use_inside_blocked"),
            models.CheckConstraint(
                condition=Q(blocked__contained_by=_CALENDAR), name="stock_ranges_in_the_calendar"
            ),
            models.CheckConstraint(
                condition=Q(back_quantity__gte=0, used_quantity__gte=0, reported_quantity__gte=0)
                & Q(out_quantity__gte=F("back_quantity") + F("used_quantity") + F("reported_quantity")),
                name="stock_back_at_most_what_went_out",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity.normalize():f} {self.item} for {self.booking}"

    @property
    def still_out(self) -> Decimal:
        """What left and is not accounted for."""
        return self.out_quantity - self.back_quantity - self.used_quantity - self.reported_quantity
