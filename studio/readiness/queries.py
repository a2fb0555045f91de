"""What is known about the shoots ahead, and whether it still holds."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone

from gear.booking.models import Allocation, Booking
from gear.booking.queries import not_over
from gear.changes import Change
from gear.errors import Gone
from gear.inventory.models import Unit
from recipes.checks.fingerprint import fingerprint
from recipes.checks.setup import Setup
from studio.readiness.models import Readiness
from studio.readiness.setups import recipes_with_setups
from studio.shoots.models import Assignment, Shoot, ShootRecipe

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

SOONEST = 200
"""So many coming shoots a sweep looks at every time, and so many more by chance."""

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
    return Shoot.objects.filter(not_over(now or timezone.now()), booking__state__in=_PLANNED).select_related(
        "booking", "room__place", "photographer"
    )


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
    """Coming shoots with something left to do: a readiness that is stale, or a gap that nobody was told of.

    Of very many only the soonest are looked at every time, and of the others a stretch that chance picks: what changes
    is announced, and this only finds what was missed.
    """
    ids = list(coming_shoots(now).values_list("pk", flat=True))
    others = range(SOONEST, len(ids), SOONEST)
    stretches = [0, random.choice(others)] if others else [0]
    return [shoot for start in stretches for shoot in _left_to_do(ids[start : start + SOONEST], now)]


def _left_to_do(shoot_ids: list[int], now: datetime | None) -> list[Shoot]:
    shoots = list(coming_shoots(now).filter(pk__in=shoot_ids))
    found = readiness_of(shoots, just_read=True)
    return [shoot for shoot in shoots if any(one.stale or _untold(shoot, one) for one in found[shoot.pk])]


def _untold(shoot: Shoot, one: RecipeReadiness) -> bool:
    row = one.stored
    confirmed = shoot.booking.state == Booking.State.CONFIRMED
    return confirmed and row is not None and row.gap_names != row.told_gaps


def shoots_touched_by(change: Change, now: datetime | None = None) -> list[int]:
    """Ids of the coming shoots whose readiness may change with this change."""
    shoots = Shoot.objects.order_by()
    match change.topic:
        case "unit":
            touched = _with_units(Q(unit__in=change.ids))
        case "gear-type":
            touched = _with_units(Q(unit__in=Unit.objects.filter(gear_type__in=change.ids).values("pk")))
        case "room":
            touched = shoots.filter(room__in=change.ids).values("pk")
        case "shoot":
            here = Allocation.objects.filter(booking__shoot__in=change.ids)
            units = list(here.values_list("unit_id", flat=True))
            jobs = ShootRecipe.objects.filter(assignments__unit__in=units)
            touched = shoots.filter(pk__in=change.ids).values("pk").union(jobs.order_by().values("shoot"))
        case _:
            return []
    return sorted(coming_shoots(now).filter(pk__in=touched).order_by().values_list("pk", flat=True))


def _with_units(those: Q) -> QuerySet[Shoot]:
    """Ids of shoots that were promised such units, or give them a job: each way by itself, as each has its index."""
    promised = Shoot.objects.filter(booking__in=Allocation.objects.filter(those).order_by().values("booking"))
    jobs = ShootRecipe.objects.filter(
        pk__in=Assignment.objects.filter(those).order_by().values("shoot_recipe")
    )
    return promised.order_by().values("pk").union(jobs.order_by().values("shoot"))
