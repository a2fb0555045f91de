"""Asking the shoot on 1st hold to confirm or to let go, and answering: each act is one transaction.

The deadline is counted in working hours of the place of the one who is asked, since they need the time to answer.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Any

from gear.booking import challenges
from gear.booking.models import Allocation, Booking, Challenge
from gear.booking.rules import now
from gear.booking.transactions import in_one_transaction
from gear.errors import FieldProblem, Gone, Invalid
from gear.inventory.models import Unit
from studio.places.working_hours import answer_time, calendar_of
from studio.shoots.locks import changed, locked
from studio.shoots.models import Shoot

__all__ = ["ask_to_decide", "deadline_for", "stop_asking", "wait_behind"]


def deadline_for(shoot: Shoot, first: Booking, hours: float | None = None) -> datetime:
    """By when ``first`` must decide when it is asked now: in so many working hours of its place, else as many as the
    place says. Raises `Invalid`."""
    asked = Shoot.objects.select_related("room__place").filter(booking=first).first() or shoot
    place = asked.room.place
    if hours is not None and not 0 < hours <= 200:
        raise Invalid(
            "Give them more than no time, and at most 200 working hours.",
            (FieldProblem("hours", "a number above 0, at most 200"),),
        )
    time = answer_time(place) if hours is None else timedelta(hours=hours)
    return calendar_of(place).after(now(), time)


@in_one_transaction
def ask_to_decide(shoot: Shoot, first_id: int, by: Any, *, hours: float | None = None) -> list[Challenge]:
    """Ask the booking that stands before this shoot in line to confirm, or to let go of what both want. Raises
    `Conflict`, `Gone`, `NotAllowed`."""
    shoot = locked(shoot.pk, by, "change")
    first = _booking(first_id)
    made = challenges.challenge(shoot.booking, first, deadline_for(shoot, first, hours), by)
    changed(shoot)
    return made


@in_one_transaction
def stop_asking(shoot: Shoot, first_id: int, by: Any) -> None:
    """Ask no more; the first keeps its hold."""
    shoot = locked(shoot.pk, by, "change")
    challenges.withdraw_challenge(shoot.booking, _booking(first_id), by)
    changed(shoot)


@in_one_transaction
def wait_behind(shoot: Shoot, tags: Collection[str], by: Any) -> None:
    """Let those go first who wait for these units, and wait behind them. The jobs stay. Raises `Conflict`, `Gone`."""
    shoot = locked(shoot.pk, by, "change")
    wanted = {tag.strip().upper() for tag in tags}
    units = {unit.tag: unit.pk for unit in Unit.objects.filter(tag__in=wanted)}
    held = set(Allocation.objects.filter(booking=shoot.booking_id).values_list("unit_id", flat=True))
    strange = sorted(tag for tag in wanted if units.get(tag) not in held)
    if strange or not wanted:
        raise Gone(f"{(strange or ['Nothing'])[0][:20]} is not on “{shoot.title}” any more. Look again.")
    challenges.step_back(shoot.booking, units.values(), by)
    changed(shoot)


def _booking(pk: int) -> Booking:
    found = Booking.objects.filter(pk=pk).first()
    if found is None:
        raise Gone("That booking does not exist any more.")
    return found
