"""Findings as they were computed, with the fingerprint of what they were computed from."""

from __future__ import annotations

from typing import Any

from django.db import models

from studio.shoots.models import ShootRecipe


class Readiness(models.Model):
    """All findings for one recipe at one shoot. It is stale when the fingerprint of today's inputs differs."""

    shoot_recipe = models.OneToOneField(ShootRecipe, on_delete=models.CASCADE, related_name="readiness")
    fingerprint = models.CharField(max_length=64)
    worst = models.CharField(max_length=8)
    findings = models.JSONField(default=list)
    prediction = models.JSONField(default=dict, help_text="placements and settings, for the drawings")
    computed_at = models.DateTimeField()
    told_gaps = models.JSONField(default=list, blank=True, help_text="the gaps that people were told of")

    class Meta:
        ordering = ["shoot_recipe_id"]
        verbose_name_plural = "readiness"

    def __str__(self) -> str:
        return f"{self.shoot_recipe}: {self.worst}"

    @property
    def gaps(self) -> list[dict[str, Any]]:
        """The findings that are gaps by themselves; what only follows from one is not counted beside it."""
        return [one for one in self.findings if one["status"] == "gap" and not one.get("follows")]

    @property
    def gap_names(self) -> list[str]:
        """Which gaps there are, whatever their figures: sorted and once each."""
        return sorted({f"{gap['check']} {gap['about']}" for gap in self.gaps})
