"""From records to what the checks are given: the setup of each recipe at a shoot, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Prefetch

from gear.booking.line import InLine, in_line
from gear.booking.models import Allocation, Booking
from gear.booking.queries import live, waits
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


def recipes_with_setups(shoots: Iterable[Shoot]) -> list[tuple[ShootRecipe, Setup]]:
    """Every recipe of these shoots in its order, with its stored readiness and its setup of this moment.

    The number of queries does not depend on how many shoots there are.
    """
    wanted = list(
        Shoot.objects.filter(pk__in=[shoot.pk for shoot in shoots])
        .select_related("booking", "room__place")
        .prefetch_related(
            "room__windows",
            "room__circuits",
            Prefetch("recipes", ShootRecipe.objects.select_related("revision__recipe", "readiness")),
            Prefetch(
                "recipes__assignments", Assignment.objects.select_related("unit__gear_type", "unit__case")
            ),
            Prefetch(
                "booking__allocations",
                Allocation.objects.filter(live()).select_related("unit__gear_type", "unit__case"),
            ),
        )
    )
    others, around = _promises_nearby(wanted), _Around(wanted)
    places = _places_in_line(wanted)
    return [
        (recipe, _setup(shoot, recipe, others, places, around))
        for shoot in wanted
        for recipe in shoot.recipes.all()
    ]


def _promises_nearby(shoots: Sequence[Shoot]) -> dict[int, list[Allocation]]:
    """Active promises to others, by unit, for every unit that has a job at these shoots."""
    unit_ids = {
        assignment.unit_id
        for shoot in shoots
        for recipe in shoot.recipes.all()
        for assignment in recipe.assignments.all()
    } | {allocation.unit_id for shoot in shoots for allocation in shoot.booking.allocations.all()}
    if not unit_ids:
        return {}
    start = min(shoot.booking.starts_at for shoot in shoots)
    end = max(shoot.booking.ends_at for shoot in shoots)
    found: dict[int, list[Allocation]] = defaultdict(list)
    for allocation in (
        Allocation.objects.filter(live(), unit__in=unit_ids, blocked__overlap=(start, end))
        .select_related("booking")
        .order_by("blocked")
    ):
        found[allocation.unit_id].append(allocation)
    return found


def _places_in_line(shoots: Sequence[Shoot]) -> dict[tuple[int, int], InLine]:
    """Where these shoots stand in line for units that others have, by booking and unit."""
    waiting = Allocation.objects.filter(waits(), booking__in=[shoot.booking_id for shoot in shoots])
    found = in_line(waiting.select_related("booking")).values()
    return {(place.promise.booking_id, place.promise.unit_id): place for place in found}


def _setup(
    shoot: Shoot,
    recipe: ShootRecipe,
    others: dict[int, list[Allocation]],
    places: dict[tuple[int, int], InLine],
    around: _Around,
) -> Setup:
    assignments = list(recipe.assignments.all())
    look = recipe.revision.look
    eye = _Eye(shoot, others, places)
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
        ends=shoot.booking.ends_at.astimezone(zone),
        camera=_one(of_recipe[Job.CAMERA]),
        lens=_one(of_recipe[Job.LENS]),
        meter=_one(of_recipe[Job.METER]),
        trigger=_one(of_recipe[Job.TRIGGER]),
        nd=tuple(of_recipe[Job.ND]),
        chargers=tuple(of_recipe[Job.CHARGER]),
        distribution=tuple(of_recipe[Job.DISTRIBUTION]),
        packed=tuple(
            PackedUnit(eye.sees(allocation.unit), "packed") for allocation in shoot.booking.allocations.all()
        ),
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

    def __init__(self, shoots: Sequence[Shoot]) -> None:
        self.triggers = self._triggers(shoots)
        self.next_use = self._next_use(shoots)

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
        batteries = [a.unit_id for a in shoot.booking.allocations.all() if a.unit.gear_type.kind == "battery"]
        starts = [
            start
            for unit_id in batteries
            for start in self.next_use.get(unit_id, ())
            if start >= shoot.booking.ends_at
        ]
        return (min(starts) - shoot.booking.ends_at).total_seconds() / 3600.0 if starts else None

    @staticmethod
    def _triggers(shoots: Sequence[Shoot]) -> list[Assignment]:
        if not shoots:
            return []
        return list(
            Assignment.objects.filter(
                job=Job.TRIGGER,
                unit__radio_channel__isnull=False,
                shoot_recipe__shoot__room__place__in={shoot.room.place_id for shoot in shoots},
                shoot_recipe__shoot__booking__state__in=_STANDING,
                shoot_recipe__shoot__booking__starts_at__lt=max(shoot.booking.ends_at for shoot in shoots),
                shoot_recipe__shoot__booking__ends_at__gt=min(shoot.booking.starts_at for shoot in shoots),
            ).select_related("unit__gear_type", "shoot_recipe__shoot__booking", "shoot_recipe__shoot__room")
        )

    @staticmethod
    def _next_use(shoots: Sequence[Shoot]) -> dict[int, list[datetime]]:
        batteries = {
            a.unit_id
            for shoot in shoots
            for a in shoot.booking.allocations.all()
            if a.unit.gear_type.kind == "battery"
        }
        found: dict[int, list[datetime]] = defaultdict(list)
        if batteries:
            for unit_id, use in Allocation.objects.filter(
                live(),
                unit__in=batteries,
                use__startswith__gte=min(shoot.booking.ends_at for shoot in shoots),
            ).values_list("unit_id", "use"):
                found[unit_id].append(use.lower)
        return found


class _Eye:
    """How a unit looks from one shoot: its sheet, its state, and whether the shoot has it."""

    def __init__(
        self,
        shoot: Shoot,
        others: dict[int, list[Allocation]],
        places: dict[tuple[int, int], InLine],
    ) -> None:
        self.shoot = shoot
        self.others = others
        self.places = places
        self.held = {a.unit_id for a in shoot.booking.allocations.all()}

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
