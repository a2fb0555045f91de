"""What a request over the API names: people by user name, rooms by id, and the changes it asks for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gear.errors import FieldProblem, Invalid
from studio.people.models import Person
from studio.places.models import Room
from studio.shoots.changes import Changes

__all__ = ["changes_from", "person_named", "room_numbered"]


def changes_from(asked: Mapping[str, Any]) -> Changes:
    """The changes of a request that `ChangeSerializer` has read; what is left out stays. Raises `Invalid`."""
    return Changes(
        title=asked.get("title"),
        notes=asked.get("notes"),
        room=room_numbered(asked["room"]) if "room" in asked else None,
        photographer=person_named(asked.get("photographer"), "photographer"),
        assistant=person_named(asked.get("assistant"), "assistant"),
        no_assistant="assistant" in asked and not asked["assistant"],
        starts=asked.get("starts"),
        ends=asked.get("ends"),
        starts_second=asked.get("starts_second", False),
        ends_second=asked.get("ends_second", False),
        travels_by_air=asked.get("travels_by_air"),
        travellers=asked.get("travellers"),
    )


def room_numbered(pk: int) -> Room:
    """The room. Raises `Invalid`."""
    found = Room.objects.select_related("place").filter(pk=pk).first()
    if found is None:
        raise Invalid(f"There is no room {pk}.", (FieldProblem("room", "the id of a room"),))
    return found


def person_named(username: str | None, where: str) -> Person | None:
    """The person of that user name, None for none. Raises `Invalid`."""
    if not username:
        return None
    found = Person.objects.filter(username=username, is_active=True).first()
    if found is None:
        raise Invalid(f"There is nobody called {username[:40]!r}.", (FieldProblem(where, "a user name"),))
    return found
