"""Who may do what: the one table of person × resource × action.

Every page and API route declares its (resource, action) with ``gear.access.declares``; `studio.people.gate` looks it up
here. ``OWN`` lets a person through to things of their own only; the service that changes the thing checks whose it is.
"""

from __future__ import annotations

from typing import Literal

from studio.people.models import Role

__all__ = ["POLICY", "Reach", "may", "reach"]

Reach = Literal["all", "own", "none"]

ALL: Reach = "all"
OWN: Reach = "own"
NONE: Reach = "none"

_COLUMNS = (Role.MANAGER, Role.PHOTOGRAPHER, Role.ASSISTANT)

_TABLE: dict[tuple[str, str], tuple[Reach, Reach, Reach]] = {
    # (resource, action):          manager, photographer, assistant
    ("today", "read"): (ALL, ALL, ALL),
    ("account", "change"): (OWN, OWN, OWN),
    ("gear", "read"): (ALL, ALL, ALL),
    ("gear", "change"): (ALL, NONE, NONE),
    ("gear", "report"): (ALL, ALL, ALL),
    ("gear", "release"): (ALL, NONE, NONE),
    ("gear", "import"): (ALL, NONE, NONE),
    ("gear", "export"): (ALL, ALL, ALL),
    ("shortage", "read"): (ALL, ALL, ALL),
    ("shortage", "note"): (ALL, ALL, ALL),
    ("shortage", "resolve"): (ALL, NONE, NONE),
    ("recipe", "read"): (ALL, ALL, ALL),
    ("recipe", "create"): (ALL, ALL, NONE),
    ("recipe", "change"): (ALL, OWN, NONE),
    ("place", "read"): (ALL, ALL, ALL),
    ("place", "change"): (ALL, NONE, NONE),
    ("shoot", "read"): (ALL, ALL, ALL),
    ("shoot", "ask"): (ALL, ALL, NONE),
    ("shoot", "change"): (ALL, OWN, NONE),
    ("shoot", "confirm"): (ALL, NONE, NONE),
    ("shoot", "override"): (ALL, NONE, NONE),
    ("readiness", "read"): (ALL, ALL, ALL),
    ("readiness", "run"): (ALL, ALL, NONE),
    ("packing", "read"): (ALL, ALL, ALL),
    ("packing", "change"): (ALL, NONE, ALL),
    ("packing", "close"): (ALL, NONE, ALL),
    ("phone", "send"): (ALL, ALL, ALL),
    ("phone", "read"): (ALL, NONE, ALL),
    ("phone", "settle"): (ALL, NONE, NONE),
    ("calendar", "read"): (ALL, ALL, ALL),
    ("feed", "read"): (OWN, OWN, OWN),
    ("feed", "change"): (OWN, OWN, OWN),
    ("feed", "all"): (ALL, NONE, NONE),
    ("work", "read"): (ALL, NONE, NONE),
    ("people", "read"): (ALL, NONE, NONE),
    ("people", "change"): (ALL, NONE, NONE),
}

POLICY: dict[tuple[str, str], dict[Role, Reach]] = {
    key: dict(zip(_COLUMNS, row, strict=True)) for key, row in _TABLE.items()
}


def reach(person: object, resource: str, action: str) -> Reach:
    """How far a signed-in person's right goes. Raises KeyError for a pair that the table does not know."""
    row = POLICY[resource, action]
    if getattr(person, "is_superuser", False):
        return ALL
    return row.get(getattr(person, "role", ""), NONE)  # type: ignore[call-overload, no-any-return]


def may(person: object, resource: str, action: str, owner: object | None = None) -> bool:
    """Whether this person may. For ``OWN`` it takes the owner; without one it answers for a thing of theirs."""
    how_far = reach(person, resource, action)
    if how_far == OWN:
        return owner is None or owner == person
    return how_far == ALL
