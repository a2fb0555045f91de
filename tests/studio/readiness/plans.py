"""Shoots for the tests of readiness: confirmed, with a head on the key light, and computed once."""

from __future__ import annotations

from typing import Any

from recipes.look import Look
from recipes.records.models import Recipe
from studio.people.models import Person
from studio.readiness.models import Readiness
from studio.readiness.queries import readiness_of
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot
from studio.shoots.services import assign_unit
from tests.builders import STROBE, a_gear_type, a_look, a_person, a_recipe, a_unit
from tests.studio.shoots.plans import planned, the_recipe

__all__ = ["WEAK", "a_checked_shoot", "a_head", "is_stale", "names_of_gaps", "state_of"]

WEAK = {
    "output": [
        {"setting_stops": 0, "f_number_iso100": 5.6, "distance_m": 1.0},
        {"setting_stops": -6, "f_number_iso100": 0.7, "distance_m": 1.0},
    ]
}
"""A head three stops short of the look's f/5.6 from a metre and a half, behind nothing."""


def a_head(tag: str = "K-01", spec: dict[str, Any] | None = None, **more: Any) -> Any:
    """A strobe, with what differs in its sheet."""
    return a_unit(a_gear_type("strobe", {**STROBE, **(spec or {})}), tag=tag, **more)


def a_checked_shoot(
    unit: Any = None, look: Look | None = None, recipe: Recipe | None = None, **more: Any
) -> Shoot:
    """A shoot whose key has a head, with its readiness computed; confirmed unless told otherwise."""
    manager: Person = more.pop("by", None) or a_person()
    recipe = recipe or a_recipe(manager, look or a_look(lights=[{**a_look_light(), "modifier": None}]))
    shoot = planned(recipe, by=manager, **{"state": "confirmed", **more})
    assign_unit(the_recipe(shoot), "Key", "head", 1, (unit or a_head()).tag, manager)
    check_shoots([shoot])
    return shoot


def a_look_light() -> dict[str, Any]:
    """The bare key of the look: at 40 degrees, a metre and a half away."""
    return {
        "name": "Key",
        "role": "key",
        "bearing_deg": 40,
        "distance_m": 1.5,
        "height_m": 2.0,
        "aim": "face",
    }


def state_of(shoot: Shoot) -> Any:
    """What is known of the first recipe of a shoot, read afresh."""
    return readiness_of([shoot])[shoot.pk][0]


def is_stale(shoot: Shoot) -> bool:
    """Whether any recipe of the shoot is stale."""
    return any(one.stale for one in readiness_of([shoot])[shoot.pk])


def names_of_gaps(shoot: Shoot) -> list[str]:
    """The gaps of the first recipe, as stored."""
    return Readiness.objects.get(shoot_recipe=the_recipe(shoot)).gap_names
