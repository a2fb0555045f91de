"""How many are free on which day, and what else would do: the sentence for whoever asks for too many."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from gear.booking.wall_time import say, say_period, zone_of
from gear.errors import Conflict
from gear.stock.queries import Availability
from gear.stock.rules import said

__all__ = ["StockShort", "free_by_day"]

_DAYS_SAID = 6
_AN_INSTANT = timedelta(microseconds=1)


class StockShort(Conflict):
    """There are not that many for the whole time. ``free`` is how many there are."""

    code = "stock-short"

    def __init__(self, found: Availability, wanted: Decimal, zone: str) -> None:
        self.item, self.free, self.wanted = found.item, found.free, wanted
        when = say_period(found.use.starts_at, found.use.ends_at, zone)
        super().__init__(
            f"{said(wanted)} of {found.item} cannot be promised for {when}: {free_by_day(found, zone)}.",
            ways_out=_ways_out(found, wanted, zone),
        )


def free_by_day(found: Availability, zone: str) -> str:
    """``4 free Tue, 10 free Wed``: for each local day that is blocked the least that is free; like days together.
    The date is said where a weekday alone would not be clear."""
    days = _least_a_day(found, zone)
    clear = len(days) <= 7
    runs: list[tuple[date, date, Decimal]] = []
    for day, free in days:
        if runs and runs[-1][2] == free:
            runs[-1] = (runs[-1][0], day, free)
        else:
            runs.append((day, day, free))
    words = []
    for first, last, free in runs[:_DAYS_SAID]:
        days_said = _day(first, clear) + (f" to {_day(last, clear)}" if last != first else "")
        words.append(f"{said(free)} free {days_said}")
    more = len(runs) - _DAYS_SAID
    return ", ".join(words) + (f" and {more} more changes" if more > 0 else "")


def _least_a_day(found: Availability, zone: str) -> list[tuple[date, Decimal]]:
    place = zone_of(zone)
    least: dict[date, Decimal] = {}
    for level in found.levels:
        free = max(Decimal(0), found.may_take(level))
        end = min(level.end, found.ends_at) if level.end else found.ends_at
        day = level.start.astimezone(place).date()
        while day <= (end - _AN_INSTANT).astimezone(place).date():
            least[day] = min(free, least.get(day, free))
            day += timedelta(days=1)
    if found.item.consumable:  # what somebody needs later cannot be used up now
        return [(day, found.free) for day in sorted(least)]
    return sorted(least.items())


def _day(day: date, clear: bool) -> str:
    return f"{day:%a}" if clear else f"{day:%a} {day.day} {day:%b}"


def _ways_out(found: Availability, wanted: Decimal, zone: str) -> tuple[str, ...]:
    ways = []
    if found.free > 0:
        ways.append(f"Take {said(found.free)}: they are free for the whole time.")
    enough = [level for level in found.levels if found.may_take(level) >= wanted]
    if not found.item.consumable and enough:
        first, last = found.levels[0], found.levels[-1]
        if first in enough and first.end and first.end < found.use.ends_at:
            ways.append(f"End by {say(first.end, zone)}.")
        if last in enough and last.start > found.use.starts_at:
            ways.append(f"Start from {say(last.start, zone)}.")
    if found.item.consumable:
        ways.append("Buy more, and enter from when they are there.")
    return tuple(ways)
