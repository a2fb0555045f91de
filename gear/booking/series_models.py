"""A series: the rule by which something repeats, and what became of each of its days."""

from __future__ import annotations

from django.conf import settings
from django.contrib.postgres.functions import RandomUUID
from django.db import models
from django.db.models import Q

from gear.booking.series_rule import Rule


class Series(models.Model):
    """A rule and its first day.

    ``slot_time`` and ``zone`` name its days in calendars and never change: whatever becomes of an occurrence, it is
    called by the time that the rule gave it at first.
    """

    class Each(models.TextChoices):
        DAY = "day", "Day"
        WEEK = "week", "Week"
        MONTH = "month", "Month"
        YEAR = "year", "Year"

    class MonthlyOn(models.TextChoices):
        DAY = "day", "The same day of the month"
        WEEKDAY = "weekday", "The same weekday of the month"
        LAST_WEEKDAY = "last-weekday", "The last such weekday of the month"

    class Skip(models.TextChoices):
        OMIT = "omit", "Leave it out"
        BACKWARD = "backward", "The last day before it"
        FORWARD = "forward", "The first day after it"

    uid = models.UUIDField(
        db_default=RandomUUID(), unique=True, editable=False, help_text="its name in calendars, for ever"
    )
    first = models.DateField()
    each = models.CharField(max_length=5, choices=Each)
    interval = models.PositiveSmallIntegerField(default=1)
    weekdays = models.CharField(max_length=20, blank=True, help_text="MO,TU,... of a weekly rule")
    monthly_on = models.CharField(max_length=12, choices=MonthlyOn, default=MonthlyOn.DAY)
    skip = models.CharField(max_length=8, choices=Skip, default=Skip.OMIT)
    count = models.PositiveSmallIntegerField(null=True, blank=True)
    until = models.DateField(null=True, blank=True)
    zone = models.CharField(max_length=64, help_text="IANA time zone in which its days are named")
    slot_time = models.CharField(
        max_length=5, help_text="HH:MM; empty: its days are named by their date", blank=True
    )
    made_to = models.DateField(help_text="every day of the rule up to this one is in the series")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "series"
        constraints = [
            models.CheckConstraint(
                condition=Q(count__isnull=True) | Q(until__isnull=True), name="booking_series_one_end"
            ),
            models.CheckConstraint(condition=Q(interval__gte=1), name="booking_series_steps"),
        ]

    def __str__(self) -> str:
        return f"series {self.pk}"

    @property
    def rule(self) -> Rule:
        """Its rule."""
        return Rule(
            self.each,
            self.interval,
            tuple(self.weekdays.split(",")) if self.weekdays else (),
            self.monthly_on,
            self.skip,
            self.count,
            self.until,
        )


class Occurrence(models.Model):
    """A day of the rule: a booking, or the reason why there is none. A day is never dropped in silence."""

    series = models.ForeignKey(Series, on_delete=models.CASCADE, related_name="occurrences")
    day = models.DateField(help_text="the day that the rule gave it, wherever it was moved to")
    booking = models.OneToOneField(
        "booking.Booking", null=True, blank=True, on_delete=models.CASCADE, related_name="occurrence"
    )
    left_out = models.TextField(blank=True, help_text="why it was not booked")
    left_out_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(fields=["series", "day"], name="booking_series_day_once"),
            models.CheckConstraint(
                condition=Q(booking__isnull=False, left_out="") | (Q(booking__isnull=True) & ~Q(left_out="")),
                name="booking_series_booked_or_why_not",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.series}, {self.day}"
