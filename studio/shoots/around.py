"""The units of a shoot beyond their jobs: other minutes around the use, gear that stays on set, any unit of a type, and
that it must be this very one."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from gear.booking.any_unit import Changed, lock_in_play, promise_any
from gear.booking.buffers import give_usual_buffers, grant_buffers
from gear.booking.models import Allocation
from gear.booking.staying import stay_on_set
from gear.booking.transactions import in_one_transaction
from gear.catalogue.models import GearType
from gear.errors import Conflict, Gone, NotAllowed
from gear.inventory.models import Unit
from studio.people.policy import may
from studio.shoots.locks import changed, locked
from studio.shoots.models import Shoot
from studio.shoots.rules import require_right

__all__ = ["add_any", "fix_unit", "follow_on", "grant_minutes", "take_minutes_back"]


@in_one_transaction
def grant_minutes(
    shoot: Shoot, tag: str, by: Any, *, prep: int | None, turnaround: int | None, why: str
) -> Allocation:
    """Other minutes before and after the use of a unit than it has, for this shoot. Only the manager grants them; who,
    in which role and why is printed on the packing list. Raises `NotAllowed`, `Invalid`, `UnitTaken`."""
    _require_override(by)
    shoot = locked(shoot.pk, by, "change")
    unit = _unit(tag)
    done = grant_buffers(
        shoot.booking, unit.pk, by, prep=prep, turnaround=turnaround, why=why, role=by.get_role_display()
    )
    changed(shoot)
    return done


@in_one_transaction
def take_minutes_back(shoot: Shoot, tag: str, by: Any) -> Allocation:
    """The unit has its usual minutes again, if nobody is in the way. Raises `NotAllowed`, `UnitTaken`."""
    _require_override(by)
    shoot = locked(shoot.pk, by, "change")
    done = give_usual_buffers(shoot.booking, _unit(tag).pk, by)
    changed(shoot)
    return done


@in_one_transaction
def follow_on(shoot: Shoot, later: Shoot, tags: Collection[str], by: Any) -> list[Allocation]:
    """These units stay on set for a later shoot of the same photographer in the same room: there is no turnaround
    between the two. Raises `Conflict`, `UnitTaken`, `NotAllowed`."""
    found = {pk: locked(pk, by, "change") for pk in sorted({shoot.pk, later.pk})}
    shoot, later = found[shoot.pk], found[later.pk]
    if shoot.room_id != later.room_id:
        raise Conflict(
            f"“{shoot.title}” is in {shoot.room}, “{later.title}” in {later.room}: the gear is carried, so it has its "
            f"turnaround.",
            code="unlike",
        )
    promises = stay_on_set(shoot.booking, later.booking, [_unit(tag).pk for tag in tags], by)
    for one in (shoot, later):
        changed(one)
    return promises


@in_one_transaction
def add_any(shoot: Shoot, type_slug: str, count: int, by: Any) -> tuple[list[Allocation], list[Changed]]:
    """Promise so many units of a type, whichever. Where none is free for the whole time another shoot may get another
    unit of the same type instead, unless its own is packed or must be this very one. Raises as `promise_any`."""
    require_right(by, "change", shoot)
    kind = GearType.objects.filter(slug=type_slug).first()
    if kind is None:
        raise Gone(f"There is no gear type {type_slug[:40]!r}. Choose one from the list.")
    lock_in_play(shoot.booking, kind.pk)
    shoot = locked(shoot.pk, by, "change")
    promises, moved = promise_any(shoot.booking, kind.pk, count, by)
    changed(shoot)
    return promises, moved


@in_one_transaction
def fix_unit(shoot: Shoot, tag: str, fixed: bool, by: Any) -> None:
    """Whether it must be this very unit; then it is never exchanged by itself. Raises `Gone`, `NotAllowed`."""
    shoot = locked(shoot.pk, by, "change")
    promises = Allocation.objects.filter(booking=shoot.booking_id, unit=_unit(tag))
    if not promises.exists():
        raise Gone(f"{tag[:20]} is not on “{shoot.title}” any more.")
    if promises.exclude(fixed=fixed).update(fixed=fixed):
        changed(shoot)


def _require_override(by: Any) -> None:
    if not may(by, "shoot", "override"):
        raise NotAllowed(
            "Only the studio manager grants other minutes around a use. Ask for it, and say why."
        )


def _unit(tag: str) -> Unit:
    unit = Unit.objects.filter(tag=tag.strip().upper()).first()
    if unit is None:
        raise Gone(
            f"There is no unit with the tag {tag.strip()[:20]!r}. Look at the label on the unit again."
        )
    return unit
