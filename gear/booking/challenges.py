"""Asking an earlier holder to confirm, or to let go by a deadline; each act is one transaction.

A challenge is about the units that the later one waits for, not about the whole of the earlier booking. At the deadline
its hold on them ends by the clock; confirming before keeps them, and a second later it is a fresh check.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet

from gear.booking.challenge_ends import end_challenges
from gear.booking.claims import wait
from gear.booking.locks import locked_by_id, locked_units
from gear.booking.models import Allocation, Booking, Challenge
from gear.booking.notices import Challenged, tell
from gear.booking.promotion import promote
from gear.booking.queries import live, waits
from gear.booking.rules import has_lapsed, now
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import say
from gear.changes import announce
from gear.errors import Conflict

__all__ = ["challenge", "open_challenges", "step_back", "withdraw_challenge"]


@in_one_transaction
def challenge(later: Booking, first: Booking, deadline: datetime, by: Any) -> list[Challenge]:
    """``later``, which waits behind ``first``, asks it to confirm or to let go of those units by the deadline. Asking
    again while it is open changes nothing. Raises `Conflict`."""
    later, first = _both(later.pk, first.pk)
    at = now()
    wanted = _waited_for(later, first, at)
    units = locked_units(wanted)
    held = {
        promise.unit_id: promise
        for promise in Allocation.objects.filter(
            live(at), booking=first, unit__in=_waited_for(later, first, at)
        )
    }
    if not held:
        raise Conflict(
            f"“{later.title}” does not wait behind “{first.title}” for anything, so there is nothing to ask.",
            code="not-in-line",
        )
    asked = Challenge.objects.filter(ended_at=None, first=first, unit__in=held)
    mine = list(asked.filter(later=later))
    if mine:
        return mine
    other = asked.select_related("later").first()
    if other:
        raise Conflict(
            f"“{other.later.title}” has asked already: “{first.title}” must decide by "
            f"{say(other.deadline, later.zone)}.",
            code="challenged",
        )
    _refuse_pointless(later, first, deadline)
    made = [
        Challenge.objects.create(
            unit=unit, first=first, later=later, deadline=deadline, asked_at=at, asked_by=by
        )
        for unit in units
        if unit.pk in held
    ]
    Allocation.objects.filter(pk__in=[one.pk for one in held.values()]).update(lapses_at=deadline)
    tell(Challenged(first.pk, later.pk, tuple(sorted(one.unit.tag for one in made)), deadline))
    announce("unit", sorted(held))
    return made


@in_one_transaction
def withdraw_challenge(later: Booking, first: Booking, by: Any) -> None:
    """Ask no more. Repeating it changes nothing."""
    later, first = _both(later.pk, first.pk)
    asked = Challenge.objects.filter(ended_at=None, first=first, later=later)
    units = locked_units(asked.values_list("unit_id", flat=True))
    end_challenges(Challenge.Outcome.WITHDRAWN, now(), first=first, later=later, unit__in=units)
    announce("unit", sorted(unit.pk for unit in units))


@in_one_transaction
def step_back(booking: Booking, unit_ids: Collection[int], by: Any) -> None:
    """Let those go first that wait for these units, and wait at the end of the line instead. Raises `Conflict`."""
    booking = locked_by_id(booking.pk, None)
    units, at = locked_units(unit_ids), now()
    if booking.state != Booking.State.HOLD or has_lapsed(booking, at):
        raise Conflict(
            f"“{booking.title}” is not on hold, so it has nothing to step back from.", code="no-hold"
        )
    held = set(
        Allocation.objects.filter(live(at), booking=booking, unit__in=units).values_list("unit_id", flat=True)
    )
    if not held:
        raise Conflict(f"“{booking.title}” does not hold these units any more.", code="not-held")
    end_challenges(Challenge.Outcome.LET_GO, at, first=booking, unit__in=held)
    wait(booking, [unit for unit in units if unit.pk in held], at, by)
    announce("unit", sorted(held))
    promote(units, at)


def open_challenges(booking_ids: Collection[int]) -> QuerySet[Challenge]:
    """The open challenges that these bookings made or met, the next deadline first."""
    ids = list(booking_ids)
    return Challenge.objects.filter(Q(first__in=ids) | Q(later__in=ids), ended_at=None).select_related(
        "unit", "first__asked_by", "later__asked_by"
    )


def _both(later_id: int, first_id: int) -> tuple[Booking, Booking]:
    if later_id == first_id:
        raise Conflict("A booking does not stand in its own way.", code="not-in-line")
    found = {pk: locked_by_id(pk, None) for pk in sorted((later_id, first_id))}
    return found[later_id], found[first_id]


def _waited_for(later: Booking, first: Booking, at: datetime) -> set[int]:
    """The units for which the one waits while the other blocks that time."""
    blocked = dict(Allocation.objects.filter(live(at), booking=first).values_list("unit_id", "blocked"))
    waiting = Allocation.objects.filter(waits(at), booking=later).values_list("unit_id", "blocked")
    return {
        pk
        for pk, wanted in waiting
        if pk in blocked and blocked[pk].lower < wanted.upper and wanted.lower < blocked[pk].upper
    }


def _refuse_pointless(later: Booking, first: Booking, deadline: datetime) -> None:
    if first.state != Booking.State.HOLD or first.hold_until is None or later.hold_until is None:
        raise Conflict(
            f"“{first.title}” is {first.get_state_display().lower()}: it has decided already.", code="decided"
        )
    if first.hold_until <= deadline:
        raise Conflict(
            f"The hold of “{first.title}” ends by itself {say(first.hold_until, later.zone)}, before it would have to "
            f"answer ({say(deadline, later.zone)}). Wait for that.",
            code="ends-by-itself",
        )
    if later.hold_until <= deadline:
        raise Conflict(
            f"The hold of “{later.title}” ends {say(later.hold_until, later.zone)}, before the answer is due "
            f"({say(deadline, later.zone)}). Renew it first, then ask.",
            ways_out=("Renew the hold for longer",),
            code="hold-too-short",
        )
    if first.starts_at <= deadline:
        raise Conflict(
            f"“{first.title}” begins {say(first.starts_at, later.zone)}, before its answer would be due "
            f"({say(deadline, later.zone)}). Call them instead.",
            code="too-late-to-ask",
        )
