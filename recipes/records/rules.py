"""Who may change which recipe?"""

from __future__ import annotations

from typing import Protocol

from gear.errors import NotAllowed
from recipes.records.models import Recipe

__all__ = ["Person", "may_change", "require_change"]


class Person(Protocol):
    """Somebody who is signed in."""

    pk: int
    role: str
    is_superuser: bool


def may_change(recipe: Recipe, by: Person) -> bool:
    """The manager all, a photographer their own, an assistant none."""
    if by.is_superuser or by.role == "manager":
        return True
    return by.role == "photographer" and recipe.owner_id == by.pk


def require_change(recipe: Recipe, by: Person) -> None:
    """Raises `NotAllowed` with a sentence that says who can."""
    if not may_change(recipe, by):
        raise NotAllowed(
            f"“{recipe.title}” belongs to {recipe.owner}, and you may change only your own recipes. Copy it as one of "
            "your own, or ask its owner or the studio manager.",
            ways_out=("Copy it as one of your own.", f"Ask {recipe.owner} or the studio manager."),
        )
