"""What each shoot of a series is given, from which day on."""

from __future__ import annotations

from django.db import models

from gear.booking.models import Series


class SeriesPattern(models.Model):
    """What a series says from a day of its rule on, until the next pattern: `studio.shoots.series_pattern.Pattern` as a
    document. A change of "this and the following" begins a new one, so that what was before keeps its own."""

    series = models.ForeignKey(Series, on_delete=models.CASCADE, related_name="patterns")
    since = models.DateField()
    document = models.JSONField()

    class Meta:
        ordering = ["since"]
        constraints = [
            models.UniqueConstraint(fields=["series", "since"], name="shoots_pattern_once_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.series} since {self.since}"
