"""Which unit does which job: assigning promises, and the last job that goes takes the promise with it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from gear.booking import services as booking
from gear.booking.transactions import in_one_transaction
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.models import Unit
from gear.kits.queries import units_from_kits
from studio.shoots.jobs import Slot
from studio.shoots.locks import changed, locked, recipe_locked
from studio.shoots.models import Assignment, Shoot, ShootRecipe
from studio.shoots.rules import refuse_another, refuse_misplaced, refuse_wrong_kind, slot_name

__all__ = [
    "add_extra_unit",
    "assign_unit",
    "release_idle",
    "remove_extra_unit",
    "set_circuit",
    "slot_of",
    "swap_units",
    "unassign",
]


@in_one_transaction
def assign_unit(
    shoot_recipe: ShootRecipe,
    light: str,
    job: str,
    number: int,
    unit_tag: str,
    by: Any,
    *,
    seen_tag: str | None = None,
    behind: bool = False,
) -> Assignment:
    """Let a unit do a job, and promise it in the same transaction; whoever did the job before makes way.

    ``seen_tag`` is the tag that the person saw there (empty: nobody). With ``behind`` the shoot waits in line for a
    unit that somebody else has. Raises `UnitTaken`, `Conflict`, `Invalid` and `Gone`.
    """
    shoot, here = recipe_locked(shoot_recipe, by)
    slot, look = Slot(light, job, number), here.revision.look
    refuse_misplaced(slot, look)
    unit = _unit(unit_tag)
    refuse_wrong_kind(unit, slot, look)
    assignments = {slot_of(a): a for a in here.assignments.select_related("unit")}
    there = assignments.get(slot)
    refuse_another(seen_tag, there.unit if there else None, slot)
    if there and there.unit_id == unit.pk:
        booking.promise_units(shoot.booking, [unit.pk], by, behind=behind)
        return there
    elsewhere = next((s for s, a in assignments.items() if a.unit_id == unit.pk), None)
    if elsewhere:
        raise Conflict(
            f"{unit.tag} already does {slot_name(elsewhere)} in this recipe. Swap the two, or take it off there first.",
            ways_out=("Swap the two", f"Take it off {slot_name(elsewhere)}"),
            code="unit-has-a-job",
        )
    idle = _idle(shoot, [there.unit_id], but=there) if there else []
    booking.exchange_units(shoot.booking, idle, [unit.pk], by, behind=behind)
    circuit = there.circuit if there else ""
    if there:
        there.delete()
    done = _put(here, slot, unit.pk, circuit)
    changed(shoot)
    return done


@in_one_transaction
def unassign(
    shoot_recipe: ShootRecipe, light: str, job: str, number: int, by: Any, *, seen_tag: str | None = None
) -> None:
    """Take whoever does this job off it; without another job at this shoot the unit is free again. Repeatable."""
    shoot, here = recipe_locked(shoot_recipe, by)
    slot = Slot(light, job, number)
    there = here.assignments.filter(light=light, job=job, number=number).select_related("unit").first()
    if there is None:
        return
    refuse_another(seen_tag, there.unit, slot)
    there.delete()
    release_idle(shoot, [there.unit_id], by)
    changed(shoot)


@in_one_transaction
def swap_units(shoot_recipe: ShootRecipe, first: Slot, second: Slot, by: Any) -> None:
    """Let two jobs of one recipe exchange their units; one of them may be empty. Raises `Invalid` for a wrong kind."""
    shoot, here = recipe_locked(shoot_recipe, by)
    look = here.revision.look
    found = {slot_of(a): a for a in here.assignments.select_related("unit__gear_type")}
    pairs = ((first, found.get(second)), (second, found.get(first)))
    for slot, comes in pairs:
        refuse_misplaced(slot, look)
        if comes:
            refuse_wrong_kind(comes.unit, slot, look)
    circuits = {slot: found[slot].circuit for slot in (first, second) if slot in found}
    here.assignments.filter(pk__in=[found[slot].pk for slot in circuits]).delete()
    for slot, comes in pairs:
        if comes:
            _put(here, slot, comes.unit_id, circuits.get(slot, ""))
    changed(shoot)


@in_one_transaction
def set_circuit(shoot_recipe: ShootRecipe, light: str, number: int, circuit: str, by: Any) -> None:
    """Plug a light's head into a circuit of the room; an empty name unplugs it."""
    shoot, here = recipe_locked(shoot_recipe, by)
    names = list(shoot.room.circuits.values_list("name", flat=True))
    if circuit and circuit not in names:
        raise Invalid(
            f"{shoot.room} has no circuit {circuit!r}. It has: {', '.join(names) or 'none'}.",
            (FieldProblem("circuit", "a circuit of the room"),),
        )
    heads = here.assignments.filter(light=light, job="head", number=number).exclude(circuit=circuit)
    if heads.update(circuit=circuit):
        changed(shoot)


@in_one_transaction
def add_extra_unit(shoot: Shoot, unit_tag: str, by: Any, *, behind: bool = False) -> Unit:
    """Promise a unit without a job: a spare, or something only to be packed; ``behind`` others it waits in line. Raises
    `UnitTaken`, `Gone`."""
    shoot = locked(shoot.pk, by, "change")
    unit = _unit(unit_tag)
    booking.promise_units(shoot.booking, [unit.pk], by, behind=behind)
    changed(shoot)
    return unit


@in_one_transaction
def remove_extra_unit(shoot: Shoot, unit_tag: str, by: Any) -> None:
    """Let an extra unit go. Raises `Conflict` while it has a job at this shoot."""
    shoot = locked(shoot.pk, by, "change")
    unit = _unit(unit_tag)
    job = Assignment.objects.filter(shoot_recipe__shoot=shoot, unit=unit).first()
    if job:
        raise Conflict(f"{unit.tag} still does {slot_name(slot_of(job))}. Take it off that job first.")
    if unit.pk in units_from_kits(shoot.booking_id):
        raise Conflict(f"{unit.tag} came with a kit. Let the kit go, and promise the rest of it singly.")
    if booking.release_units(shoot.booking, [unit.pk], by):
        changed(shoot)


def release_idle(shoot: Shoot, unit_ids: Sequence[int], by: Any) -> None:
    """Release those of the units that have no job at this shoot any more."""
    idle = _idle(shoot, unit_ids)
    if idle:
        booking.release_units(shoot.booking, idle, by)


def _idle(shoot: Shoot, unit_ids: Sequence[int], but: Assignment | None = None) -> list[int]:
    busy = Assignment.objects.filter(shoot_recipe__shoot=shoot, unit__in=unit_ids)
    if but:
        busy = busy.exclude(pk=but.pk)
    kept = set(busy.values_list("unit_id", flat=True)) | units_from_kits(shoot.booking_id)
    return sorted(set(unit_ids) - kept)


def _put(here: ShootRecipe, slot: Slot, unit_id: int, circuit: str = "") -> Assignment:
    return Assignment.objects.create(
        shoot_recipe=here,
        light=slot.light,
        job=slot.job,
        number=slot.number,
        unit_id=unit_id,
        circuit=circuit,
    )


def _unit(tag: str) -> Unit:
    unit = Unit.objects.select_related("gear_type").filter(tag=tag.strip().upper()).first()
    if unit is None:
        raise Gone(
            f"There is no unit with the tag {tag.strip()[:20]!r}. Look at the label on the unit again."
        )
    return unit


def slot_of(assignment: Assignment) -> Slot:
    return Slot(assignment.light, assignment.job, assignment.number)
