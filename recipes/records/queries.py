"""Which recipes are there, and what has become of one?"""

from __future__ import annotations

from typing import Any

from django.contrib.auth import get_user_model
from django.db.models import Q, QuerySet
from django.db.models.functions import Lower

from gear.errors import Gone
from recipes.records.models import Draft, Recipe, Revision

__all__ = ["a_recipe", "a_revision", "draft_of", "new_draft", "possible_owners", "recipes", "revisions"]


def recipes(search: str = "", owner: Any = None, archived: bool | None = False) -> QuerySet[Recipe]:
    """Recipes by title. ``search`` looks into titles, notes and owners; ``archived`` None gives both."""
    found = Recipe.objects.select_related("owner", "head").order_by(Lower("title"), "id")
    if archived is not None:
        found = found.filter(archived=archived)
    if owner is not None:
        found = found.filter(owner=owner)
    for word in search.replace("\x00", " ").split()[:8]:
        found = found.filter(
            Q(title__icontains=word)
            | Q(head__document__notes__icontains=word)
            | Q(owner__username__icontains=word)
            | Q(owner__first_name__icontains=word)
            | Q(owner__last_name__icontains=word)
        )
    return found


def a_recipe(pk: int) -> Recipe:
    """Raises `Gone`."""
    found = Recipe.objects.select_related("owner", "head", "head__by", "head__recipe").filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no recipe number {pk}.", ways_out=("Look for it in the list of recipes.",))
    return found


def a_revision(pk: int, number: int) -> Revision:
    """Raises `Gone`."""
    found = (
        Revision.objects.select_related("recipe", "recipe__owner", "recipe__head", "by", "based_on")
        .filter(recipe_id=pk, number=number)
        .first()
    )
    if found is None:
        recipe = a_recipe(pk)
        raise Gone(
            f"“{recipe.title}” has no revision {number}; its newest is {recipe.head.number}.",
            ways_out=(f"Look at revision {recipe.head.number}.",),
        )
    return found


def revisions(recipe: Recipe) -> QuerySet[Revision]:
    """Newest first, without their documents."""
    return (
        recipe.revisions.select_related("by", "based_on")
        .defer("document", "based_on__document")
        .order_by("-number")
    )


def draft_of(person: Any, recipe: Recipe | None) -> Draft | None:
    """What somebody has typed and not saved: for a recipe, or for a new one."""
    return (
        Draft.objects.select_related("recipe", "based_on").filter(person=person, recipe=recipe).first()
        if recipe is not None
        else new_draft(person)
    )


def new_draft(person: Any) -> Draft | None:
    return Draft.objects.filter(person=person, recipe=None).first()


def possible_owners(recipe: Recipe) -> QuerySet[Any]:
    """Who may own it instead."""
    people = get_user_model()
    return people.objects.filter(is_active=True, role__in=("manager", "photographer")).exclude(
        pk=recipe.owner_id
    )
