"""Making and revoking the addresses of feeds."""

from __future__ import annotations

import secrets
from hashlib import sha256
from typing import Any

from django.db import transaction
from django.utils import timezone

from gear.errors import Conflict, FieldProblem, Gone, Invalid, NotAllowed
from studio.calendar.models import FeedAddress
from studio.people.gate import require_own
from studio.people.policy import may
from studio.places.models import Room

__all__ = ["MOST_ADDRESSES", "hash_of", "make_address", "revoke_address"]

MOST_ADDRESSES = 50
Scope = FeedAddress.Scope


def hash_of(token: str) -> str:
    """What is kept of an address: it cannot be read back."""
    return sha256(token.encode()).hexdigest()


@transaction.atomic
def make_address(scope: str, by: Any, room_id: int | None = None) -> tuple[FeedAddress, str]:
    """A new address and its secret, which is known only now. Raises `Invalid`, `NotAllowed`, `Gone`, `Conflict`."""
    if scope not in Scope.values:
        raise Invalid(
            f"There is no feed {scope!r}. Choose your shoots, a room or all shoots.",
            (FieldProblem("what", "own, room or all"),),
        )
    if scope == Scope.ALL and not may(by, "feed", "all"):
        raise NotAllowed("Only the studio manager takes all shoots along. Choose your own, or a room.")
    if scope == Scope.ROOM and not Room.objects.filter(pk=room_id).exists():
        raise Gone("There is no such room any more. Choose one from the list.")
    if FeedAddress.objects.filter(person=by, revoked_at=None).count() >= MOST_ADDRESSES:
        raise Conflict(
            f"You have {MOST_ADDRESSES} addresses. Revoke one that is not used any more.", code="full"
        )
    token = secrets.token_urlsafe(32)
    made = FeedAddress.objects.create(
        person=by,
        scope=scope,
        room_id=room_id if scope == Scope.ROOM else None,
        token_hash=hash_of(token),
        ending=token[-4:],
        made_at=timezone.now(),
    )
    return made, token


@transaction.atomic
def revoke_address(pk: int, by: Any) -> FeedAddress:
    """Close an address at once and for ever. Repeating it changes nothing. Raises `Gone`, `NotAllowed`."""
    found = FeedAddress.objects.select_for_update().filter(pk=pk).first()
    if found is None:
        raise Gone("There is no such address. Look at your list again.")
    require_own(by, "feed", "change", found.person)
    if found.revoked_at is None:
        found.revoked_at = timezone.now()
        found.save(update_fields=["revoked_at"])
    return found
