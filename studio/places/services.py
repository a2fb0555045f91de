"""Writing places and rooms: each verb one transaction, all of it or nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, fields
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction

from gear.booking.wall_time import zone_of
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid, NotAllowed, StaleEdit
from studio.people.policy import may
from studio.places.entries import CircuitEntry, PlaceEntry, RoomEntry, WindowEntry
from studio.places.models import Place, Room, RoomCircuit, RoomWindow
from studio.places.rules import room_problems

__all__ = ["add_place", "add_room", "change_place", "change_room", "remove_room"]

_PARTS = {"windows", "circuits"}


@transaction.atomic
def add_place(entry: PlaceEntry, by: Any) -> Place:
    """A new place. Raises `Invalid`, `NotAllowed`."""
    _require(by)
    return _write_place(Place(), entry)


@transaction.atomic
def change_place(place: Place, entry: PlaceEntry, by: Any) -> Place:
    """Correct a place; bookings that were made keep the zone they were asked in. Raises `Invalid`, `Gone`."""
    _require(by)
    found = Place.objects.select_for_update().filter(pk=place.pk).first()
    if found is None:
        raise Gone("That place does not exist any more.")
    _write_place(found, entry)
    announce("room", found.rooms.values_list("pk", flat=True))
    return found


@transaction.atomic
def add_room(place: Place, entry: RoomEntry, by: Any) -> Room:
    """A new room with its windows and circuits. Raises `Invalid`, `NotAllowed`."""
    _require(by)
    return _write_room(Room(place=place), entry)


@transaction.atomic
def change_room(room: Room, entry: RoomEntry, by: Any, *, version: int | None = None) -> Room:
    """Write a room anew, windows and circuits included; one that says all that already stays as it is. Raises
    `StaleEdit`, `Invalid`, `Gone`."""
    _require(by)
    found = Room.objects.select_for_update().filter(pk=room.pk).first()
    if found is None:
        raise Gone("That room does not exist any more.")
    if version is not None and version != found.version:
        raise StaleEdit(
            f"“{found.name}” was changed by somebody else in the meantime; nothing was overwritten. "
            f"Look at what it says now, then make your change again."
        )
    if _says(found) == entry:
        return found
    found.version += 1
    return _write_room(found, entry)


@transaction.atomic
def remove_room(room: Room, by: Any) -> None:
    """Remove a room that no shoot was ever planned in. Raises `Conflict`."""
    _require(by)
    try:
        room.delete()
    except models.ProtectedError:
        raise Conflict(
            f"“{room.name}” stays: shoots were planned in it, and their records need it. Rename it instead."
        ) from None


def _write_place(place: Place, entry: PlaceEntry) -> Place:
    zone_of(entry.zone)
    for name, value in asdict(entry).items():
        setattr(place, name, value)
    place.country = place.country.upper()
    _refuse(tuple(_cleaned(place)), "place")
    place.save()
    return place


def _says(room: Room) -> RoomEntry:
    """What is written of a room."""

    def values(entry: Any, row: models.Model) -> dict[str, Any]:
        return {f.name: getattr(row, f.name) for f in fields(entry) if f.name not in _PARTS}

    return RoomEntry(
        **values(RoomEntry, room),
        windows=tuple(WindowEntry(**values(WindowEntry, window)) for window in room.windows.all()),
        circuits=tuple(CircuitEntry(**values(CircuitEntry, circuit)) for circuit in room.circuits.all()),
    )


def _write_room(room: Room, entry: RoomEntry) -> Room:
    for name, value in asdict(entry).items():
        if name not in _PARTS:
            setattr(room, name, value)
    windows = [RoomWindow(**asdict(window)) for window in entry.windows]
    circuits = [RoomCircuit(**asdict(circuit)) for circuit in entry.circuits]
    problems = [*_cleaned(room), *_parts_cleaned("windows", windows), *_parts_cleaned("circuits", circuits)]
    _refuse((*problems, *(() if problems else room_problems(entry))), "room")
    room.save()
    room.windows.all().delete()
    room.circuits.all().delete()
    for part in (*windows, *circuits):
        part.room = room
        part.save()
    announce("room", [room.pk])
    return room


def _parts_cleaned(where: str, parts: list[Any]) -> Iterator[FieldProblem]:
    for index, part in enumerate(parts):
        yield from _cleaned(part, f"{where}.{index}.", exclude={"room"})


def _cleaned(row: models.Model, where: str = "", exclude: set[str] | None = None) -> Iterator[FieldProblem]:
    try:
        row.full_clean(exclude=exclude, validate_constraints=exclude is None)
    except ValidationError as error:
        for name, messages in error.message_dict.items():
            field = "name" if name == "__all__" else name
            for message in messages:
                yield FieldProblem(f"{where}{field}", message)


def _refuse(problems: tuple[FieldProblem, ...], what: str) -> None:
    if problems:
        said = "; ".join(f"{problem.where}: {problem.expected}" for problem in problems[:5])
        raise Invalid(f"The {what} was not saved. {said}", problems)


def _require(by: Any) -> None:
    if not may(by, "place", "change"):
        raise NotAllowed("Only the studio manager changes places and rooms. Ask for it.")
