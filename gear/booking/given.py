"""Which minutes around its use has a unit in this booking: its own, or those that were granted? Does it stay on set?"""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q

from gear.booking.models import Allocation, Booking
from gear.inventory.models import Unit

__all__ = ["as_given", "in_words"]


def as_given(booking: Booking, units: Iterable[Unit]) -> list[Unit]:
    """The same units, those with granted minutes wearing them in memory (``has_given``); never to be saved."""
    units = list(units)
    granted = Q(prep_given__isnull=False) | Q(turnaround_given__isnull=False)
    found = {
        promise.unit_id: promise
        for promise in Allocation.objects.filter(
            granted, booking=booking, unit__in=[unit.pk for unit in units]
        )
    }
    for unit in units:
        if promise := found.get(unit.pk):
            unit.has_given = True
            if promise.prep_given is not None:
                unit.prep_minutes = promise.prep_given
            if promise.turnaround_given is not None:
                unit.turnaround_minutes = promise.turnaround_given
    return units


def in_words(promise: Allocation) -> str:
    """What differs from the usual, who granted it and why, or for whom it stays on set: for the packing list;
    empty when nothing does. The promise comes with its unit, ``given_by`` and ``stays_for``."""
    unit, said = promise.unit, []
    for name, given, usual in (
        ("prep", promise.prep_given, unit.prep),
        ("turnaround", promise.turnaround_given, unit.turnaround),
    ):
        if given is not None:
            said.append(f"{name} {given} min instead of {usual}")
    words = []
    if said:
        who = f"{promise.given_by}" if promise.given_by else "somebody who left"
        role = f" ({promise.given_role})" if promise.given_role else ""
        words.append(f"{' and '.join(said)}, granted by {who}{role}: {promise.given_why}")
    if promise.stays_for:
        words.append(f"stays on set for “{promise.stays_for.title}”; look it over there")
    return "; ".join(words)
