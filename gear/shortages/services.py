"""Seeing to a shortage; each act is one transaction, and the trail says who did what.

A shortage is locked last, after its booking and what it is short of: whoever states a fact about a unit holds the
unit, and then writes its shortages.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from gear.booking.interval import Interval, Period
from gear.booking.locks import locked, locked_units, unit_ids
from gear.booking.models import Allocation, Booking
from gear.booking.rules import now, use_of
from gear.booking.services import exchange_units, move_booking, release_units
from gear.booking.swapping import followers
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import say, say_period, wall_of
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.models import Unit
from gear.shortages.models import LateReturn, Shortage, ShortageNote
from gear.shortages.review import note, review_units
from gear.stock.locks import locked_items
from gear.stock.promising import set_stock
from gear.stock.rules import said

__all__ = [
    "add_note",
    "came_back",
    "give_to",
    "go_without",
    "move_for",
    "report_late",
    "swap",
    "take_fewer",
]

How = Shortage.How


@in_one_transaction
def swap(shortage: Shortage, tag: str, by: Any) -> Shortage:
    """Another unit goes, and whoever planned with the old one follows. Raises `UnitTaken`, `Conflict`, `Gone`."""
    unit = _unit_of(shortage)
    new = _unit_tagged(tag)
    if new.pk == unit.pk:
        raise Conflict(f"{unit.tag} is the one that cannot come. Choose another unit.", code="same-unit")
    booking = _lock(shortage)
    locked_units([unit.pk, new.pk])
    found = _open(shortage)
    for follower in followers():
        follower.swapped(booking, unit, new)
    _close(found, How.SWAP, by, f"{new.tag} ({new.gear_type}) goes instead of {unit.tag}")
    exchange_units(booking, [unit.pk], [new.pk], by)
    return found


@in_one_transaction
def go_without(shortage: Shortage, by: Any) -> Shortage:
    """The booking goes without the unit; jobs it had are empty. Raises `Conflict`."""
    unit = _unit_of(shortage)
    booking = _lock(shortage)
    locked_units([unit.pk])
    found = _open(shortage)
    for follower in followers():
        follower.swapped(booking, unit, None)
    _close(found, How.WITHOUT, by, f"“{booking.title}” goes without {unit.tag}")
    release_units(booking, [unit.pk], by)
    return found


@in_one_transaction
def take_fewer(shortage: Shortage, by: Any) -> Shortage:
    """The booking goes with as many as there are. Raises `Conflict` when they belong to a kit."""
    booking = _lock(shortage)
    item = shortage.item
    if item is None:
        raise Invalid("Only counted things can be fewer.", (FieldProblem("act", "swap, without or move"),))
    locked_items([item.pk])
    found = _open(shortage)
    loose = booking.stock_promises.filter(item=item, source="", active=True).first()
    if loose is None or loose.quantity < found.quantity:
        raise Conflict(
            f"{item} came into “{booking.title}” with a kit. Let the kit go, or change what is in it."
        )
    rest = loose.quantity - found.quantity
    _close(found, How.FEWER, by, f"{said(rest)} instead of {said(loose.quantity)} {item}")
    set_stock(booking, item.pk, rest, by)
    return found


@in_one_transaction
def move_for(shortage: Shortage, starts_at: datetime, by: Any) -> Shortage:
    """The whole booking begins at another time and lasts as long, if everything it has is free then. Raises
    `UnitTaken`, `StockShort`, and `Conflict` when it would be short there too."""
    booking = _lock(shortage)
    locked_items(booking.stock_promises.values_list("item_id", flat=True))
    locked_units(unit_ids(booking))
    found = _open(shortage)
    if use_of(booking).open_ended:
        raise Conflict(
            f"“{booking.title}” has no return date, so it cannot move as a whole. Give it one first.",
            code="no-end",
        )
    lasts = booking.ends_at - booking.starts_at
    then = Interval(starts_at, starts_at + lasts)
    zone = booking.zone
    when = say_period(then.starts_at, then.ends_at, zone)
    _close(found, How.MOVE, by, f"moved to {when}")
    period = Period(then, zone, wall_of(then.starts_at, zone), wall_of(then.ends_at, zone))
    move_booking(booking, period, by)
    review_units([found.unit_id] if found.unit_id else [])
    if Shortage.objects.filter(
        booking=booking, unit=found.unit_id, item=found.item_id, closed_at=None
    ).exists():
        raise Conflict(
            f"{found.thing} is missing for {when} as well, so nothing was moved.", code="still-short"
        )
    return found


@in_one_transaction
def give_to(shortage: Shortage, person: Any, by: Any) -> Shortage:
    """Somebody else sees to it."""
    found = _open(shortage)
    if found.owner != person:
        found.owner = person
        found.save(update_fields=["owner"])
        note(found, f"{person} sees to it.", by)
    return found


@in_one_transaction
def add_note(shortage: Shortage, text: str, by: Any) -> ShortageNote:
    """A line for the trail; it can be added to a closed shortage too."""
    text = text.strip()
    if not text or len(text) > 500 or "\x00" in text:
        raise Invalid("Write 1 to 500 characters.", (FieldProblem("text", "1 to 500 characters"),))
    return note(shortage, text, by)


@in_one_transaction
def report_late(tag: str, back_at: datetime, by: Any, *, out_with: Booking | None = None) -> list[Shortage]:
    """A unit that is out comes back later than promised. Its booking is not lengthened and no other is moved: whoever
    waits for it is short, turnaround included. ``out_with`` is whose it is; None: who had it last by the plan. Returns
    the open shortages of the unit."""
    unit = _unit_tagged(tag)
    locked_units([unit.pk])
    at = now()
    held = Allocation.objects.filter(active=True, unit=unit, use__startswith__lte=at)
    if out_with is not None:
        held = held.filter(booking=out_with)
    running = held.select_related("booking").order_by("-use").first()
    if running is None:
        raise Conflict(f"{unit.tag} has not been out with anybody, so it cannot come back late.")
    if back_at <= running.use.upper:
        raise Invalid(
            f"{unit.tag} is promised to “{running.booking.title}” until "
            f"{say(running.use.upper, running.booking.zone)} anyway. Give a later time.",
            (FieldProblem("back_at", "a time after the promised end"),),
        )
    LateReturn.objects.update_or_create(
        unit=unit, settled_at=None, defaults={"booking": running.booking, "back_at": back_at, "told_by": by}
    )
    review_units([unit.pk])
    return list(Shortage.objects.filter(unit=unit, closed_at=None).select_related("booking", "unit"))


@in_one_transaction
def came_back(unit: Unit, by: Any, at: datetime | None = None) -> None:
    """The unit is here: nobody waits for it any more than its turnaround, counted from when it really came."""
    locked_units([unit.pk])
    at = min(at, now()) if at else now()
    found = LateReturn.objects.filter(unit=unit, settled_at=None).first()
    if found is None:
        return
    found.back_at, found.settled_at = min(found.back_at, at), None
    found.save()
    ready_at = at + timedelta(minutes=unit.turnaround)
    waits = Allocation.objects.filter(
        active=True, unit=unit, use__startswith__gt=at, blocked__startswith__lt=ready_at
    ).exclude(booking=found.booking)
    if not waits.exists():
        found.settled_at = at
        found.save(update_fields=["settled_at"])
    review_units([unit.pk])


def _lock(shortage: Shortage) -> Booking:
    for follower in followers():
        follower.lock(shortage.booking)
    return locked(shortage.booking)


def _open(shortage: Shortage) -> Shortage:
    found = Shortage.objects.select_for_update(of=("self",), no_key=True).filter(pk=shortage.pk)
    stored = found.select_related("booking", "unit__gear_type", "item").first()
    if stored is None:
        raise Gone("That shortage does not exist any more.")
    if stored.closed_at:
        raise Conflict(
            f"{stored.thing} for “{stored.booking.title}” is settled already: {stored.get_how_display().lower()}.",
            code="settled",
        )
    return stored


def _close(found: Shortage, how: str, by: Any, words: str) -> None:
    found.how, found.closed_by, found.closed_at = how, by, now()
    found.save(update_fields=["how", "closed_by", "closed_at"])
    note(found, f"Closed: {words}.", by)


def _unit_of(shortage: Shortage) -> Unit:
    if shortage.unit is None:
        raise Invalid("This shortage is of a counted thing.", (FieldProblem("act", "fewer or move"),))
    return shortage.unit


def _unit_tagged(tag: str) -> Unit:
    unit = Unit.objects.select_related("gear_type").filter(tag=tag.strip().upper()).first()
    if unit is None:
        raise Gone(
            f"There is no unit with the tag {tag.strip()[:20]!r}. Look at the label on the unit again."
        )
    return unit
