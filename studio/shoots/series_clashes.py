"""What stands in the way of days of a series, as a list that a person can decide about."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from django.db import transaction

from gear.booking.interval import Period
from gear.booking.wall_time import NoSuchTime
from gear.errors import Conflict, Gone, Refusal

__all__ = ["Clash", "SeriesClashes", "attempt", "day_said"]

T = TypeVar("T")
_SAID = 12


@dataclass(frozen=True)
class Clash:
    """A day of the rule on which it cannot be as asked: why, and what would mend it. ``period`` is None where the
    clocks jump over its time."""

    day: date
    sentence: str
    ways_out: tuple[str, ...] = ()
    period: Period | None = None


class SeriesClashes(Conflict):
    """Some days clash, so nothing of the series was changed. ``clashes`` says which, ``asked`` how many were asked."""

    code = "series-clashes"

    def __init__(self, clashes: Sequence[Clash], asked: int, done: str = "booked") -> None:
        self.clashes = tuple(clashes)
        self.asked = asked
        listed = " ".join(f"{day_said(clash.day)}: {clash.sentence}" for clash in clashes[:_SAID])
        more = f" And {len(clashes) - _SAID} more." if len(clashes) > _SAID else ""
        super().__init__(
            f"Nothing was {done}: {len(clashes)} of {asked} cannot be as asked. {listed}{more}",
            ways_out=(
                "Leave out those that clash: they are kept in the list with the reason, and can be tried again.",
                "Choose another time, other units, or another rule.",
            ),
        )


def attempt(
    day: date, act: Callable[[], T], period: Period | None = None, *, unfit_too: bool = False
) -> T | Clash:
    """Do it for one day, or say why not with nothing of it done.

    What would be refused on any day (a unit in repair, a right that is missing) is no clash of this day, and is raised;
    with ``unfit_too`` the unit in repair is a clash as well, for want of somebody to ask.
    """
    try:
        with transaction.atomic():
            return act()
    except Refusal as refusal:
        of_any_day = refusal.code == "busy" or (refusal.code == "unfit" and not unfit_too)
        if of_any_day or not isinstance(refusal, Conflict | NoSuchTime | Gone):
            raise
        return Clash(day, refusal.sentence, refusal.ways_out, period)


def day_said(day: date) -> str:
    """``Tue 18 May 2027``."""
    return f"{day:%a} {day.day} {day:%b %Y}"
