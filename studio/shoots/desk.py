"""One shoot as the planning desk sees it, and the units that may be chosen for one of its jobs. Nothing here writes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, Q

from gear.booking.interval import Interval
from gear.booking.line import InLine
from gear.booking.models import Allocation, Booking
from gear.booking.queries import free_units, live, promised_to, taken_units
from gear.booking.rules import has_lapsed, use_of
from gear.inventory.models import Unit
from gear.specs import SpecSheet
from recipes.look import Light, Look, Panel
from studio.shoots.fits import distance_from_wish, misfits
from studio.shoots.inspections import inspection_said
from studio.shoots.jobs import LIGHT_JOBS, PANEL_JOBS, RECIPE_JOBS, JobAsked, Slot, jobs_of, kinds_at
from studio.shoots.models import Assignment, Job, Shoot, ShootRecipe
from studio.shoots.rules import slot_name
from studio.shoots.standing import Standing, standing_of

__all__ = ["Desk", "DeskGroup", "DeskRecipe", "DeskRow", "Offer", "Picker", "desk", "picker"]

_FREE_SHOWN = 60
_TAKEN_SHOWN = 30


@dataclass(frozen=True)
class DeskRow:
    """One job: what the look says about it, and who does it. ``stands`` is whether the unit is really promised; else
    ``place`` is where the shoot stands in line for it, if it does."""

    slot: Slot
    label: str
    wish: str
    asked: bool
    assignment: Assignment | None = None
    stands: bool = False
    place: InLine | None = None
    misfits: tuple[str, ...] = ()
    mains: bool = False


@dataclass(frozen=True)
class DeskGroup:
    """The jobs of one light or panel, or of the recipe as a whole (``light`` is empty); ``more`` could be added."""

    light: str
    said: str
    rows: tuple[DeskRow, ...]
    more: tuple[tuple[Slot, str], ...]


@dataclass(frozen=True)
class DeskRecipe:
    """One recipe of the shoot with its jobs; ``newest`` is the number of a later revision, or None."""

    record: ShootRecipe
    look: Look
    groups: tuple[DeskGroup, ...]
    newest: int | None

    @property
    def empty(self) -> int:
        """How many jobs that the look asks for nobody does."""
        return sum(row.asked and row.assignment is None for group in self.groups for row in group.rows)


@dataclass(frozen=True)
class Desk:
    """The planning desk: the recipes in order with their jobs, and the units without a job."""

    shoot: Shoot
    recipes: tuple[DeskRecipe, ...]
    extras: tuple[tuple[Allocation, InLine | None], ...]
    standing: Standing
    lapsed: bool
    fallen: tuple[str, ...]
    """Tags of units that are noted here but not promised: the hold ended, or it is only an enquiry."""

    @property
    def empty(self) -> int:
        """Jobs without a unit, over all recipes."""
        return sum(recipe.empty for recipe in self.recipes)


@dataclass(frozen=True)
class Offer:
    """A unit that may do a job: why it would not fit, and who has it (empty: it is free)."""

    unit: Unit
    misfits: tuple[str, ...] = ()
    holder: Allocation | None = None
    here: str = ""


@dataclass(frozen=True)
class Picker:
    """What may be chosen for one job: free units that fit first, and those that somebody else has."""

    row: DeskRow
    free: tuple[Offer, ...]
    taken: tuple[Offer, ...]
    more: bool


def desk(shoot: Shoot) -> Desk:
    """Everything the planning desk shows, in a fixed number of queries."""
    recipes = list(
        shoot.recipes.select_related("revision__recipe__head").prefetch_related(
            Prefetch("assignments", Assignment.objects.select_related("unit__gear_type"))
        )
    )
    promises = list(promised_to(shoot.booking))
    stand = {promise.unit_id for promise in promises if promise.stands}
    standing = standing_of(shoot, promises)
    places = {place.promise.unit_id: place for place in standing.places.values()}
    working = {a.unit_id for recipe in recipes for a in recipe.assignments.all()}
    return Desk(
        shoot=shoot,
        recipes=tuple(_desk_recipe(recipe, stand, places, shoot.booking) for recipe in recipes),
        extras=tuple(_extra(p, standing, shoot) for p in promises if p.unit_id not in working),
        standing=standing,
        lapsed=has_lapsed(shoot.booking),
        fallen=tuple(p.unit.tag for p in promises if not p.stands and p.pk not in standing.places),
    )


def _extra(promise: Allocation, standing: Standing, shoot: Shoot) -> tuple[Allocation, InLine | None]:
    promise.warnings = inspection_said(promise.unit, shoot.booking)
    return promise, standing.places.get(promise.pk)


def picker(here: ShootRecipe, slot: Slot, *, words: str = "") -> Picker:
    """The units for one job at this shoot's time; ``words`` narrow by tag, name or maker."""
    look = here.revision.look
    assignments = list(here.assignments.select_related("unit__gear_type"))
    sheets = _sheets(assignments)
    there = next((a for a in assignments if _slot(a) == slot), None)
    around = {s: sheet for s, sheet in sheets.items() if s != slot}
    use, mine = use_of(here.shoot.booking), [here.shoot.booking_id]
    kinds = kinds_at(slot, look)
    narrow = _words(words)
    jobs = {a.unit_id: slot_name(_slot(a)) for a in assignments}
    free = list(free_units(use, kinds=kinds, ignoring=mine).filter(narrow)[: _FREE_SHOWN + 1])
    offers = [
        Offer(
            unit,
            misfits(slot, unit.gear_type.sheet, look, around) + inspection_said(unit, here.shoot.booking),
            here=jobs.get(unit.pk, ""),
        )
        for unit in free[:_FREE_SHOWN]
        if there is None or unit.pk != there.unit_id
    ]
    offers.sort(
        key=lambda o: (
            bool(o.here),
            bool(o.misfits),
            distance_from_wish(slot, o.unit.gear_type.sheet, look),
            o.unit.tag,
        )
    )
    asked = next((job for job in jobs_of(look, sheets) if job.slot == slot), JobAsked(slot, kinds))
    return Picker(
        row=_row(asked, there, set(), {}, look, sheets, here.shoot.booking, asked=True),
        free=tuple(offers),
        taken=_taken(use, kinds, mine, narrow),
        more=len(free) > _FREE_SHOWN,
    )


