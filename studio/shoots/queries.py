"""Shoots as lists, and one of them whole. Nothing here writes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.db.models import F, Func, IntegerField, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from gear.booking.lasting import lasting
from gear.booking.models import Allocation, Booking
from gear.booking.queries import not_over, promised_to
from gear.booking.rules import now, use_of
from gear.errors import Gone
from recipes.records.models import Recipe
from studio.places.models import Room
from studio.shoots.models import Assignment, Shoot, ShootRecipe
from studio.shoots.standing import standing_of

__all__ = ["a_shoot", "in_the_room", "recipes_to_choose", "shoot_whole", "shoots", "shoots_to_merge"]

_MEETING = timedelta(microseconds=1)
"""The least there is between two instants here: what meets overlaps when it lasts so much longer."""


def shoots(*, when: str = "coming", words: str = "", photographer: Any = None) -> QuerySet[Shoot]:
    """Shoots in the order of time: ``coming`` (not over yet), ``past`` (latest first) or ``all``."""
    at = now()
    found = Shoot.objects.select_related("booking__occurrence", "room__place", "photographer").annotate(
        recipe_count=_count_of(ShootRecipe.objects.filter(shoot=OuterRef("pk"))),
        unit_count=_count_of(Allocation.objects.filter(booking=OuterRef("booking"), active=True)),
    )
    if when == "coming":
        found = found.filter(not_over(at)).exclude(booking__state=Booking.State.CANCELLED)
    elif when == "past":
        found = found.filter(booking__ends_at__lte=at)
    elif when == "cancelled":
        found = found.filter(booking__state=Booking.State.CANCELLED)
    if words:
        # Rooms first: the index of titles and that of the room can then be put together.
        rooms = Room.objects.filter(Q(name__icontains=words) | Q(place__name__icontains=words))
        found = found.filter(Q(title__icontains=words) | Q(room__in=list(rooms.values_list("pk", flat=True))))
    if photographer is not None:
        found = found.filter(photographer=photographer)
    begins: Any = F("booking__starts_at")
    if words:
        # What has the words is found first and then put in order: few have them, which the planner may not know.
        begins = Coalesce(begins, begins)
    return found.order_by(begins.desc() if when == "past" else begins.asc(), "id")


def _count_of(rows: QuerySet[Any]) -> Coalesce:
    """How many there are, counted only for what is shown."""
    counted = rows.order_by().annotate(all=Func("pk", function="COUNT", output_field=IntegerField()))
    return Coalesce(Subquery(counted.values("all")), 0)


def shoot_whole(pk: int) -> Shoot:
    """A shoot with everything on it, and ``promises``: its units with whether each stands, or its ``place`` in line.
    Raises `Gone`."""
    found = (
        Shoot.objects.select_related("booking__occurrence", "room__place", "photographer", "assistant")
        .prefetch_related(
            Prefetch("recipes", ShootRecipe.objects.select_related("revision__recipe")),
            Prefetch("recipes__assignments", Assignment.objects.select_related("unit")),
        )
        .filter(pk=pk)
        .first()
    )
    if found is None:
        raise Gone(f"There is no shoot {pk}.")
    found.promises = list(promised_to(found.booking))
    found.standing = standing_of(found, found.promises)
    found.worst_rank = found.standing.worst
    for promise in found.promises:
        promise.place = found.standing.places.get(promise.pk)
    return found


def a_shoot(pk: int) -> Shoot:
    """The shoot of that number, with what its pages show. Raises `Gone`."""
    found = (
        Shoot.objects.select_related(
            "booking__occurrence__series", "room__place", "photographer", "assistant"
        )
        .filter(pk=pk)
        .first()
    )
    if found is None:
        raise Gone(f"There is no shoot {pk}. It may have been removed; look in the list of shoots.")
    return found


def in_the_room(shoot: Shoot) -> list[Shoot]:
    """Other shoots that stand in the same room at the same time."""
    use = use_of(shoot.booking)
    return list(
        Shoot.objects.filter(lasting(use.starts_at, use.ends_at), room=shoot.room)
        .exclude(pk=shoot.pk)
        .exclude(booking__state__in=[Booking.State.CANCELLED, Booking.State.ENQUIRY])
        .exclude(booking__state=Booking.State.HOLD, booking__hold_until__lte=now())
        .select_related("booking")[:5]
    )


def shoots_to_merge(shoot: Shoot) -> list[Shoot]:
    """Other shoots in the same room that meet or overlap this one and could be made one with it."""
    use = use_of(shoot.booking)
    return list(
        Shoot.objects.filter(
            lasting(use.starts_at - _MEETING, use.ends_at + _MEETING),
            room=shoot.room,
            photographer=shoot.photographer,
            booking__state=shoot.booking.state,
        )
        .exclude(pk=shoot.pk)
        .select_related("booking")[:20]
    )


def recipes_to_choose() -> QuerySet[Recipe]:
    """Recipes that can be put on a shoot."""
    return Recipe.objects.filter(archived=False, head__isnull=False).select_related("head", "owner")
