"""What every page of editing needs: the recipe that may be changed, what stands around its form, where steps live."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from recipes.records.models import Draft, Recipe
from recipes.records.queries import a_recipe
from recipes.records.rules import require_change
from recipes.records.steps import STEPS, Step

__all__ = ["frame", "sent_number", "step_url", "to_change"]


def to_change(request: HttpRequest, pk: int | None) -> Recipe | None:
    """The recipe, None for a new one. Raises `Gone` and `NotAllowed`."""
    if pk is None:
        return None
    recipe = a_recipe(pk)
    require_change(recipe, request.user)
    return recipe


def frame(recipe: Recipe | None, draft: Draft | None) -> dict[str, Any]:
    """What every page of editing shows around its form."""
    begun_from = draft.based_on if draft else (recipe.head if recipe else None)
    return {
        "recipe": recipe,
        "draft": draft,
        "begun_from": begun_from,
        "overtaken": bool(recipe and begun_from and begun_from.pk != recipe.head_id),
        "text_url": reverse("recipes:edit-text", args=[recipe.pk]) if recipe else reverse("recipes:new-text"),
        "steps_url": step_url(recipe, STEPS[0]),
    }


def step_url(recipe: Recipe | None, step: Step) -> str:
    """The address of a step, of a recipe or of a new one."""
    if recipe is None:
        return reverse("recipes:new-step", args=[step.slug])
    return reverse("recipes:edit-step", args=[recipe.pk, step.slug])


def sent_number(request: HttpRequest, name: str = "based_on") -> int | None:
    """The number of a revision that a form carries; None when it carries none."""
    text = request.POST.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 8 else None
