"""What is known about the shoots ahead, and whether it still holds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone

from gear.booking.models import Booking
from gear.changes import Change
from gear.errors import Gone
from recipes.checks.fingerprint import fingerprint
from recipes.checks.setup import Setup
from studio.readiness.models import Readiness
from studio.readiness.setups import recipes_with_setups
from studio.shoots.models import Shoot, ShootRecipe

__all__ = [
    "RecipeReadiness",
    "coming_shoots",
    "readiness_of",
    "recipe_at",
    "shoot_at",
    "shoots_to_check",
    "shoots_touched_by",
    "stale_shoots",
]

_PLANNED = [Booking.State.ENQUIRY, Booking.State.HOLD, Booking.State.CONFIRMED]


@dataclass(frozen=True)
class RecipeReadiness:
    """One recipe at one shoot: what was found, and whether it still rests on today's inputs."""

    shoot_recipe: ShootRecipe
    stored: Readiness | None
    setup: Setup
    stale: bool

    @property
    def findings(self) -> list[dict[str, Any]]:
        """The stored findings, most severe first; none when nothing has been computed."""
        return self.stored.findings if self.stored else []

    @property
    def status(self) -> str:
        """The worst stored status; ``stale`` when it no longer holds or was never computed."""
        return "stale" if self.stale or self.stored is None else self.stored.worst


def coming_shoots(now: datetime | None = None) -> QuerySet[Shoot]:
    """Shoots that are planned and not over, soonest first."""
    return Shoot.objects.filter(
        booking__state__in=_PLANNED, booking__ends_at__gte=now or timezone.now()
    ).select_related("booking", "room__place", "photographer")


def readiness_of(shoots: Iterable[Shoot], *, just_read: bool = False) -> dict[int, list[RecipeReadiness]]:
    """For each shoot (by id) its recipes in order. A fixed number of queries for any number of shoots, one
    less for those that were ``just_read`` with their booking, room and place."""
    shoots = list(shoots)
    found: dict[int, list[RecipeReadiness]] = {shoot.pk: [] for shoot in shoots}
    for shoot_recipe, setup in recipes_with_setups(shoots, just_read=just_read):
        stored = getattr(shoot_recipe, "readiness", None)
        stale = stored is None or stored.fingerprint != fingerprint(setup)
        found[shoot_recipe.shoot_id].append(RecipeReadiness(shoot_recipe, stored, setup, stale))
    return found


def shoot_at(shoot_id: int) -> Shoot:
    """A shoot with what the page shows of it. Raises `Gone`."""
    found = Shoot.objects.select_related("booking", "room__place", "photographer").filter(pk=shoot_id).first()
    if found is None:
        raise Gone(f"There is no shoot {shoot_id}. It may have been removed; look in the list of shoots.")
    return found


def recipe_at(shoot_id: int, position: int) -> RecipeReadiness:
    """One recipe of a shoot by its place in the order. Raises `Gone`."""
    shoots = Shoot.objects.filter(pk=shoot_id).select_related("booking", "room__place")
    found = readiness_of(shoots, just_read=True).get(shoot_id, [])
    for one in found:
        if one.shoot_recipe.position == position:
            return one
    raise Gone("There is no such recipe on this shoot; look at its readiness again.")


def stale_shoots(now: datetime | None = None) -> list[Shoot]:
    """Coming shoots with at least one recipe whose readiness is missing or no longer holds."""
    shoots = list(coming_shoots(now))
    found = readiness_of(shoots, just_read=True)
    return [shoot for shoot in shoots if any(one.stale for one in found[shoot.pk])]


def shoots_to_check(now: datetime | None = None) -> list[Shoot]:
    """Coming shoots with something left to do: a readiness that is stale, or a gap that nobody was told of."""
    shoots = list(coming_shoots(now))
    found = readiness_of(shoots, just_read=True)
    return [shoot for shoot in shoots if any(one.stale or _untold(shoot, one) for one in found[shoot.pk])]


def _untold(shoot: Shoot, one: RecipeReadiness) -> bool:
    row = one.stored
    confirmed = shoot.booking.state == Booking.State.CONFIRMED
    return confirmed and row is not None and row.gap_names != row.told_gaps


def shoots_touched_by(change: Change, now: datetime | None = None) -> list[int]:
    """Ids of the coming shoots whose readiness may change with this change."""
    touched: Q
    match change.topic:
        case "unit":
            touched = Q(booking__allocations__unit__in=change.ids) | Q(
                recipes__assignments__unit__in=change.ids
            )
        case "gear-type":
            touched = Q(booking__allocations__unit__gear_type__in=change.ids) | Q(
                recipes__assignments__unit__gear_type__in=change.ids
            )
        case "room":
            touched = Q(room__in=change.ids)
        case "shoot":
            units = list(
                Shoot.objects.filter(pk__in=change.ids).values_list("booking__allocations__unit", flat=True)
            )
            touched = Q(pk__in=change.ids) | Q(recipes__assignments__unit__in=[u for u in units if u])
        case _:
            return []
    return sorted(set(coming_shoots(now).filter(touched).order_by().values_list("pk", flat=True)))
