"""How a challenge ends: both are told, and what it asked for is asked for no more."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from datetime import datetime
from typing import Any

from gear.booking.models import Allocation, Challenge
from gear.booking.notices import ChallengeEnded, tell

__all__ = ["challenges_lapsed", "end_challenges"]


def end_challenges(outcome: str, at: datetime, **which: Any) -> None:
    """End those open challenges that the words of a filter name; the units of all of them are locked."""
    _end(outcome, at, list(Challenge.objects.filter(ended_at=None, **which).select_related("unit")))


def challenges_lapsed(ended: Collection[tuple[int, int]], at: datetime) -> None:
    """These holds ended: (id of the booking, id of the unit). What asked them to decide has its answer."""
    firsts, units = {first for first, _ in ended}, {unit for _, unit in ended}
    asked = Challenge.objects.filter(ended_at=None, first__in=firsts, unit__in=units).select_related("unit")
    _end(Challenge.Outcome.LAPSED, at, [one for one in asked if (one.first_id, one.unit_id) in ended])


def _end(outcome: str, at: datetime, found: list[Challenge]) -> None:
    if not found:
        return
    Challenge.objects.filter(pk__in=[one.pk for one in found]).update(ended_at=at, outcome=outcome)
    tags: dict[tuple[int, int], list[str]] = defaultdict(list)
    for one in found:
        Allocation.objects.filter(booking=one.first_id, unit=one.unit_id).update(lapses_at=None)
        tags[one.first_id, one.later_id].append(one.unit.tag)
    for (first_id, later_id), theirs in tags.items():
        tell(ChallengeEnded(first_id, later_id, tuple(sorted(theirs)), outcome))
