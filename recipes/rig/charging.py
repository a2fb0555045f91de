"""Can the batteries be charged again before the next shoot?

Each battery occupies one slot of a charger that fits it for the hours it still needs; nobody may be there in
the night to change them. The plan below fills slots whole (a battery that is on stays on until it is full or
time is up) and says honestly whether what is short was proven impossible or only not found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from recipes.quantity import above_zero, at_least_zero, part, whole

__all__ = ["ChargeJob", "ChargePlan", "Charger", "ChargingSlot", "Shortfall", "plan_charging"]

DUST_H = 1e-9
SEARCH_STEPS = 20_000


@dataclass(frozen=True)
class ChargeJob:
    """A battery that wants charging: ``full_h`` from empty to full, ``charged`` the part it still holds."""

    tag: str
    fit: str
    full_h: float
    charged: float = 0.0

    def __post_init__(self) -> None:
        above_zero(f"full_h of {self.tag}", self.full_h)
        part(f"charged of {self.tag}", self.charged)

    @property
    def needed_h(self) -> float:
        return self.full_h * (1.0 - self.charged)


@dataclass(frozen=True)
class Charger:
    """A charger with its slots, all of which charge at once at full speed."""

    tag: str
    fits: tuple[str, ...]
    slots: int = 1

    def __post_init__(self) -> None:
        whole(f"slots of {self.tag}", self.slots, at_least=1)


@dataclass(frozen=True)
class ChargingSlot:
    """One battery in one slot, from and until, in hours after charging may begin."""

    battery: str
    charger: str
    slot: int
    starts_h: float
    ends_h: float


@dataclass(frozen=True)
class Shortfall:
    """A battery that will not be full: the hours that are missing, the part it will hold, and why."""

    battery: str
    missing_h: float
    charged: float
    why: str


@dataclass(frozen=True)
class ChargePlan:
    """Who charges where and when, and what stays short.

    ``proven`` is True when nothing is short, or when no plan whatever could fill them all; False when the search
    gave up and a cleverer plan might exist.
    """

    slots: tuple[ChargingSlot, ...]
    short: tuple[Shortfall, ...]
    proven: bool

    @property
    def all_full(self) -> bool:
        return not self.short


@dataclass(frozen=True)
class _Place:
    charger: Charger
    number: int
    jobs: tuple[ChargeJob, ...] = ()

    @property
    def busy_h(self) -> float:
        return sum(job.needed_h for job in self.jobs)

    def takes(self, job: ChargeJob, hours_h: float, attended_h: float) -> bool:
        """Fits, is full in time, and the last (longest) battery can still be put on while somebody is there."""
        if job.fit not in self.charger.fits:
            return False
        together = self.busy_h + job.needed_h
        longest = max(one.needed_h for one in (*self.jobs, job))
        return together <= hours_h + DUST_H and together - longest <= attended_h + DUST_H

    def with_job(self, job: ChargeJob) -> _Place:
        return replace(self, jobs=(*self.jobs, job))


def plan_charging(
    batteries: Sequence[ChargeJob],
    chargers: Sequence[Charger],
    hours_h: float,
    attended_h: float | None = None,
) -> ChargePlan:
    """A charging plan for the time between two shoots.

    Parameters: the batteries; the chargers; hours until they must be packed; hours from the start during which
    somebody is there to change them (None: all the time). Full batteries need no slot.

    If all fit, every one is full. If not, as many as possible by shortest first, and one that has begun keeps
    charging until time is up.
    """
    hours = float(at_least_zero("hours_h", hours_h))
    attended = hours if attended_h is None else min(hours, float(at_least_zero("attended_h", attended_h)))
    waiting = sorted(
        (job for job in batteries if job.needed_h > DUST_H), key=lambda job: (-job.needed_h, job.tag)
    )
    empty = tuple(_Place(charger, number) for charger in chargers for number in range(1, charger.slots + 1))

    search = _Search(hours, attended)
    found = search.place_all(tuple(waiting), empty)
    if found is not None:
        return ChargePlan(_timetable(found), (), proven=True)
    return _most_full(waiting, empty, hours, attended, proven=not search.gave_up)


class _Search:
    """Tries every way of sharing the batteries out among the slots, longest first, up to a number of steps."""

    def __init__(self, hours_h: float, attended_h: float) -> None:
        self.hours_h = hours_h
        self.attended_h = attended_h
        self.steps = 0

    @property
    def gave_up(self) -> bool:
        return self.steps > SEARCH_STEPS

    def place_all(self, jobs: tuple[ChargeJob, ...], places: tuple[_Place, ...]) -> tuple[_Place, ...] | None:
        if not jobs:
            return places
        job, *rest = jobs
        tried: set[tuple[tuple[str, ...], tuple[float, ...]]] = set()
        for index, place in enumerate(places):
            # Two slots that take the same kinds and hold the same hours lead to the same answers.
            likeness = (place.charger.fits, tuple(one.needed_h for one in place.jobs))
            if likeness in tried or not place.takes(job, self.hours_h, self.attended_h):
                continue
            tried.add(likeness)
            self.steps += 1
            if self.gave_up:
                return None
            filled = (*places[:index], place.with_job(job), *places[index + 1 :])
            found = self.place_all(tuple(rest), filled)
            if found is not None:
                return found
        return None


def _most_full(
    waiting: Sequence[ChargeJob], places: tuple[_Place, ...], hours_h: float, attended_h: float, proven: bool
) -> ChargePlan:
    """Shortest first into the slot that is free first; what does not end in time charges in part."""
    free_at = {(place.charger.tag, place.number): 0.0 for place in places}
    slots: list[ChargingSlot] = []
    short: list[Shortfall] = []
    for job in sorted(waiting, key=lambda one: (one.needed_h, one.tag)):
        fitting = [place for place in places if job.fit in place.charger.fits]
        if not fitting:
            short.append(Shortfall(job.tag, job.needed_h, job.charged, f"no charger here fits {job.fit}"))
            continue
        place = min(fitting, key=lambda one: free_at[(one.charger.tag, one.number)])
        starts = free_at[(place.charger.tag, place.number)]
        if starts >= hours_h - DUST_H or starts > attended_h + DUST_H:
            why = "no slot is free in time" if starts >= hours_h - DUST_H else "nobody is there to change it"
            short.append(Shortfall(job.tag, job.needed_h, job.charged, why))
            continue
        ends = min(starts + job.needed_h, hours_h)
        free_at[(place.charger.tag, place.number)] = ends
        slots.append(ChargingSlot(job.tag, place.charger.tag, place.number, starts, ends))
        missing = job.needed_h - (ends - starts)
        if missing > DUST_H:
            holds = 1.0 - missing / job.full_h
            short.append(Shortfall(job.tag, missing, holds, "time is up before it is full"))
    return ChargePlan(tuple(slots), tuple(short), proven)


def _timetable(places: tuple[_Place, ...]) -> tuple[ChargingSlot, ...]:
    """Shortest first in each slot, so that the longest runs on when nobody is there to change it."""
    slots = []
    for place in places:
        clock = 0.0
        for job in sorted(place.jobs, key=lambda one: (one.needed_h, one.tag)):
            slots.append(ChargingSlot(job.tag, place.charger.tag, place.number, clock, clock + job.needed_h))
            clock += job.needed_h
    return tuple(slots)
