"""Two shoots of one, and one of two: each is one transaction, in which no unit is free for anybody else."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime
from typing import Any

from gear.booking import parting
from gear.booking.models import Booking
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import moment
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.models import Unit
from gear.kits.queries import units_from_kits
from studio.shoots.locks import changed, locked
from studio.shoots.models import Assignment, Shoot, ShootRecipe

__all__ = ["merge_shoots", "split_shoot_at", "split_shoot_off"]


@in_one_transaction
def split_shoot_at(
    shoot: Shoot,
    at: str | datetime,
    by: Any,
    *,
    title: str = "",
    second: bool = False,
    version: int | None = None,
) -> Shoot:
    """Cut a shoot in two at a wall time; returns the later part, with the same recipes, jobs, units, counted things and
    kits. Raises `Invalid`, `Conflict`, `StaleEdit`, `NotAllowed`."""
    shoot = locked(shoot.pk, by, "change", version)
    when = moment(at, shoot.booking.zone, second=second, where="at").instant
    later = _shoot_beside(shoot, parting.split_at(shoot.booking, when, by, title=title))
    _copy_plan(shoot.recipes.all(), later, set(_units_of(later.booking)))
    _told(shoot, later)
    return later


@in_one_transaction
def split_shoot_off(
    shoot: Shoot, tags: Collection[str], by: Any, *, title: str = "", version: int | None = None
) -> Shoot:
    """Give these units, with the jobs they do, a shoot of their own for the same time in the same room. Raises `Gone`,
    `Invalid`, `Conflict`, `StaleEdit`, `NotAllowed`."""
    shoot = locked(shoot.pk, by, "change", version)
    wanted = {tag.strip().upper() for tag in tags if tag.strip()}
    if not wanted:
        raise Invalid("Choose the units that go.", (FieldProblem("units", "tags of some of its units"),))
    units = {unit.tag: unit.pk for unit in Unit.objects.filter(tag__in=wanted)}
    strange = sorted(wanted - set(units))
    if strange:
        raise Gone(f"There is no unit with the tag {strange[0][:20]!r}. Look at the label on the unit again.")
    from_kits = units_from_kits(shoot.booking_id)
    of_a_kit = sorted(tag for tag, pk in units.items() if pk in from_kits)
    if of_a_kit:
        raise Conflict(
            f"{of_a_kit[0]} came with a kit, which stays together. Let the kit go, and promise the rest of it singly.",
            code="of-a-kit",
        )
    other = _shoot_beside(shoot, parting.split_off(shoot.booking, units.values(), by, title=title))
    _copy_plan(shoot.recipes.all(), other, set(units.values()), only_with_jobs=True)
    Assignment.objects.filter(shoot_recipe__shoot=shoot, unit__in=units.values()).delete()
    _told(shoot, other)
    return other


@in_one_transaction
def merge_shoots(
    shoot: Shoot, other: Shoot, by: Any, *, version: int | None = None, other_version: int | None = None
) -> Shoot:
    """Make one shoot of two that meet or overlap in one room; returns the earlier, with the recipes of both in order.
    The other is cancelled and keeps its plan. Raises `UnitTaken`, `StockShort`, `Conflict`, `StaleEdit`,
    `NotAllowed`."""
    versions = {shoot.pk: version, other.pk: other_version}
    both = {pk: locked(pk, by, "change", versions[pk]) for pk in sorted(versions)}
    shoot, other = both[shoot.pk], both[other.pk]
    if shoot.room_id != other.room_id:
        raise Conflict(
            f"“{shoot.title}” is in {shoot.room}, “{other.title}” in {other.room}. Move one of them first.",
            code="unlike",
        )
    if shoot.photographer_id != other.photographer_id:
        raise Conflict(
            f"“{shoot.title}” is {shoot.photographer or 'nobody'}'s, “{other.title}” "
            f"{other.photographer or 'nobody'}'s. Give them one photographer first.",
            code="unlike",
        )
    joined = parting.merge(shoot.booking, other.booking, by)
    kept, gone = (shoot, other) if joined.pk == shoot.booking_id else (other, shoot)
    kept.booking.refresh_from_db()
    gone.booking.refresh_from_db()
    if gone.notes and gone.notes not in kept.notes:
        kept.notes = f"{kept.notes}\n{gone.notes}".strip()
    kept.assistant = kept.assistant or gone.assistant
    _copy_plan(_not_yet_on(kept, gone), kept, set(_units_of(kept.booking)))
    _told(kept, gone)
    changed(gone)
    return kept


def _shoot_beside(shoot: Shoot, booking: Booking) -> Shoot:
    return Shoot.objects.create(
        title=booking.title,
        room=shoot.room,
        booking=booking,
        photographer=shoot.photographer,
        assistant=shoot.assistant,
        notes=shoot.notes,
        travels_by_air=shoot.travels_by_air,
        travellers=shoot.travellers,
    )


def _copy_plan(
    recipes: Iterable[ShootRecipe], to: Shoot, units: set[int], *, only_with_jobs: bool = False
) -> None:
    """The recipes at the end of a shoot's order, with the jobs that these units do."""
    last = to.recipes.order_by("-position").values_list("position", flat=True).first() or 0
    for here in recipes:
        jobs = [job for job in here.assignments.all() if job.unit_id in units]
        if only_with_jobs and not jobs:
            continue
        last += 1
        copy = ShootRecipe.objects.create(shoot=to, revision_id=here.revision_id, position=last)
        Assignment.objects.bulk_create(
            Assignment(
                shoot_recipe=copy,
                light=job.light,
                job=job.job,
                number=job.number,
                unit_id=job.unit_id,
                circuit=job.circuit,
            )
            for job in jobs
        )


def _not_yet_on(kept: Shoot, gone: Shoot) -> list[ShootRecipe]:
    """The recipes of the one that the other does not make with the same units already."""

    def made(here: ShootRecipe) -> tuple[Any, ...]:
        jobs = sorted((a.light, a.job, a.number, a.unit_id) for a in here.assignments.all())
        return here.revision_id, tuple(jobs)

    known = {made(here) for here in kept.recipes.prefetch_related("assignments")}
    return [here for here in gone.recipes.prefetch_related("assignments") if made(here) not in known]


def _units_of(booking: Booking) -> Iterable[int]:
    return booking.allocations.values_list("unit_id", flat=True)


def _told(shoot: Shoot, other: Shoot) -> None:
    shoot.booking.refresh_from_db()
    changed(shoot)
    announce("shoot", [other.pk])
