"""A named set, what may fill each of its places, and what a booking was given when it asked for it."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from gear.booking.models import Booking
from gear.inventory.models import Unit
from gear.stock.models import StockItem

_AMOUNT = {"max_digits": 12, "decimal_places": 3}


class Kit(models.Model):
    """A named set of units, counted things and other kits."""

    name = models.CharField(max_length=120)
    notes = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["name", "id"]
        constraints = [models.UniqueConstraint(Lower("name"), name="kits_name_once")]

    def __str__(self) -> str:
        return self.name


class KitPart(models.Model):
    """A place in a kit. With more than one option it is “one of these”."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80, blank=True, help_text="what it is for; empty: as its first option")
    quantity = models.DecimalField(**_AMOUNT, default=Decimal(1), help_text="of a counted thing")

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(fields=["kit", "position"], name="kits_position_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="kits_part_of_something"),
        ]

    def __str__(self) -> str:
        return f"{self.kit}: {self.name or self.position}"


class KitOption(models.Model):
    """What may fill a place: a unit, a counted thing, or another kit."""

    part = models.ForeignKey(KitPart, on_delete=models.CASCADE, related_name="options")
    position = models.PositiveSmallIntegerField()
    unit = models.ForeignKey(Unit, null=True, on_delete=models.PROTECT, related_name="kit_options")
    item = models.ForeignKey(StockItem, null=True, on_delete=models.PROTECT, related_name="kit_options")
    sub_kit = models.ForeignKey(Kit, null=True, on_delete=models.PROTECT, related_name="inside")

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(unit__isnull=False, item__isnull=True, sub_kit__isnull=True)
                | Q(unit__isnull=True, item__isnull=False, sub_kit__isnull=True)
                | Q(unit__isnull=True, item__isnull=True, sub_kit__isnull=False),
                name="kits_option_is_one_thing",
            ),
        ]

    def __str__(self) -> str:
        return str(self.unit or self.item or self.sub_kit)


class KitPromise(models.Model):
    """A kit as a booking got it. What was taken stays as it was, whatever becomes of the kit."""

    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="kits")
    kit = models.ForeignKey(Kit, null=True, on_delete=models.SET_NULL, related_name="promises")
    name = models.CharField(max_length=120)
    kit_version = models.PositiveIntegerField()
    promised_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.name} for {self.booking}"

    @property
    def source(self) -> str:
        """Under which word its counted things stand in the booking."""
        return f"{self.name[:120]} #{self.pk}"


class KitTaken(models.Model):
    """One thing that a kit brought into a booking. ``instead_of`` names what it stands in for."""

    promise = models.ForeignKey(KitPromise, on_delete=models.CASCADE, related_name="taken")
    part = models.CharField(max_length=200)
    unit = models.ForeignKey(Unit, null=True, on_delete=models.PROTECT, related_name="+")
    item = models.ForeignKey(StockItem, null=True, on_delete=models.PROTECT, related_name="+")
    quantity = models.DecimalField(**_AMOUNT, default=Decimal(1))
    instead_of = models.CharField(max_length=200, blank=True)
    was_there = models.BooleanField(default=False, help_text="the booking had this unit before the kit")
    back_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(unit__isnull=False, item__isnull=True) | Q(unit__isnull=True, item__isnull=False),
                name="kits_taken_is_one_thing",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.unit or self.item}"
