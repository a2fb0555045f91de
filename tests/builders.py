"""Small builders for tests: each makes one thing with sensible figures, and lets a test name what matters to it."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta
from typing import Any

from gear.booking.models import Booking
from gear.catalogue.models import GearType
from gear.inventory.models import Unit
from recipes.look import Look, parse_look
from recipes.records.models import Recipe, Revision
from studio.people.models import Person
from studio.places.models import Place, Room, RoomCircuit
from studio.shoots.models import Shoot, ShootRecipe
from tests.recipes.looks import LOOK

_count = itertools.count(1)

STROBE = {
    "kind": "strobe",
    "energy_ws": 500,
    "lowest_setting_stops": -6,
    "step": "1/10",
    "output": [
        {"setting_stops": 0, "f_number_iso100": 45.0, "distance_m": 1.0},
        {"setting_stops": -6, "f_number_iso100": 5.6, "distance_m": 1.0},
    ],
    "durations": [
        {"setting_stops": 0, "t01_s": 1 / 400, "t05_s": 1 / 1200},
        {"setting_stops": -6, "t01_s": 1 / 6000, "t05_s": 1 / 12000},
    ],
    "recycle": [{"setting_stops": 0, "ready_s": 1.2, "full_s": 1.4}, {"setting_stops": -6, "ready_s": 0.1}],
    "colour": [{"setting_stops": 0, "cct_k": 5600}],
    "supply": "battery",
    "battery_fit": "rail-48",
    "mount": "bayonet-four",
    "radio": ["northlight"],
    "mass_kg": 2.4,
}


def a_person(role: str = "manager", **more: Any) -> Person:
    """Somebody with a role; the password is ``tram-depot-7``."""
    person = Person(username=more.pop("username", f"{role}-{next(_count)}"), role=role, **more)
    person.set_password("tram-depot-7")
    person.save()
    return person


def a_gear_type(kind: str = "strobe", spec: dict[str, Any] | None = None, **more: Any) -> GearType:
    """A catalogue entry; a strobe unless another kind comes with its spec."""
    number = next(_count)
    sheet = {**(STROBE if kind == "strobe" else {"kind": kind}), **(spec or {})}
    gear_type = GearType(
        slug=more.pop("slug", f"{kind}-{number}"),
        name=more.pop("name", f"{kind.title()} {number}"),
        maker=more.pop("maker", "Halden Works"),
        kind=kind,
        spec=sheet,
        **more,
    )
    gear_type.full_clean()
    gear_type.save()
    return gear_type


def a_unit(gear_type: GearType | None = None, **more: Any) -> Unit:
    """One physical thing; a strobe unless told otherwise."""
    unit = Unit(tag=more.pop("tag", f"T-{next(_count):03d}"), gear_type=gear_type or a_gear_type(), **more)
    unit.full_clean()
    unit.save()
    return unit


def a_room(**more: Any) -> Room:
    """A room of six by eight metres with one circuit, in a place of its own."""
    place = more.pop("place", None) or Place.objects.create(
        name=f"Tram depot {next(_count)}",
        zone="Europe/Paris",
        country="FR",
        latitude_deg=48.85,
        longitude_deg=2.35,
    )
    room = Room.objects.create(
        **{
            "place": place,
            "name": "Hall",
            "width_m": 6.0,
            "depth_m": 8.0,
            "height_m": 4.0,
            "mark_x_m": 3.0,
            "mark_y_m": 3.0,
            **more,
        }
    )
    RoomCircuit.objects.create(room=room, name="A")
    return room


def a_look(**changes: Any) -> Look:
    """The portrait at the big window, with top-level fields replaced."""
    return parse_look({**LOOK, **changes})


def a_recipe(owner: Person | None = None, look: Look | None = None, **more: Any) -> Recipe:
    """A recipe with its first revision."""
    look = look or a_look()
    recipe = Recipe.objects.create(title=look.title, owner=owner or a_person("photographer"), **more)
    recipe.head = Revision.objects.create(
        recipe=recipe, number=1, document=look.model_dump(mode="json", exclude_none=True), by=recipe.owner
    )
    recipe.save()
    return recipe


def a_booking(starts_at: datetime | None = None, hours: float = 4, **more: Any) -> Booking:
    """A confirmed booking, next week unless told otherwise."""
    starts_at = starts_at or (datetime.now(UTC) + timedelta(days=7)).replace(
        minute=0, second=0, microsecond=0
    )
    return Booking.objects.create(
        **{
            "title": f"Booking {next(_count)}",
            "state": Booking.State.CONFIRMED,
            "starts_at": starts_at,
            "ends_at": starts_at + timedelta(hours=hours),
            "zone": "Europe/Paris",
            **more,
        }
    )


def a_shoot(*recipes: Recipe, booking: Booking | None = None, room: Room | None = None, **more: Any) -> Shoot:
    """A confirmed shoot with these recipes in order; units are not assigned."""
    booking = booking or a_booking()
    shoot = Shoot.objects.create(
        **{"title": booking.title, "booking": booking, "room": room or a_room(), **more}
    )
    for position, recipe in enumerate(recipes, start=1):
        ShootRecipe.objects.create(shoot=shoot, revision=recipe.head, position=position)
    return shoot
