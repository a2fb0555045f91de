"""Places with their rooms. Nothing here writes."""

from __future__ import annotations

from django.db.models import Count, Prefetch, QuerySet

from gear.errors import Gone
from studio.places.models import Place, Room

__all__ = ["a_place", "a_room", "places", "rooms"]


def places() -> QuerySet[Place]:
    """Every place, with its rooms and how many windows and circuits each has."""
    return Place.objects.prefetch_related(Prefetch("rooms", _counted()))


def rooms() -> QuerySet[Room]:
    """Every room with its place, windows and circuits."""
    return Room.objects.select_related("place").prefetch_related("windows", "circuits")


def a_place(pk: int) -> Place:
    """The place of that number. Raises `Gone`."""
    found = Place.objects.filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no place {pk}.")
    return found


def a_room(pk: int) -> Room:
    """The room of that number, whole. Raises `Gone`."""
    found = rooms().filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no room {pk}.")
    return found


def _counted() -> QuerySet[Room]:
    return Room.objects.annotate(
        window_count=Count("windows", distinct=True), circuit_count=Count("circuits", distinct=True)
    ).order_by("name")