def _taken(use: Interval, kinds: Sequence[str], mine: list[int], narrow: Q) -> tuple[Offer, ...]:
    units = list(taken_units(use, kinds=kinds, ignoring=mine).filter(narrow).order_by("tag")[:_TAKEN_SHOWN])
    holders: dict[int, Allocation] = {}
    around = Interval(
        min([use.starts_at, *(unit.blocked_from for unit in units)]),
        max([use.ends_at, *(unit.blocked_to for unit in units)]),
    )
    for promise in (
        Allocation.objects.filter(live(), unit__in=units, blocked__overlap=around.as_range)
        .exclude(booking__in=mine)
        .select_related("booking", "booking__asked_by")
        .order_by("blocked")
    ):
        holders.setdefault(promise.unit_id, promise)
    return tuple(Offer(unit, holder=holders.get(unit.pk)) for unit in units)


def _desk_recipe(
    record: ShootRecipe, stand: set[int], places: dict[int, InLine], held: Booking
) -> DeskRecipe:
    look = record.revision.look
    assignments = list(record.assignments.all())
    sheets = _sheets(assignments)
    there = {_slot(a): a for a in assignments}
    asked = jobs_of(look, sheets)
    rows = [_row(job, there.get(job.slot), stand, places, look, sheets, held, asked=True) for job in asked]
    wanted = {job.slot for job in asked}
    rows += [
        _row(JobAsked(slot, ()), a, stand, places, look, sheets, held, asked=False)
        for slot, a in there.items()
        if slot not in wanted
    ]
    groups = [_group("", "", rows, RECIPE_JOBS)]
    groups += [_group(light.name, _where(light), rows, LIGHT_JOBS) for light in look.lights]
    groups += [_group(panel.name, _panel_where(panel), rows, PANEL_JOBS) for panel in look.panels]
    head = record.revision.recipe.head
    newest = head.number if head and head.number > record.revision.number else None
    return DeskRecipe(record, look, tuple(groups), newest)


def _where(light: Light) -> str:
    return f"{light.role}, {light.bearing_deg:g}° at {light.distance_m:g} m".replace("-", "−")


def _panel_where(panel: Panel) -> str:
    return f"{panel.kind}, {panel.bearing_deg:g}° at {panel.distance_m:g} m".replace("-", "−")


def _group(light: str, said: str, rows: Sequence[DeskRow], jobs: Sequence[str]) -> DeskGroup:
    mine = [row for row in rows if row.slot.light == light]
    mine.sort(key=lambda row: (jobs.index(row.slot.job), row.slot.number))
    more = []
    for job in jobs:
        last = max((row.slot.number for row in mine if row.slot.job == job), default=0)
        slot = Slot(light, job, last + 1)
        more.append((slot, slot_name(Slot("", job, last + 1)).capitalize()))
    return DeskGroup(light, said, tuple(mine), tuple(more))


def _row(
    job: JobAsked,
    there: Assignment | None,
    stand: set[int],
    places: dict[int, InLine],
    look: Look,
    sheets: dict[Slot, SpecSheet],
    held: Booking,
    *,
    asked: bool,
) -> DeskRow:
    slot = job.slot
    label = Job(slot.job).label + (f" {slot.number}" if slot.number > 1 else "")
    if there is None:
        return DeskRow(slot, label, job.wish, asked)
    sheet = sheets[slot]
    around = {other: worn for other, worn in sheets.items() if other != slot}
    return DeskRow(
        slot,
        label,
        job.wish,
        asked,
        there,
        there.unit_id in stand,
        places.get(there.unit_id),
        misfits(slot, sheet, look, around) + inspection_said(there.unit, held),
        mains=slot.job == "head" and getattr(sheet, "supply", "") == "mains",
    )


def _sheets(assignments: Sequence[Assignment]) -> dict[Slot, SpecSheet]:
    return {_slot(a): a.unit.gear_type.sheet for a in assignments}


def _slot(assignment: Assignment) -> Slot:
    return Slot(assignment.light, assignment.job, assignment.number)


def _words(words: str) -> Q:
    narrow = Q()
    for word in words.split():
        narrow &= (
            Q(tag__icontains=word) | Q(gear_type__name__icontains=word) | Q(gear_type__maker__icontains=word)
        )
    return narrow
