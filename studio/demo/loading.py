"""Loading the demo studio, through the same paths that a user has: imports, services, and forms' own validation."""

from __future__ import annotations

import csv
import io
import json
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pghistory
from django.db import transaction
from django.utils import timezone

from gear.booking.interval import period
from gear.booking.models import Booking
from gear.catalogue.importing import import_gear_types
from gear.errors import Invalid
from gear.inventory.importing import import_units
from recipes.look import parse_look
from recipes.records.models import Recipe
from recipes.records.services import write_recipe
from studio.demo.life import (
    borrowed,
    care_over_the_years,
    counted_things,
    small_lights,
    stand_in_line,
    wednesdays,
)
from studio.demo.people import make_people
from studio.packing.services import close_list, pack_out, take_back, update_list
from studio.people.models import Person
from studio.places.models import Place, Room, RoomCircuit, RoomWindow
from studio.shoots.assigning import assign_unit
from studio.shoots.models import Shoot
from studio.shoots.services import add_extra_unit, confirm_shoot, plan_shoot
from studio.shoots.stocking import set_shoot_stock
from studio.shoots.suggesting import suggest_units

__all__ = ["is_loaded", "load_demo"]

DATA = Path(__file__).parent / "data"
WRITTEN_ON = date(2026, 11, 25)
"""The day on which the inspections of ``units.csv`` were due as it says."""


def is_loaded() -> bool:
    """Whether this studio already has people or a place: then the demo has no business here."""
    return Place.objects.exists() or Person.objects.exists()


@transaction.atomic
def load_demo(today: date | None = None) -> None:
    """The whole demo studio or nothing; shoots are laid around ``today``."""
    people = make_people()
    manager, photographer = people["manager"], people["photographer"]
    with pghistory.context(user=manager.pk):
        desk_day = today or timezone.localdate()
        _gear(manager, desk_day)
        rooms = _rooms()
        recipes = {
            path.stem: write_recipe(parse_look(path.read_text()), photographer, note="first written down")
            for path in sorted((DATA / "recipes").glob("*.json"))
        }
        _shoots(_Desk(people, rooms, recipes, today))


def _gear(by: Person, today: date) -> None:
    types = import_gear_types((DATA / "gear_types.json").read_text(), by)
    units = import_units(_due_as_ever((DATA / "units.csv").read_bytes().decode(), today), by)
    for report in (types, units):
        if not report.applied:
            refused = next(row for row in report.rows if row.outcome == "refused")
            raise Invalid(f"The demo's own gear does not import: {refused}")


def _due_as_ever(sheet: str, today: date) -> str:
    """The units, with the inspections that are due moved along, so that the store looks the same on any day."""
    rows = list(csv.DictReader(io.StringIO(sheet)))
    for row in rows:
        if row["inspection_due"]:
            due = date.fromisoformat(row["inspection_due"]) + (today - WRITTEN_ON)
            row["inspection_due"] = due.isoformat()
    moved = io.StringIO()
    writer = csv.DictWriter(moved, rows[0])
    writer.writeheader()
    writer.writerows(rows)
    return moved.getvalue()


def _rooms() -> dict[str, Room]:
    sheet: dict[str, Any] = json.loads((DATA / "places.json").read_text())
    rooms = sheet.pop("rooms")
    place = _valid(Place(**sheet))
    made = {}
    for one in rooms:
        windows, circuits = one.pop("windows"), one.pop("circuits")
        room = made[one["name"]] = _valid(Room(place=place, **one))
        for window in windows:
            _valid(RoomWindow(room=room, **window))
        for circuit in circuits:
            _valid(RoomCircuit(room=room, **circuit))
    return made


def _valid(thing: Any) -> Any:
    thing.full_clean()
    thing.save()
    return thing


class _Desk:
    """Plans shoots as the manager would, days from today."""

    def __init__(
        self,
        people: dict[str, Person],
        rooms: dict[str, Room],
        recipes: dict[str, Recipe],
        today: date | None,
    ) -> None:
        self.people, self.rooms, self.recipes = people, rooms, recipes
        self.zone = next(iter(rooms.values())).place.zone
        self.today = today or timezone.now().astimezone(ZoneInfo(self.zone)).date()

    def plan(
        self, title: str, room: str, on: date, hours: tuple[int, int], looks: tuple[str, ...], **more: Any
    ) -> Shoot:
        starts, ends = (f"{datetime.combine(on, time(hour)):%Y-%m-%dT%H:%M}" for hour in hours)
        return plan_shoot(
            title,
            self.rooms[room],
            period(starts, ends, self.zone),
            self.people["photographer"],
            self.people["manager"],
            recipes=[self.recipes[look].head for look in looks],
            assistant=self.people["assistant"],
            **more,
        )

    def give(self, shoot: Shoot, position: int, light: str, job: str, tag: str, number: int = 1) -> None:
        recipe = shoot.recipes.get(position=position)
        assign_unit(recipe, light, job, number, tag, self.people["manager"])

    def stock(self, shoot: Shoot, spares: str) -> None:
        """Put the spares on the shoot, then let the store fill the empty jobs."""
        for tag in spares.split():
            add_extra_unit(shoot, tag, self.people["manager"])
        suggest_units(shoot, self.people["manager"])

    def wait_for(self, shoot: Shoot, tag: str) -> None:
        """Stand in line for a unit that somebody else has on hold."""
        add_extra_unit(shoot, tag, self.people["manager"], behind=True)

    def next_weekday(self, weekday: int) -> date:
        """The next such day after today, Monday is 0."""
        return self.today + timedelta(days=(weekday - self.today.weekday() - 1) % 7 + 1)


