"""Planning shoots: every verb is one transaction, and the lock order is shoot, booking, units.

A unit that does a job is promised by the shoot's booking; when its last job goes, so does the promise.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from gear.booking import services as booking
from gear.booking.interval import Period
from gear.booking.models import Booking
from gear.booking.open_end import leave_open
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import moment
from gear.changes import announce
from gear.errors import Conflict, Invalid
from recipes.records.models import Revision
from studio.people.models import Role
from studio.places.models import Room
from studio.shoots.assigning import (
    add_extra_unit,
    assign_unit,
    release_idle,
    remove_extra_unit,
    set_circuit,
    swap_units,
    unassign,
)
from studio.shoots.changes import Changes, asked_of, move, people_who_travel, say
from studio.shoots.locks import changed, locked, recipe_locked
from studio.shoots.models import Shoot, ShootRecipe
from studio.shoots.rules import refuse_strange_photographer, require_right

__all__ = [
    "Changes",
    "add_extra_unit",
    "add_recipe",
    "assign_unit",
    "cancel_shoot",
    "confirm_shoot",
    "edit_shoot",
    "hold_shoot",
    "leave_shoot_open",
    "move_recipe",
    "move_shoot",
    "plan_shoot",
    "remove_extra_unit",
    "remove_recipe",
    "set_circuit",
    "swap_units",
    "unassign",
    "uncancel_shoot",
    "update_recipe",
]

State = Booking.State


@in_one_transaction
def plan_shoot(
    title: str,
    room: Room,
    period: Period,
    photographer: Any,
    by: Any,
    *,
    recipes: Sequence[Revision] = (),
    state: str = State.HOLD,
    hold_until: datetime | None = None,
    assistant: Any = None,
    notes: str = "",
    travels_by_air: bool = False,
    travellers: int = 1,
) -> Shoot:
    """A new shoot in a room, with these recipes in order; an enquiry or a hold for anybody who may ask, confirmed only
    by who may confirm. Raises `Invalid`, `NotAllowed`."""
    if photographer is None and by.role == Role.PHOTOGRAPHER:
        photographer = by
    refuse_strange_photographer(by, photographer)
    shoot = Shoot(
        title=title.strip(),
        room=room,
        photographer=photographer,
        assistant=assistant,
        notes=notes,
        travels_by_air=travels_by_air,
        travellers=people_who_travel(travellers),
    )
    if state == State.CONFIRMED:
        require_right(by, "confirm", shoot)
    shoot.booking = booking.open_booking(
        title,
        period,
        photographer or by,
        state=state,
        hold_until=hold_until,
        travel_minutes=room.place.travel_minutes,
    )
    shoot.save()
    ShootRecipe.objects.bulk_create(
        ShootRecipe(shoot=shoot, revision=revision, position=position)
        for position, revision in enumerate(recipes, start=1)
    )
    announce("shoot", [shoot.pk])
    return shoot


@in_one_transaction
def edit_shoot(shoot: Shoot, changes: Changes, by: Any, *, version: int | None = None) -> Shoot:
    """Change what a shoot says, its period included: all of it or nothing. An edit that says what is already so changes
    nothing. Raises `StaleEdit`, `UnitTaken`, `Invalid`, `NotAllowed`."""
    shoot = locked(shoot.pk, by, "change", version)
    asked = asked_of(shoot, changes, by)
    say(shoot, asked.words)
    shoot.booking = move(shoot.booking, asked, by)
    if not asked.nothing:
        changed(shoot)
    return shoot


def move_shoot(shoot: Shoot, period: Period, by: Any, *, version: int | None = None) -> Shoot:
    """Another time, as a whole or not at all; no other shoot is moved for it. Raises `UnitTaken`, `StaleEdit`."""
    changes = Changes(starts=period.interval.starts_at, ends=period.interval.ends_at)
    return edit_shoot(shoot, changes, by, version=version)


@in_one_transaction
def leave_shoot_open(
    shoot: Shoot, review_at: str | datetime, by: Any, *, version: int | None = None
) -> Shoot:
    """It has no return date for now: its units are blocked for ever after, and somebody looks at it again then, by the
    wall of its place. An edit with an end gives it one. Raises `UnitTaken`, `Invalid`, `NotAllowed`, `StaleEdit`."""
    shoot = locked(shoot.pk, by, "change", version)
    again = moment(review_at, shoot.booking.zone, where="review").instant
    shoot.booking = leave_open(shoot.booking, again, by)
    changed(shoot)
    return shoot


@in_one_transaction
def confirm_shoot(shoot: Shoot, by: Any, *, version: int | None = None) -> Shoot:
    """Make its promises stand. Raises `NotAllowed`, `UnitTaken` when an ended hold lost a unit, `StaleEdit`."""
    return _firmness(shoot, by, "confirm", version, booking.confirm)


@in_one_transaction
def hold_shoot(
    shoot: Shoot,
    by: Any,
    until: datetime | None = None,
    *,
    version: int | None = None,
    behind: bool = False,
) -> Shoot:
    """Put it on hold, or renew its hold; with ``behind`` it waits in line for what others have. Who may not confirm may
    not loosen what is confirmed either."""
    if shoot.booking.state == State.CONFIRMED:
        require_right(by, "confirm", shoot)
    return _firmness(
        shoot, by, "change", version, lambda held, who: booking.hold(held, who, until, behind=behind)
    )


@in_one_transaction
def cancel_shoot(shoot: Shoot, by: Any, *, version: int | None = None) -> Shoot:
    """Free its units at once; the plan stays and can be taken up again. Repeating it changes nothing."""
    return _firmness(shoot, by, "change", version, booking.cancel)


@in_one_transaction
def uncancel_shoot(shoot: Shoot, by: Any, *, version: int | None = None, behind: bool = False) -> Shoot:
    """Take a cancelled shoot up again, as a hold. Raises `UnitTaken` when a unit went to somebody else, unless it may
    wait ``behind`` them."""
    return _firmness(
        shoot, by, "change", version, lambda held, who: booking.uncancel(held, who, behind=behind)
    )


@in_one_transaction
def add_recipe(shoot: Shoot, revision: Revision, by: Any) -> ShootRecipe:
    """Put a recipe at the end of the order."""
    shoot = locked(shoot.pk, by, "change")
    last = shoot.recipes.order_by("-position").values_list("position", flat=True).first() or 0
    if last >= 200:
        raise Conflict("A shoot takes 200 recipes at most. Make a second shoot.", code="full")
    added = ShootRecipe.objects.create(shoot=shoot, revision=revision, position=last + 1)
    changed(shoot)
    return added


@in_one_transaction
def remove_recipe(shoot_recipe: ShootRecipe, by: Any) -> None:
    """Take a recipe off the shoot; units without another job there are released."""
    shoot, here = recipe_locked(shoot_recipe, by)
    units = [assignment.unit_id for assignment in here.assignments.all()]
    here.delete()
    for position, other in enumerate(shoot.recipes.order_by("position"), start=1):
        if other.position != position:
            ShootRecipe.objects.filter(pk=other.pk).update(position=position)
    release_idle(shoot, units, by)
    changed(shoot)


@in_one_transaction
def move_recipe(shoot_recipe: ShootRecipe, position: int, by: Any) -> None:
    """Put a recipe at another place in the order; the others close up."""
    shoot, here = recipe_locked(shoot_recipe, by)
    order = [recipe for recipe in shoot.recipes.order_by("position") if recipe.pk != here.pk]
    order.insert(max(0, min(position - 1, len(order))), here)
    for number, recipe in enumerate(order, start=1):
        ShootRecipe.objects.filter(pk=recipe.pk).exclude(position=number).update(position=number)
    changed(shoot)


@in_one_transaction
def update_recipe(shoot_recipe: ShootRecipe, revision: Revision, by: Any) -> None:
    """Take over another revision of the same recipe; units whose job it does not have any more are released."""
    shoot, here = recipe_locked(shoot_recipe, by)
    if revision.recipe_id != here.revision.recipe_id:
        raise Invalid("That is a revision of another recipe. Add that recipe instead.")
    lights = {light.name for light in revision.look.lights}
    gone = [a for a in here.assignments.all() if a.light and a.light not in lights]
    here.revision = revision
    here.save(update_fields=["revision"])
    for assignment in gone:
        assignment.delete()
    release_idle(shoot, [assignment.unit_id for assignment in gone], by)
    changed(shoot)


def _firmness(
    shoot: Shoot,
    by: Any,
    action: str,
    version: int | None,
    act: Callable[[Booking, Any], Booking],
) -> Shoot:
    shoot = locked(shoot.pk, by, action, version)
    before = shoot.booking.version
    shoot.booking = act(shoot.booking, by)
    if shoot.booking.version != before:
        changed(shoot)
    return shoot
