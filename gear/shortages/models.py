"""A promise that can no longer be met, and everything that was said and done about it."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q

from gear.booking.models import Booking
from gear.inventory.models import Unit
from gear.stock.models import StockItem


class Cause(models.TextChoices):
    """What bent the plan."""

    DAMAGE = "damage", "Damaged"
    LOSS = "loss", "Lost"
    LATE = "late", "Late return"
    CAPACITY = "capacity", "Fewer than were promised"
    SUB_HIRE = "sub-hire", "Sub-hire fell through"
    OVERBOOKED = "overbooked", "Overbooked on purpose"


class Shortage(models.Model):
    """One booking is short of one unit, or of so many of a counted thing. Open until it is resolved."""

    class How(models.TextChoices):
        SWAP = "swap", "Another unit goes"
        FEWER = "fewer", "It goes with fewer"
        WITHOUT = "without", "It goes without"
        MOVE = "move", "The booking moved"
        MET_AGAIN = "met-again", "It can be met again"
        LET_GO = "let-go", "It is not asked for any more"
        OVER = "over", "Its time is over"

    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="shortages")
    unit = models.ForeignKey(Unit, null=True, on_delete=models.PROTECT, related_name="shortages")
    item = models.ForeignKey(StockItem, null=True, on_delete=models.PROTECT, related_name="shortages")
    quantity = models.DecimalField(max_digits=12, decimal_places=3, default=Decimal(1))
    cause = models.CharField(max_length=10, choices=Cause)
    detail = models.CharField(max_length=300, blank=True)
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        on_delete=models.SET_NULL,
        related_name="shortages",
        help_text="who sees to it",
    )
    opened_at = models.DateTimeField(auto_now_add=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    how = models.CharField(max_length=10, choices=How, blank=True)

    class Meta:
        ordering = ["booking__starts_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(unit__isnull=False, item__isnull=True) | Q(unit__isnull=True, item__isnull=False),
                name="shortages_of_one_thing",
            ),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="shortages_of_something"),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, how="") | (Q(closed_at__isnull=False) & ~Q(how="")),
                name="shortages_closed_somehow",
            ),
            models.UniqueConstraint(
                fields=["booking", "unit"], condition=Q(closed_at=None), name="shortages_unit_open_once"
            ),
            models.UniqueConstraint(
                fields=["booking", "item"], condition=Q(closed_at=None), name="shortages_item_open_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thing} for {self.booking}"

    @property
    def thing(self) -> str:
        """What is missing, in words."""
        if self.unit:
            return self.unit.tag
        return f"{self.quantity.normalize():f} {self.item}"


class ShortageNote(models.Model):
    """One line of the trail. Written once: the table refuses to change or delete it."""

    shortage = models.ForeignKey(Shortage, on_delete=models.CASCADE, related_name="notes")
    text = models.CharField(max_length=500)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.text


class LateReturn(models.Model):
    """Somebody said, or the clock did, that a unit comes back later than promised: until then it is not here."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="late_returns")
    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="late_returns")
    back_at = models.DateTimeField()
    told_at = models.DateTimeField(auto_now=True)
    told_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["back_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit"], condition=Q(settled_at=None), name="shortages_late_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit} late from {self.booking}"
