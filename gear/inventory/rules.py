"""Rules of the store that need no database."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from gear.errors import Conflict
from gear.inventory.models import Condition

__all__ = [
    "case_loop",
    "condition_after_fault",
    "may_become",
    "needs_inspection",
    "next_inspection",
    "tag_to_find",
]


def condition_after_fault(now: str) -> str:
    """What a reported fault makes of a unit: out of use at once. One in repair stays there, a found one is not lost
    any more, and what is written off stays written off.
    """
    if now in (Condition.REPAIR, Condition.WRITTEN_OFF):
        return now
    return Condition.QUARANTINE


def needs_inspection(now: str, then: str) -> bool:
    """Whether somebody must have looked at the unit: for every way back into use."""
    return then == Condition.READY and now != Condition.READY


def may_become(tag: str, now: str, then: str) -> None:
    """Raises `Conflict` where a change of condition would change nothing."""
    if now == then:
        label = Condition(now).label.lower()
        raise Conflict(
            f"{tag} is {label} already.", ways_out=("Write a care entry if there is something to add.",)
        )


def case_loop(tag: str, case: str | None, case_of: Callable[[str], str | None]) -> tuple[str, ...]:
    """The loop that would arise if ``tag`` travelled in ``case``: the tags on the way back to it, empty for none."""
    way: list[str] = []
    while case is not None and case not in way:
        way.append(case)
        if case == tag:
            return (tag, *way)
        case = case_of(case)
    return ()


def next_inspection(done_on: date, interval_days: int | None) -> date | None:
    """When the next inspection is due: counted from the day one was done, not from the day it was written down. None
    where the gear type has no interval."""
    return done_on + timedelta(days=interval_days) if interval_days else None


def tag_to_find(tag: str) -> str:
    """A tag from an address or a request as the store writes it; empty for what can be no tag."""
    found = tag.upper()
    return found if found.replace("-", "").isalnum() and found.isascii() else ""
