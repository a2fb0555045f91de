"""Shoots from a table: planned all together or not at all; a dry run does the same and keeps nothing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from gear.booking.imported import imported_period
from gear.booking.models import Booking
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import say_period
from gear.errors import FieldProblem, Invalid, Refusal
from gear.inventory.csv_text import Table, TableRow, read_table
from studio.places.models import Room
from studio.shoots.asked import person_named
from studio.shoots.models import Shoot
from studio.shoots.series_booking import rehearsed
from studio.shoots.services import add_extra_unit, plan_shoot

__all__ = ["COLUMNS", "ImportedShoot", "import_shoots"]

COLUMNS = {
    "title": "what it is called",
    "room": "the name of the room, or “place: room” where two have the same name",
    "starts": "2026-05-12 09:00 on the clock of the place; a day alone begins at its first instant",
    "ends": "the same; a day alone is included: until 2026-05-14 ends on the 15th at 00:00",
    "state": "hold (also when empty), enquiry or confirmed",
    "photographer": "a user name; empty: nobody yet",
    "units": "tags with a blank between them",
    "notes": "whatever you like",
}
MOST_ROWS = 500


@dataclass(frozen=True)
class ImportedShoot:
    """What a row comes to: ``outcome`` is new, there (the same is planned already) or refused, with the reason."""

    number: int
    title: str
    outcome: str
    when: str = ""
    warnings: tuple[str, ...] = ()
    problem: str = ""
    shoot: Shoot | None = field(default=None, compare=False)


def import_shoots(text: str, by: Any, *, dry_run: bool = False) -> list[ImportedShoot]:
    """Plan the shoots of a table. Raises `Invalid` for a table that cannot be read and, unless ``dry_run``, with every
    row that is refused; then nothing is planned."""
    table = read_table(text, list(COLUMNS))
    if len(table.rows) > MOST_ROWS:
        raise Invalid(f"These are {len(table.rows)} rows; one import takes {MOST_ROWS}. Divide the file.")
    missing = [name for name in ("title", "room", "starts", "ends") if name not in table.columns]
    if missing:
        raise Invalid(
            f"The table has no column {', '.join(missing)}. The first row names the columns.",
            tuple(FieldProblem(name, COLUMNS[name]) for name in missing),
        )
    if dry_run:
        return rehearsed(lambda: _rows(table, by))
    return _kept(table, by)


@in_one_transaction
def _kept(table: Table, by: Any) -> list[ImportedShoot]:
    done = _rows(table, by)
    refused = [row for row in done if row.outcome == "refused"]
    if refused:
        raise Invalid(
            "Nothing was imported. " + " ".join(f"Row {row.number}: {row.problem}" for row in refused[:20]),
            tuple(FieldProblem(f"rows.{row.number}", row.problem) for row in refused[:200]),
        )
    return done


def _rows(table: Table, by: Any) -> list[ImportedShoot]:
    return [_row(row, dict(zip(table.columns, row.cells, strict=False)), by) for row in table.rows]


def _row(row: TableRow, said: dict[str, str], by: Any) -> ImportedShoot:
    title = said.get("title", "").strip()
    if row.problem:
        return ImportedShoot(row.number, title, "refused", problem=row.problem)
    try:
        with transaction.atomic():
            return _planned(row.number, title, {name: cell.strip() for name, cell in said.items()}, by)
    except Refusal as refusal:
        return ImportedShoot(row.number, title, "refused", problem=refusal.sentence)


def _planned(number: int, title: str, said: dict[str, str], by: Any) -> ImportedShoot:
    room = _room(said["room"])
    read = imported_period(said["starts"], said["ends"], room.place.zone)
    use = read.period.interval
    when = say_period(use.starts_at, use.ends_at, room.place.zone)
    there = Shoot.objects.filter(
        title=title, room=room, booking__starts_at=use.starts_at, booking__ends_at=use.ends_at
    ).exclude(booking__state=Booking.State.CANCELLED)
    if found := there.first():
        return ImportedShoot(number, title, "there", when, read.warnings, shoot=found)
    shoot = plan_shoot(
        title,
        room,
        read.period,
        person_named(said.get("photographer") or None, "photographer"),
        by,
        state=said.get("state") or Booking.State.HOLD,
        notes=said.get("notes", ""),
    )
    for tag in said.get("units", "").split():
        add_extra_unit(shoot, tag, by)
    return ImportedShoot(number, title, "new", when, read.warnings, shoot=shoot)


def _room(text: str) -> Room:
    place, _, name = text.rpartition(":")
    rooms = Room.objects.select_related("place").filter(name__iexact=name.strip())
    if place:
        rooms = rooms.filter(place__name__iexact=place.strip())
    found = list(rooms[:2])
    if len(found) == 1:
        return found[0]
    said = f"There is no room {text[:60]!r}." if not found else f"There are two rooms {text[:60]!r}."
    raise Invalid(f"{said} Write it as “place: room”.", (FieldProblem("room", COLUMNS["room"]),))
