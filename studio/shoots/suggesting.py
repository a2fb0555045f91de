"""Which free units would fill the empty jobs of a shoot?

Simple and greedy, job by job in the order of setting up: only what fits, nearest to what the look wishes. Of equals
first what does the same job in another recipe of the shoot, then what is on the shoot without a job in this recipe,
then what is free for the whole blocked interval. Whether the output suffices is for the checks.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from gear.booking import services as booking
from gear.booking.clashes import UnitTaken
from gear.booking.queries import free_units, promised_to
from gear.booking.rules import use_of
from gear.booking.transactions import in_one_transaction
from gear.inventory.models import Condition, Unit
from gear.specs import SpecSheet
from recipes.look import Look
from studio.shoots.assigning import slot_of
from studio.shoots.fits import distance_from_wish, misfits
from studio.shoots.jobs import JobAsked, Slot, jobs_of
from studio.shoots.locks import changed, locked
from studio.shoots.models import Assignment, Shoot, ShootRecipe

__all__ = ["suggest_units"]

_LOOKED_AT = 500
_AGAIN = 3


def suggest_units(shoot: Shoot, by: Any) -> list[Assignment]:
    """Fill the empty jobs of a shoot with free units that fit, and promise them; what cannot be filled stays empty.

    Whoever is quicker gets a unit: the choice is then made again without it.
    """
    for attempt in range(1, _AGAIN + 1):
        try:
            return _suggest(shoot, by)
        except UnitTaken:
            if attempt == _AGAIN:
                raise
    return []


@in_one_transaction
def _suggest(shoot: Shoot, by: Any) -> list[Assignment]:
    shoot = locked(shoot.pk, by, "change")
    store = _Store(shoot)
    made: list[Assignment] = []
    recipes = list(shoot.recipes.select_related("revision").prefetch_related("assignments__unit__gear_type"))
    store.did = {(slot_of(a), a.unit_id) for here in recipes for a in here.assignments.all()}
    for here in recipes:
        made += _fill(here, store)
    if made:
        booking.promise_units(shoot.booking, sorted({assignment.unit_id for assignment in made}), by)
        Assignment.objects.bulk_create(made)
        changed(shoot)
    return made


class _Store:
    """The units that may be chosen: those of the shoot, and by kind those that are free for its time."""

    def __init__(self, shoot: Shoot) -> None:
        self.use = use_of(shoot.booking)
        self.booking_id = shoot.booking_id
        self.on_shoot = [
            promise.unit
            for promise in promised_to(shoot.booking)
            if promise.unit.condition == Condition.READY
        ]
        self.free: dict[tuple[str, ...], list[Unit]] = {}
        self.sheets: dict[int, SpecSheet] = {}
        self.did: set[tuple[Slot, int]] = set()

    def sheet(self, unit: Unit) -> SpecSheet:
        """The sheet of a unit's type, read once."""
        if unit.gear_type_id not in self.sheets:
            self.sheets[unit.gear_type_id] = unit.gear_type.sheet
        return self.sheets[unit.gear_type_id]

    def of(self, kinds: tuple[str, ...]) -> Iterator[Unit]:
        """Units of these kinds; those on the shoot first."""
        yield from (unit for unit in self.on_shoot if unit.gear_type.kind in kinds)
        if kinds not in self.free:
            found = free_units(self.use, kinds=kinds, ignoring=[self.booking_id])
            self.free[kinds] = list(found[:_LOOKED_AT])
        yield from self.free[kinds]

    def take(self, unit: Unit, slot: Slot) -> None:
        """From now on this unit is on the shoot, for this job."""
        self.did.add((slot, unit.pk))
        if all(unit.pk != other.pk for other in self.on_shoot):
            self.on_shoot.append(unit)


def _fill(here: ShootRecipe, store: _Store) -> list[Assignment]:
    look = here.revision.look
    sheets = {slot_of(a): store.sheet(a.unit) for a in here.assignments.all()}
    busy = {a.unit_id for a in here.assignments.all()}
    made: list[Assignment] = []
    tried: set[Slot] = set()
    while job := _next_empty(look, sheets, tried):
        tried.add(job.slot)
        unit = _nearest(job, look, sheets, busy, store)
        if unit is None:
            continue
        store.take(unit, job.slot)
        busy.add(unit.pk)
        sheets[job.slot] = store.sheet(unit)
        made.append(
            Assignment(
                shoot_recipe=here,
                light=job.slot.light,
                job=job.slot.job,
                number=job.slot.number,
                unit=unit,
            )
        )
    return made


def _next_empty(look: Look, sheets: dict[Slot, SpecSheet], tried: set[Slot]) -> JobAsked | None:
    """Asked anew after each choice: a battery head asks for a battery only once it has been chosen."""
    return next((j for j in jobs_of(look, sheets) if j.slot not in sheets and j.slot not in tried), None)


def _nearest(
    job: JobAsked, look: Look, sheets: dict[Slot, SpecSheet], busy: set[int], store: _Store
) -> Unit | None:
    on_shoot = {unit.pk for unit in store.on_shoot}
    fitting = [
        (
            distance_from_wish(job.slot, store.sheet(unit), look),
            (job.slot, unit.pk) not in store.did,
            unit.pk not in on_shoot,
            order,
            unit,
        )
        for order, unit in enumerate(store.of(job.kinds))
        if unit.pk not in busy and not misfits(job.slot, store.sheet(unit), look, sheets)
    ]
    return min(fitting, key=lambda entry: entry[:4])[4] if fitting else None
