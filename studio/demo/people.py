"""The three people of the demo studio, and how they sign in. Invented, and for demonstration only."""

from __future__ import annotations

from dataclasses import dataclass

from studio.people.models import Person, Role

__all__ = ["ACCOUNTS", "Account", "make_people"]


@dataclass(frozen=True)
class Account:
    """Somebody of the demo."""

    username: str
    password: str
    role: Role
    first_name: str
    last_name: str


ACCOUNTS = (
    Account("manager", "turntable-7", Role.MANAGER, "Runa", "Pell"),
    Account("photographer", "skylight-7", Role.PHOTOGRAPHER, "Ilo", "Varga"),
    Account("assistant", "gatehouse-7", Role.ASSISTANT, "Teo", "Brandl"),
)


def make_people() -> dict[str, Person]:
    """The three, by role; somebody who exists already keeps their password."""
    people = {}
    for account in ACCOUNTS:
        person, fresh = Person.objects.get_or_create(
            username=account.username,
            defaults={
                "role": account.role,
                "first_name": account.first_name,
                "last_name": account.last_name,
                "email": f"{account.username}@tram-depot.example",
            },
        )
        if fresh:
            person.set_password(account.password)
            person.save()
        people[account.role.value] = person
    return people