def _shoots(desk: _Desk) -> None:
    manager, assistant = desk.people["manager"], desk.people["assistant"]
    day = timedelta(days=1)
    tuesday = desk.next_weekday(1)

    figures = desk.plan("Work coats", "Car hall", desk.today - 6 * day, (9, 13), ("figure-on-grey",))
    desk.give(figures, 1, "Key", "head", "M-09")
    desk.stock(figures, "R-27 R-28 R-35 R-36 H-05 X-01")
    confirm_shoot(figures, manager)
    _pack(figures, assistant)
    for line in figures.packing_lines.select_related("unit"):
        take_back(figures, line.unit.tag, assistant)
    close_list(figures, assistant)

    lookbook = desk.plan(
        "Spring lookbook",
        "Car hall",
        tuesday,
        (9, 14),
        ("window-portrait", "window-portrait-moody", "silhouette"),
        notes="Three looks before lunch. The big board comes off the hall wall.",
    )
    for position in (1, 2):
        desk.give(lookbook, position, "Key", "board", "B-01")
        desk.give(lookbook, position, "Key", "board-stand", "S-11")
    desk.give(lookbook, 1, "Key", "head", "K-01")
    desk.give(lookbook, 2, "Key", "head", "K-05")
    desk.give(lookbook, 2, "Key", "stand", "S-12")
    for side, head, stand in (("left", "K-05", "S-12"), ("right", "K-06", "S-13")):
        desk.give(lookbook, 3, f"Paper {side}", "head", head)
        desk.give(lookbook, 3, f"Paper {side}", "stand", stand)
    desk.stock(lookbook, "R-05 R-06 R-07 R-15 R-16 R-27 R-28 R-35 R-36 H-01 H-05 X-01")
    confirm_shoot(lookbook, manager)

    talk = desk.plan("Two people talking", "Paint shop", desk.today, (8, 20), ("interview",))
    desk.give(talk, 1, "Guest key", "head", "L-07")
    desk.give(talk, 1, "Host key", "head", "L-08")
    desk.stock(talk, "R-29 R-30 H-06 X-02")
    confirm_shoot(talk, manager)
    _pack(talk, assistant, all_but=2)

    catalogue = desk.plan(
        "Glass and tin catalogue", "Paint shop", desk.today + day, (13, 18), ("product-table",)
    )
    desk.give(catalogue, 1, "Overhead", "head", "M-01")
    desk.give(catalogue, 1, "Front", "head", "M-05")
    desk.give(catalogue, 1, "Front", "stand", "S-14")
    desk.give(catalogue, 1, "Overhead", "stand", "S-20")
    desk.give(catalogue, 1, "Overhead", "weight", "W-01")
    desk.give(catalogue, 1, "Overhead", "weight", "W-02", 2)
    desk.stock(catalogue, "R-31 R-32 R-37 R-38 H-07")
    confirm_shoot(catalogue, manager)

    poster = desk.plan("Dance school poster", "Car hall", tuesday + 2 * day, (10, 16), ("dancer",))
    desk.give(poster, 1, "Key", "head", "M-12")
    desk.stock(poster, "R-15 R-16 R-17 R-29 R-30 R-39 R-40 H-06")
    desk.plan(
        "Orchestra headshots",
        "Car hall",
        tuesday + 8 * day,
        (9, 17),
        ("dish-headshot", "figure-on-grey"),
        state=Booking.State.ENQUIRY,
        notes="Forty people. They will call back about the date.",
    )
    stand_in_line(desk, tuesday + 2 * day, "M-12")
    borrowed(tuesday + day, desk.zone, manager)
    things = counted_things(manager)
    wednesdays(desk, tuesday + 8 * day, small_lights(things["clamps"], manager), things)
    set_shoot_stock(lookbook, things["tape"].pk, "1.5", manager)
    set_shoot_stock(lookbook, things["clamps"].pk, 8, manager)
    care_over_the_years(desk.today, manager)


def _pack(shoot: Shoot, by: Person, all_but: int = 0) -> None:
    update_list(shoot)
    lines = list(shoot.packing_lines.select_related("unit").order_by("pk"))
    for line in lines[: len(lines) - all_but]:
        pack_out(shoot, line.unit.tag, by)
