"""Applying one remedy of a finding, by the person who reads it."""

from __future__ import annotations

from typing import Any

from gear.errors import Conflict, Gone, StaleEdit
from recipes.look import CameraPlan, parse_look
from recipes.records.services import save_revision
from studio.readiness.queries import readiness_of
from studio.shoots.assigning import assign_unit
from studio.shoots.models import Shoot, ShootRecipe
from studio.shoots.services import update_recipe

__all__ = ["mend"]


def mend(
    shoot: Shoot, position: int, computed_from: str, finding_number: str, remedy_number: str, by: Any
) -> str:
    """Do what a remedy says, if it still speaks of today's figures. Returns what was done, in a sentence.

    Raises `StaleEdit` when the figures have changed since, `Gone` for a remedy that is not there, and whatever the act
    itself refuses.
    """
    one = next((r for r in readiness_of([shoot])[shoot.pk] if r.shoot_recipe.position == position), None)
    if one is None or one.stored is None:
        raise Gone("This recipe is not on the shoot any more; look at the readiness again.")
    if one.stale or one.stored.fingerprint != computed_from:
        raise StaleEdit(
            "The figures have changed since this was computed, so nothing was done. Look at the readiness again."
        )
    remedy = _remedy(one.findings, finding_number, remedy_number)
    arguments = dict(remedy["arguments"])
    match remedy["action"]:
        case "swap_unit":
            assign_unit(
                one.shoot_recipe,
                arguments["light"],
                arguments["job"],
                int(arguments["number"]),
                arguments["unit"],
                by,
            )
            return f"{arguments['unit']} now does {arguments['light']}; the rest is as it was."
        case "change_camera":
            return _change_camera(one.shoot_recipe, arguments, by)
        case _:
            raise Conflict("This remedy is done by hand; its sentence says how.")


def _remedy(findings: list[dict[str, Any]], finding_number: str, remedy_number: str) -> dict[str, Any]:
    """The remedy at these places, which come from a form. Raises `Gone`."""
    places = [int(n) for n in (finding_number, remedy_number) if n.isascii() and n.isdigit() and len(n) < 6]
    try:
        finding, remedy = places
        found: dict[str, Any] = findings[finding]["remedies"][remedy]
    except (ValueError, IndexError):
        raise Gone("This remedy is not known any more; look at the readiness again.") from None
    return found


def _change_camera(shoot_recipe: ShootRecipe, arguments: dict[str, str], by: Any) -> str:
    revision = shoot_recipe.revision
    if revision.recipe.head_id != revision.pk:
        raise Conflict(
            "The recipe has a newer revision than the one on this shoot. Take that one over first, "
            "or change the camera in the recipe itself."
        )
    camera = CameraPlan(**{**revision.look.camera.model_dump(), **arguments})
    look = parse_look({**revision.document, "camera": camera.model_dump(mode="json", exclude_none=True)})
    saved = save_revision(
        revision.recipe, look, revision, by, f"camera changed for {shoot_recipe.shoot.title}"[:300]
    )
    update_recipe(shoot_recipe, saved, by)
    return f"Revision {saved.number}: {camera.aperture}, {camera.shutter} s, ISO {camera.iso}."
