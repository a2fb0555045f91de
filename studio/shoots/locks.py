"""Which rows does planning lock? The shoot's, before anything of its booking: a plan changes one step at a time."""

from __future__ import annotations

from typing import Any

from gear.changes import announce
from gear.errors import Gone, StaleEdit
from studio.shoots.models import Shoot, ShootRecipe
from studio.shoots.rules import require_right

__all__ = ["changed", "locked", "recipe_locked"]


def changed(shoot: Shoot) -> None:
    """Save a locked shoot under its next version, and tell who listens."""
    shoot.version += 1
    shoot.save()
    announce("shoot", [shoot.pk])


def locked(pk: int, by: Any, action: str, version: int | None = None) -> Shoot:
    """The shoot as it stands now, for somebody who may do that. Raises `Gone`, `NotAllowed`, `StaleEdit`."""
    found = (
        Shoot.objects.select_for_update(no_key=True, of=("self",))
        .select_related("booking", "room__place", "photographer", "assistant")
        .filter(pk=pk)
        .first()
    )
    if found is None:
        raise Gone("That shoot does not exist any more.")
    found.booking.refresh_from_db()
    require_right(by, action, found)
    if version is not None and found.version != version:
        raise StaleEdit(
            f"“{found.title}” was changed by somebody else in the meantime; nothing was overwritten. "
            f"Look at what it says now, then make your change again."
        )
    return found


def recipe_locked(shoot_recipe: ShootRecipe, by: Any) -> tuple[Shoot, ShootRecipe]:
    """The shoot and one recipe on it, for somebody who may change it. Raises `Gone`, `NotAllowed`."""
    shoot = locked(shoot_recipe.shoot_id, by, "change")
    here = shoot.recipes.select_related("revision").filter(pk=shoot_recipe.pk).first()
    if here is None:
        raise Gone(f"That recipe is not on “{shoot.title}” any more.")
    return shoot, here
