"""Two people changed the same shoot: what it was, what it says now, and what was to be saved, value by value.

The form carries what it was when it was opened, signed, so that nobody's browser decides what it had been.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core import signing

from gear.booking.wall_time import moment, wall_of
from recipes.records.three_way import Choice, Conflict, three_way
from studio.people.models import Person
from studio.places.models import Room
from studio.shoots.changes import Changes
from studio.shoots.models import Shoot

__all__ = ["Difference", "Said", "ShootMerge", "changes_to", "merged", "read", "said_by", "said_of", "signed"]

Said = dict[str, Any]
"""What a shoot says, by field; rooms and people by id, times on the wall."""

_SALT = "studio.shoots.merging"
_NOBODY = "nobody"
_SECOND = " (the second time)"

_CALLED = {
    "title": "Title",
    "room": "Room",
    "starts": "Starts",
    "ends": "Ends",
    "photographer": "Photographer",
    "assistant": "Assistant",
    "travels_by_air": "Travels by air",
    "travellers": "Travellers",
    "notes": "Notes",
}


@dataclass(frozen=True)
class Difference:
    """One thing that somebody changed, in words."""

    where: str
    before: str
    after: str


@dataclass(frozen=True)
class ShootMerge:
    """Both changes: what comes out, and what a person has to decide; each conflict with its four words."""

    said: Said
    conflicts: tuple[tuple[Conflict, str, str, str, str], ...]
    theirs: tuple[Difference, ...]
    mine: tuple[Difference, ...]

    @property
    def undecided(self) -> bool:
        """Whether something is still to be decided."""
        return any(conflict.choice is None for conflict, *_ in self.conflicts)


def said_of(shoot: Shoot) -> Said:
    """What a shoot says now."""
    held = shoot.booking
    return {
        "title": shoot.title,
        "room": shoot.room_id,
        "starts": _wall(held.starts_wall, held.starts_at, held.zone),
        "ends": _wall(held.ends_wall, held.ends_at, held.zone),
        "photographer": shoot.photographer_id,
        "assistant": shoot.assistant_id,
        "travels_by_air": shoot.travels_by_air,
        "travellers": shoot.travellers,
        "notes": shoot.notes,
    }


def said_by(changes: Changes, was: Said) -> Said:
    """What an edit says: its changes over what it was made from."""
    said = dict(was)
    for name in ("title", "notes", "travels_by_air", "travellers"):
        if getattr(changes, name) is not None:
            said[name] = getattr(changes, name)
    if changes.room is not None:
        said["room"] = changes.room.pk
    if changes.photographer is not None:
        said["photographer"] = changes.photographer.pk
    if changes.assistant is not None or changes.no_assistant:
        said["assistant"] = changes.assistant.pk if changes.assistant else None
    zone = Room.objects.select_related("place").get(pk=said["room"]).place.zone
    for name in ("starts", "ends"):
        asked = getattr(changes, name)
        if asked is not None:
            found = moment(asked, zone, second=getattr(changes, f"{name}_second"), where=name)
            said[name] = _wall(found.wall, found.instant, zone)
    return said


def merged(was: Said, theirs: Said, mine: Said, choices: Mapping[str, Choice] | None = None) -> ShootMerge:
    """Both sets of changes in one; undecided conflicts stand as theirs."""
    said, conflicts = three_way(was, theirs, mine, choices)
    names = _Names(was, theirs, mine)
    disputed = {conflict.key for conflict in conflicts}
    return ShootMerge(
        said,
        tuple(
            (c, _CALLED[c.key], *(names.said(c.key, value) for value in (c.base, c.theirs, c.mine)))
            for c in conflicts
        ),
        names.differences(was, theirs, disputed),
        names.differences(was, mine, disputed),
    )


def changes_to(said: Said) -> Changes:
    """The edit that makes a shoot say this. Rooms and people that are gone by now leave a thing as it is."""
    people = Person.objects.in_bulk([pk for pk in (said["photographer"], said["assistant"]) if pk])
    starts, ends = str(said["starts"]), str(said["ends"])
    return Changes(
        title=said["title"],
        notes=said["notes"],
        room=Room.objects.select_related("place").filter(pk=said["room"]).first(),
        photographer=people.get(said["photographer"]),
        assistant=people.get(said["assistant"]),
        no_assistant=said["assistant"] is None,
        starts=starts.removesuffix(_SECOND),
        ends=ends.removesuffix(_SECOND),
        starts_second=starts.endswith(_SECOND),
        ends_second=ends.endswith(_SECOND),
        travels_by_air=said["travels_by_air"],
        travellers=said["travellers"],
    )


def signed(said: Said) -> str:
    """For a hidden field."""
    return signing.dumps(said, salt=_SALT, compress=True)


def read(text: str) -> Said | None:
    """What such a field holds; None when it is not one of ours."""
    try:
        said = signing.loads(text, salt=_SALT)
    except signing.BadSignature:
        return None
    return said if isinstance(said, dict) and set(said) == set(_CALLED) else None


class _Names:
    """What people call the rooms and people that these versions name, read once."""

    def __init__(self, *versions: Said) -> None:
        rooms = {said["room"] for said in versions}
        people = {said[who] for said in versions for who in ("photographer", "assistant")} - {None}
        self.rooms = {
            room.pk: str(room) for room in Room.objects.select_related("place").filter(pk__in=rooms)
        }
        self.people = {person.pk: str(person) for person in Person.objects.filter(pk__in=people)}

    def said(self, name: str, value: Any) -> str:
        if name == "room":
            return self.rooms.get(value, f"room {value}")
        if name in ("photographer", "assistant"):
            return self.people.get(value, _NOBODY) if value else _NOBODY
        if isinstance(value, bool):
            return "yes" if value else "no"
        if name in ("starts", "ends"):
            return str(value).replace("T", " ")
        return str(value) or "–"

    def differences(self, before: Said, after: Said, but: set[str]) -> tuple[Difference, ...]:
        return tuple(
            Difference(called, self.said(name, before[name]), self.said(name, after[name]))
            for name, called in _CALLED.items()
            if before[name] != after[name] and name not in but
        )


def _wall(wall: str, instant: Any, zone: str) -> str:
    wall = wall or wall_of(instant, zone)
    found = moment(wall, zone)
    return wall + (_SECOND if found.twice and found.instant != instant else "")
