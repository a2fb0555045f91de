"""Recipes and their revisions. A revision never changes: the database refuses to."""

from __future__ import annotations

from functools import cached_property

from django.conf import settings
from django.db import models

from recipes.look import Look, parse_look


class Recipe(models.Model):
    """A look that can be made again. ``head`` is its newest revision."""

    title = models.CharField(max_length=60)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="recipes")
    head = models.ForeignKey(
        "Revision", null=True, blank=True, on_delete=models.PROTECT, related_name="+", editable=False
    )
    archived = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["title", "id"]

    def __str__(self) -> str:
        return self.title


class Revision(models.Model):
    """One immutable version of a recipe."""

    recipe = models.ForeignKey(Recipe, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    document = models.JSONField()
    note = models.CharField(max_length=300, blank=True)
    based_on = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["recipe_id", "number"]
        constraints = [
            models.UniqueConstraint(fields=["recipe", "number"], name="records_number_once"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="records_number_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.recipe} r{self.number}"

    @cached_property
    def look(self) -> Look:
        """The document as a typed value."""
        return parse_look(self.document)


class Draft(models.Model):
    """What somebody has typed into a recipe and not saved yet: one for each person and recipe, kept across a crash.

    ``recipe`` is empty while a new one is being written. ``typed`` holds the form as typed, right or wrong; ``text`` an
    edit of the document as text that is not a recipe yet. ``based_on`` is the revision that the work started from.
    """

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    recipe = models.ForeignKey(Recipe, null=True, blank=True, on_delete=models.CASCADE, related_name="drafts")
    based_on = models.ForeignKey(Revision, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    typed = models.JSONField()
    text = models.TextField(blank=True)
    note = models.CharField(max_length=300, blank=True)
    begun_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["-updated_at"]
        constraints = [
            models.UniqueConstraint(fields=["person", "recipe"], name="records_one_draft_each"),
            models.UniqueConstraint(
                fields=["person"], condition=models.Q(recipe=None), name="records_one_new_draft_each"
            ),
            models.CheckConstraint(
                condition=models.Q(recipe=None, based_on=None)
                | models.Q(recipe__isnull=False, based_on__isnull=False),
                name="records_draft_starts_somewhere",
            ),
        ]

    def __str__(self) -> str:
        return f"Draft of {self.recipe or 'a new recipe'} by {self.person}"
