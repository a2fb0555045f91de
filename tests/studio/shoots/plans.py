"""Shoots for the tests: planned through the services, a month ahead."""

from __future__ import annotations

from typing import Any

from recipes.records.models import Recipe
from studio.people.models import Person
from studio.shoots import services
from studio.shoots.models import Shoot, ShootRecipe
from tests.builders import a_gear_type, a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import between

__all__ = ["a_camera", "a_stand", "planned", "the_recipe"]


def planned(
    *recipes: Recipe, start: float = 10, end: float = 14, by: Person | None = None, **more: Any
) -> Shoot:
    """A shoot from one hour to another, with these recipes, or with the portrait at the big window."""
    by = by or a_person()
    room = more.pop("room", None) or a_room()
    return services.plan_shoot(
        more.pop("title", "Portraits"),
        room,
        between(start, end, "Europe/Paris"),
        more.pop("photographer", None),
        by,
        recipes=[recipe.head for recipe in recipes or (a_recipe(),)],
        state=more.pop("state", "hold"),
        **more,
    )


def the_recipe(shoot: Shoot) -> ShootRecipe:
    """Its first recipe."""
    return shoot.recipes.get(position=1)


def a_camera(**more: Any) -> Any:
    """A camera body with a lens mount of its own."""
    spec = {
        "sensor_width_mm": 36.0,
        "sensor_height_mm": 24.0,
        "pixels_wide": 8000,
        "sync_speed_s": 0.005,
        "lens_mount": "tram-48",
    }
    return a_unit(a_gear_type("camera", spec), **more)


def a_stand(max_height_m: float = 2.6, max_load_kg: float = 9.0, **more: Any) -> Any:
    """A stand."""
    spec = {
        "min_height_m": 1.0,
        "max_height_m": max_height_m,
        "foot_radius_m": 0.5,
        "max_load_kg": max_load_kg,
    }
    return a_unit(a_gear_type("stand", spec), **more)
