"""What a manager says about somebody, as plain values."""

from __future__ import annotations

from dataclasses import dataclass

from studio.people.models import Person, Role

__all__ = ["PersonEntry", "says"]


@dataclass(frozen=True)
class PersonEntry:
    """Who it is, what they may do, and whether they sign in at all."""

    username: str
    first_name: str = ""
    last_name: str = ""
    email: str = ""
    role: str = Role.ASSISTANT
    is_active: bool = True


def says(person: Person) -> PersonEntry:
    """What is written down about a person."""
    return PersonEntry(
        person.username, person.first_name, person.last_name, person.email, person.role, person.is_active
    )
