"""Accounts: who works here and what they may do. Each verb one transaction, all of it or nothing.

Nobody but its owner ever knows a password: an account is opened by a link that its owner chooses one with.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.contrib.auth.tokens import default_token_generator
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from gear.errors import Conflict, FieldProblem, Gone, Invalid, NotAllowed, StaleEdit
from studio.outbox.mail import TOPIC as MAIL
from studio.outbox.mail import body_of
from studio.outbox.services import put
from studio.people.entry import PersonEntry, says
from studio.people.models import Person, Role
from studio.people.policy import may

__all__ = ["add_person", "change_person", "key_to_choose_a_password", "mail_the_link"]


@transaction.atomic
def add_person(entry: PersonEntry, by: Any) -> Person:
    """A new account, which nobody can sign in to before its owner has chosen a password. Raises `Invalid`,
    `NotAllowed`."""
    _require(by)
    person = Person()
    person.set_unusable_password()
    return _write(person, entry)


@transaction.atomic
def change_person(person: Person, entry: PersonEntry, by: Any, *, version: int | None = None) -> Person:
    """Correct an account, give another role, close it or open it again. What the person did stays theirs. Raises
    `Invalid`, `StaleEdit`, `Gone`, `NotAllowed`; `Conflict` when no manager would be left."""
    _require(by)
    found = _locked(person)
    if version is not None and version != found.version:
        raise StaleEdit(
            f"The account of {found} was changed by somebody else in the meantime; nothing was overwritten. Look at "
            f"what it says now, then make your change again."
        )
    if says(found) == entry:
        return found
    found.version += 1
    return _write(found, entry)


def key_to_choose_a_password(person: Person, by: Any) -> tuple[str, str]:
    """(who, secret) of a link that lets its owner choose a password: once, and for three days. The old password holds
    until then. Raises `NotAllowed`, and `Conflict` for a closed account."""
    _require(by)
    if not person.is_active:
        raise Conflict(
            f"The account of {person} is closed; a password would open nothing. Open the account again first."
        )
    return urlsafe_base64_encode(force_bytes(person.pk)), default_token_generator.make_token(person)


@transaction.atomic
def mail_the_link(person: Person, address: str, by: Any) -> bool:
    """Write the link to its owner; False when there is no address to write to."""
    _require(by)
    if not person.email:
        return False
    put(
        MAIL,
        body_of(
            "Choose your password for Fullstop",
            f"{by} opened the account “{person.username}” for you. Choose a password here; the link works once, "
            f"within three days:\n\n{address}\n\nAsk for a new one when it is too old.",
            [person.email],
        ),
    )
    return True


def _locked(person: Person) -> Person:
    """The account, and those of all managers, in one order: two who take each other's role meet here."""
    managers = Person.objects.filter(role=Role.MANAGER) | Person.objects.filter(pk=person.pk)
    found = {one.pk: one for one in managers.order_by("pk").select_for_update()}
    if person.pk not in found:
        raise Gone("That account does not exist any more.")
    return found[person.pk]


def _write(person: Person, entry: PersonEntry) -> Person:
    for name, value in asdict(entry).items():
        setattr(person, name, value.strip() if isinstance(value, str) else value)
    if person.role != Role.MANAGER:
        person.is_superuser = person.is_staff = False
    _refuse(person)
    person.save()
    if not Person.objects.filter(role=Role.MANAGER, is_active=True).exists():
        raise Conflict(
            f"Without {person} nobody would be left who may confirm shoots or make accounts. Make somebody else "
            f"studio manager first."
        )
    return person


def _refuse(person: Person) -> None:
    try:
        person.full_clean(exclude=["password"], validate_constraints=False)
        taken = Person.objects.filter(username__iexact=person.username).exclude(pk=person.pk).first()
        if taken is not None:
            raise ValidationError(
                {"username": f"“{taken.username}” is taken, whether in capitals or not; choose another one."}
            )
    except ValidationError as error:
        problems = tuple(FieldProblem(name, " ".join(said)) for name, said in error.message_dict.items())
        raise Invalid(
            "The account cannot be written down like this: "
            + "; ".join(f"{problem.where}: {problem.expected}" for problem in problems),
            problems,
        ) from None


def _require(by: Any) -> None:
    if not may(by, "people", "change"):
        raise NotAllowed("Only the studio manager makes and changes accounts; ask them.")
