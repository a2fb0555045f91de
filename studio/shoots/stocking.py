"""Counted things and kits of a shoot: promised by its booking, like its units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gear.booking.transactions import in_one_transaction
from gear.errors import Conflict, Gone
from gear.kits import services as kits
from gear.kits.models import Kit, KitPromise
from gear.stock.services import set_stock
from studio.shoots.locks import changed, locked
from studio.shoots.models import Assignment, Shoot

__all__ = ["add_kit", "let_kit_go", "set_shoot_stock", "take_over_kit"]


@in_one_transaction
def set_shoot_stock(shoot: Shoot, item_id: int, quantity: Any, by: Any) -> None:
    """Promise exactly so many of an item, beside what its kits bring; 0 lets go. Raises `StockShort`, `Invalid`."""
    shoot = locked(shoot.pk, by, "change")
    set_stock(shoot.booking, item_id, quantity, by)
    changed(shoot)


@in_one_transaction
def add_kit(shoot: Shoot, kit_id: int, by: Any, *, instead: Mapping[int, str] | None = None) -> KitPromise:
    """Promise a whole kit. Raises `KitIncomplete` with what could stand in, `Gone`."""
    shoot = locked(shoot.pk, by, "change")
    kit = Kit.objects.filter(pk=kit_id).first()
    if kit is None:
        raise Gone("That kit does not exist any more. Choose one from the list.")
    promise = kits.promise_kit(shoot.booking, kit, by, instead=instead)
    changed(shoot)
    return promise


@in_one_transaction
def let_kit_go(shoot: Shoot, promise_id: int, by: Any) -> None:
    """Let a kit go. Raises `Conflict` while one of its units does a job here."""
    shoot = locked(shoot.pk, by, "change")
    promise = _promise(shoot, promise_id)
    _refuse_busy(shoot, promise)
    kits.release_kit(promise, by)
    changed(shoot)


@in_one_transaction
def take_over_kit(shoot: Shoot, promise_id: int, by: Any) -> KitPromise:
    """Take over what is in the kit now, by a new check. Raises `KitIncomplete`, `Conflict`."""
    shoot = locked(shoot.pk, by, "change")
    promise = _promise(shoot, promise_id)
    _refuse_busy(shoot, promise)
    made = kits.take_over_contents(promise, by)
    changed(shoot)
    return made


def _promise(shoot: Shoot, promise_id: int) -> KitPromise:
    found = (
        KitPromise.objects.filter(pk=promise_id, booking=shoot.booking_id)
        .select_related("kit", "booking")
        .first()
    )
    if found is None:
        raise Gone("That kit is not on this shoot any more.")
    return found


def _refuse_busy(shoot: Shoot, promise: KitPromise) -> None:
    units = promise.taken.filter(unit__isnull=False, was_there=False).values("unit")
    job = Assignment.objects.filter(shoot_recipe__shoot=shoot, unit__in=units).select_related("unit").first()
    if job:
        raise Conflict(
            f"{job.unit.tag} of {promise.name} has a job at this shoot. Take it off that job first.",
            code="unit-has-a-job",
        )
