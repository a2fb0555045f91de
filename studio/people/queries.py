"""Who works here. Nothing here writes."""

from __future__ import annotations

from django.db.models import QuerySet

from gear.errors import Gone
from studio.people.models import Person

__all__ = ["everybody", "somebody"]


def everybody() -> QuerySet[Person]:
    """Who signs in first, then who does not any more; by name."""
    return Person.objects.order_by("-is_active", "first_name", "last_name", "username")


def somebody(pk: int) -> Person:
    """The person of that number. Raises `Gone`."""
    found = Person.objects.filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no person {pk}.")
    return found
