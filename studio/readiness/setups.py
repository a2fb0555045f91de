"""From records to what the checks are given: the setup of each recipe at a shoot, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q, prefetch_related_objects

from gear.booking.lasting import lasting
from gear.booking.line import InLine, in_line, is_waiting
from gear.booking.models import Allocation, Booking
from gear.booking.queries import live, waits
from gear.booking.rules import now
from gear.catalogue.models import GearType
from gear.inventory.models import Condition, Unit
from recipes.checks.setup import AssignedLight, AssignedPanel, BatteryState, PackedUnit, Setup
from recipes.checks.setup import Unit as UnitSeen
from studio.readiness.room import room_seen_from_the_mark
from studio.shoots.models import Assignment, Job, Shoot, ShootRecipe

__all__ = ["recipes_with_setups", "setups_for"]

_STANDING = [Booking.State.HOLD, Booking.State.CONFIRMED]


def setups_for(shoots: Iterable[Shoot]) -> dict[int, Setup]:
    """The setup of every recipe of these shoots, by the id of its `ShootRecipe`."""
    return {recipe.pk: setup for recipe, setup in recipes_with_setups(shoots)}


def recipes_with_setups(
    shoots: Iterable[Shoot], *, just_read: bool = False
) -> list[tuple[ShootRecipe, Setup]]:
    """Every recipe of these shoots in its order, with its stored readiness and its setup of this moment.

    The number of queries does not depend on how many shoots there are. The shoots are read again, unless they were
    ``just_read`` with their booking, room and place, and nothing was read through them since.
    """
    wanted = list(shoots)
    if not just_read:
        again = Shoot.objects.filter(pk__in=[shoot.pk for shoot in wanted])
        wanted = list(again.select_related("booking", "room__place"))
    at = now()
    prefetch_related_objects(
        wanted,
        "room__windows",
        "room__circuits",
        Prefetch("recipes", ShootRecipe.objects.select_related("revision__recipe", "readiness")),
        Prefetch("recipes__assignments", Assignment.objects.select_related("unit__gear_type", "unit__case")),
        Prefetch(
            "booking__allocations",
            Allocation.objects.filter(live(at) | waits(at)).select_related("unit__gear_type", "unit__case"),
            to_attr="promises_and_places",
        ),
    )
    _share_types(wanted)
    held, places = _held(wanted), _places_in_line(wanted, at)
    batteries = {a.unit_id for mine in held.values() for a in mine if a.unit.gear_type.kind == "battery"}
    others = _promises_nearby(wanted, held, batteries)
    around = _Around(wanted, held, batteries, others)
    return [
        (recipe, _setup(shoot, recipe, held[shoot.pk], others, places, around))
        for shoot in wanted
        for recipe in shoot.recipes.all()
    ]


def _share_types(shoots: Sequence[Shoot]) -> None:
    """Let units of one type have one type, so that its sheet is read once."""
    types: dict[int, GearType] = {}
    for shoot in shoots:
        jobs = (job for recipe in shoot.recipes.all() for job in recipe.assignments.all())
        for one in (*shoot.booking.promises_and_places, *jobs):
            one.unit.gear_type = types.setdefault(one.unit.gear_type_id, one.unit.gear_type)


def _held(shoots: Sequence[Shoot]) -> dict[int, list[Allocation]]:
    """By shoot, the promises that stand."""
    return {
        shoot.pk: [one for one in shoot.booking.promises_and_places if one.waits_since is None]
        for shoot in shoots
    }


def _promises_nearby(
    shoots: Sequence[Shoot], held: dict[int, list[Allocation]], batteries: set[int]
) -> dict[int, list[Allocation]]:
    """Active promises to anybody, by unit in order of time, for every unit that has a job at these shoots, while they
    last; of a battery also those that come after."""
    unit_ids = {
        assignment.unit_id
        for shoot in shoots
        for recipe in shoot.recipes.all()
        for assignment in recipe.assignments.all()
    } | {promise.unit_id for mine in held.values() for promise in mine}
    if not unit_ids:
        return {}
    start = min(shoot.booking.starts_at for shoot in shoots)
    end = max(shoot.booking.ends_at for shoot in shoots)
    near = Q(unit__in=unit_ids, blocked__overlap=(start, end))
    if batteries:
        near |= Q(unit__in=batteries, blocked__overlap=(start, None))
    found: dict[int, list[Allocation]] = defaultdict(list)
    for allocation in Allocation.objects.filter(live(), near).select_related("booking").order_by("blocked"):
        found[allocation.unit_id].append(allocation)
    return found


def _ends(booking: Booking) -> datetime:
    """Without a return date the checks look at the first day."""
    return (
        min(booking.ends_at, booking.starts_at + timedelta(days=1)) if booking.review_at else booking.ends_at
    )


def _places_in_line(shoots: Sequence[Shoot], at: datetime) -> dict[tuple[int, int], InLine]:
    """Where these shoots stand in line for units that others have, by booking and unit."""
    waiting = [one for shoot in shoots for one in shoot.booking.promises_and_places if is_waiting(one, at)]
    found = in_line(waiting, at).values()
    return {(place.promise.booking_id, place.promise.unit_id): place for place in found}


def _setup(
    shoot: Shoot,
    recipe: ShootRecipe,
    held: Sequence[Allocation],
    others: dict[int, list[Allocation]],
    places: dict[tuple[int, int], InLine],
    around: _Around,
) -> Setup:
    assignments = list(recipe.assignments.all())
    look = recipe.revision.look
    eye = _Eye(shoot, held, others, places)
    zone = ZoneInfo(shoot.booking.zone)
    of_recipe: dict[str, list[Any]] = defaultdict(list)
    of_light: dict[str, list[Assignment]] = defaultdict(list)
    for assignment in assignments:
        if assignment.light:
            of_light[assignment.light].append(assignment)
        else:
            of_recipe[assignment.job].append(eye.sees(assignment.unit))
    room = room_seen_from_the_mark(shoot.room)
    return Setup(
        look=look,
        lights=tuple(_light(plan, of_light[plan.name], eye, room.temperature_c) for plan in look.lights),
        panels=tuple(_panel(plan, of_light[plan.name], eye) for plan in look.panels),
        room=room,
        starts=shoot.booking.starts_at.astimezone(zone),
        ends=_ends(shoot.booking).astimezone(zone),
        camera=_one(of_recipe[Job.CAMERA]),
        lens=_one(of_recipe[Job.LENS]),
        meter=_one(of_recipe[Job.METER]),
        trigger=_one(of_recipe[Job.TRIGGER]),
        nd=tuple(of_recipe[Job.ND]),
        chargers=tuple(of_recipe[Job.CHARGER]),
        distribution=tuple(of_recipe[Job.DISTRIBUTION]),
        packed=tuple(PackedUnit(eye.sees(promise.unit), "packed") for promise in held),
        channels_in_the_building=around.channels(shoot),
        hours_until_next_shoot=around.hours_until_batteries_go_again(shoot),
        travels_by_air=shoot.travels_by_air,
        travellers=shoot.travellers,
    )


def _light(plan: Any, assignments: list[Assignment], eye: _Eye, temperature_c: float | None) -> AssignedLight:
    units: dict[str, list[Any]] = defaultdict(list)
    for assignment in sorted(assignments, key=lambda a: (a.job, a.number)):
        units[assignment.job].append(eye.sees(assignment.unit))
    return AssignedLight(
        plan=plan,
        heads=tuple(units[Job.HEAD]),
        modifier=_one(units[Job.MODIFIER]),
        board=_one(units[Job.BOARD]),
        scrim=_one(units[Job.SCRIM]),
        gels=tuple(units[Job.GEL]),
        adapter=_one(units[Job.ADAPTER]),
        stand=_one(units[Job.STAND]),
        board_stand=_one(units[Job.BOARD_STAND]),
        boom=_one(units[Job.BOOM]),
        weights=tuple(units[Job.WEIGHT]),
        batteries=tuple(BatteryState(unit, temperature_c) for unit in units[Job.BATTERY]),
        receiver=_one(units[Job.RECEIVER]),
        cables=tuple(units[Job.CABLE]),
        circuit=next((a.circuit for a in assignments if a.job == Job.HEAD and a.circuit), ""),
    )


def _panel(plan: Any, assignments: list[Assignment], eye: _Eye) -> AssignedPanel:
    units: dict[str, list[Any]] = defaultdict(list)
    for assignment in sorted(assignments, key=lambda a: (a.job, a.number)):
        units[assignment.job].append(eye.sees(assignment.unit))
    return AssignedPanel(plan, _one(units[Job.PANEL]), _one(units[Job.PANEL_STAND]), tuple(units[Job.WEIGHT]))


class _Around:
    """What happens beside and after some shoots: triggers in the same house, and when batteries go out again."""

    def __init__(
        self,
        shoots: Sequence[Shoot],
        held: dict[int, list[Allocation]],
        batteries: set[int],
        others: dict[int, list[Allocation]],
    ) -> None:
        self.triggers = self._triggers(shoots)
        self.held = held
        self.next_use = {pk: [promise.use.lower for promise in others.get(pk, ())] for pk in batteries}

    def channels(self, shoot: Shoot) -> tuple[tuple[str, int, str], ...]:
        """Radio system, channel and whose, of every other shoot in the same place at the same time."""
        booking = shoot.booking
        return tuple(
            sorted(
                {
                    (system, a.unit.radio_channel, a.shoot_recipe.shoot.title)
                    for a in self.triggers
                    if a.shoot_recipe.shoot_id != shoot.pk
                    and a.shoot_recipe.shoot.room.place_id == shoot.room.place_id
                    and a.shoot_recipe.shoot.booking.starts_at < booking.ends_at
                    and a.shoot_recipe.shoot.booking.ends_at > booking.starts_at
                    for system in getattr(a.unit.gear_type.sheet, "radio", ())
                }
            )
        )

    def hours_until_batteries_go_again(self, shoot: Shoot) -> float | None:
        """From the end of the shoot to the next use of any battery of it; None when none of them is promised again."""
        starts = [
            start
            for promise in self.held[shoot.pk]
            for start in self.next_use.get(promise.unit_id, ())
            if start >= shoot.booking.ends_at
        ]
        return (min(starts) - shoot.booking.ends_at).total_seconds() / 3600.0 if starts else None

    @staticmethod
    def _triggers(shoots: Sequence[Shoot]) -> list[Assignment]:
        if not shoots:
            return []
        return list(
            Assignment.objects.filter(
                lasting(
                    min(shoot.booking.starts_at for shoot in shoots),
                    max(shoot.booking.ends_at for shoot in shoots),
                    "shoot_recipe__shoot__booking__",
                ),
                job=Job.TRIGGER,
                unit__radio_channel__isnull=False,
                shoot_recipe__shoot__room__place__in={shoot.room.place_id for shoot in shoots},
                shoot_recipe__shoot__booking__state__in=_STANDING,
            ).select_related("unit__gear_type", "shoot_recipe__shoot__booking", "shoot_recipe__shoot__room")
        )


class _Eye:
    """How a unit looks from one shoot: its sheet, its state, and whether the shoot has it."""

    def __init__(
        self,
        shoot: Shoot,
        held: Sequence[Allocation],
        others: dict[int, list[Allocation]],
        places: dict[tuple[int, int], InLine],
    ) -> None:
        self.shoot = shoot
        self.others = others
        self.places = places
        self.held = {promise.unit_id for promise in held}

    def sees(self, unit: Unit) -> UnitSeen[Any]:
        fit = unit.condition == Condition.READY
        promised = unit.pk in self.held
        return UnitSeen(
            tag=unit.tag,
            type_slug=unit.gear_type.slug,
            type_name=str(unit.gear_type),
            spec=unit.gear_type.sheet,
            fit_for_use=fit,
            why_not=""
            if fit
            else f"{unit.get_condition_display().lower()}: {unit.condition_note}".rstrip(": "),
            promised=promised,
            clash="" if promised else self._clash(unit),
            inspection_due=unit.inspection_due.isoformat() if unit.inspection_due else "",
            health=unit.health,
            case_tag=unit.case.tag if unit.case else "",
            channel=unit.radio_channel,
        )

    def _clash(self, unit: Unit) -> str:
        booking = self.shoot.booking
        if place := self.places.get((booking.pk, unit.pk)):
            return f"only on {place.words}, {place.behind}"
        for other in self.others.get(unit.pk, []):
            if other.booking_id == booking.pk:
                continue
            if other.blocked.lower < booking.ends_at and other.blocked.upper > booking.starts_at:
                until = other.blocked.upper.astimezone(ZoneInfo(booking.zone))
                return f"with {other.booking.title} until {until:%a %d %b %H:%M}"
        return ""


def _one(units: list[Any]) -> Any:
    return units[0] if units else None
