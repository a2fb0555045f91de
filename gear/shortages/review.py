"""What can no longer be met? Facts against promises: opens what is missing, closes what is met again.

Doing it twice changes nothing. It is done in the transaction of the fact, and by a sweep that finds what time alone
brought about. No booking is moved, no promise deleted here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import BooleanField, Exists, ExpressionWrapper, F, OuterRef, Q, QuerySet

from gear.booking.locks import locked_units
from gear.booking.models import Allocation, Booking, UnitWindow
from gear.booking.queries import live
from gear.booking.rules import now
from gear.booking.wall_time import say
from gear.inventory.models import Condition, Unit
from gear.shortages.models import Cause, LateReturn, Shortage, ShortageNote
from gear.shortages.rules import CAUSE_OF, claim
from gear.stock.locks import locked_items
from gear.stock.models import StockItem, StockPromise
from gear.stock.queries import standing_promises, supplies_of
from gear.stock.rules import limit, pieces_of, said
from gear.stock.steps import Step, levels, over

__all__ = ["note", "review", "review_all", "review_items", "review_units"]

How = Shortage.How


@dataclass(frozen=True)
class Missing:
    """What a booking is short of: a unit, or so many of a counted thing."""

    booking_id: int
    quantity: Decimal
    cause: str
    detail: str
    unit_id: int | None = None
    item_id: int | None = None
    has_begun: bool = False


def review(unit_ids: Collection[int], item_ids: Collection[int]) -> None:
    """Bring the shortages of these units and counted things in line with the facts: of a counted thing of which more is
    promised than there is, the lowest claim is short."""
    if not unit_ids and not item_ids:
        return
    at = now()
    missing = [*_units_missing(unit_ids, at), *_items_missing(item_ids, at)]
    expected = {(one.unit_id, one.item_id, one.booking_id): one for one in missing}
    known = _open_ones().filter(Q(unit__in=list(unit_ids)) | Q(item__in=list(item_ids)))
    for shortage in known.select_related("booking", "unit", "item"):
        found = expected.pop((shortage.unit_id, shortage.item_id, shortage.booking_id), None)
        _bring_in_line(shortage, found, at)
    for one in expected.values():
        if not one.has_begun:  # who has begun has it, or has seen to it on set
            _open(one)


def review_units(unit_ids: Collection[int]) -> None:
    """The same of units."""
    review(unit_ids, ())


def review_items(item_ids: Collection[int]) -> None:
    """The same of counted things."""
    review((), item_ids)


def review_all() -> None:
    """Everything that may be short, and everything that is said to be."""
    promised = Allocation.objects.filter(active=True, use__startswith__gt=now(), unit=OuterRef("pk"))
    unfit = Unit.objects.filter(Exists(promised), condition__in=list(CAUSE_OF)).order_by().values("pk")
    late = LateReturn.objects.filter(settled_at=None).order_by().values("unit")
    short = Shortage.objects.filter(closed_at=None, unit__isnull=False).order_by().values("unit")
    lent = UnitWindow.objects.order_by().values("unit")
    units = unfit.union(late, short, lent).values_list("pk", flat=True)
    with transaction.atomic():
        review_units([unit.pk for unit in locked_units(units)])
    for item_id in (
        StockPromise.objects.filter(active=True).order_by().values_list("item", flat=True).distinct()
    ):
        with transaction.atomic():
            review_items([item.pk for item in locked_items([item_id])])


def _open_ones() -> QuerySet[Shortage]:
    """Open shortages, locked in their order, so that what somebody else closes in this moment is not closed again."""
    return Shortage.objects.select_for_update(of=("self",), no_key=True).filter(closed_at=None).order_by("pk")


def note(shortage: Shortage, text: str, by: object = None) -> ShortageNote:
    """A line for the trail."""
    return ShortageNote.objects.create(shortage=shortage, text=text[:500], by=by)


def _units_missing(unit_ids: Collection[int], at: datetime) -> list[Missing]:
    """One statement as long as these units are ready, here and on time."""
    if not unit_ids:
        return []
    late = LateReturn.objects.filter(settled_at=None, unit__in=list(unit_ids))
    here = Q(unit__window__isnull=True) | Q(unit__window__during__contains=F("blocked"))
    coming = (
        Allocation.objects.filter(live(at), unit__in=list(unit_ids), use__endswith__gt=at)
        .annotate(is_here=ExpressionWrapper(here, output_field=BooleanField()))
        .filter(~Q(unit__condition=Condition.READY) | Q(is_here=False) | Q(unit__in=late.values("unit")))
        .select_related("unit__gear_type", "unit__window", "booking")
        .order_by("blocked")
    )
    promises = list(coming)
    found = {promise.pk: one for promise in promises if (one := _unfit(promise, at) or _away(promise, at))}
    for one in late.select_related("unit__gear_type", "booking") if promises else ():
        ready_at = max(one.back_at, at) + timedelta(minutes=one.unit.turnaround)
        for promise in promises:
            meets = promise.unit_id == one.unit_id and promise.blocked.lower < ready_at
            if meets and promise.booking_id != one.booking_id:
                zone = promise.booking.zone
                until, ready = say(one.back_at, zone), say(ready_at, zone)
                detail = f"with “{one.booking.title}” until {until}, ready {ready}"
                found.setdefault(promise.pk, _one(promise, Cause.LATE, detail, at))
    return list(found.values())


def _unfit(promise: Allocation, at: datetime) -> Missing | None:
    unit = promise.unit
    if unit.condition == Condition.READY:
        return None
    words = unit.get_condition_display().lower()
    detail = f"{words}: {unit.condition_note}" if unit.condition_note else words
    return _one(promise, CAUSE_OF[Condition(unit.condition)], detail, at)


def _away(promise: Any, at: datetime) -> Missing | None:
    if promise.is_here:
        return None
    window = promise.unit.window
    detail = (
        f"{window.owner} does not lend it any more"
        if window.during.isempty
        else f"{window.owner} wants it back by {say(window.goes_back_at, promise.booking.zone)}"
    )
    return _one(promise, Cause.SUB_HIRE, detail, at)


def _one(promise: Allocation, cause: str, detail: str, at: datetime) -> Missing:
    begun = promise.use.lower <= at
    return Missing(promise.booking_id, Decimal(1), cause, detail, unit_id=promise.unit_id, has_begun=begun)


def _items_missing(item_ids: Collection[int], at: datetime) -> list[Missing]:
    if not item_ids:
        return []
    promises: dict[StockItem, list[StockPromise]] = {}
    for promise in standing_promises(item_ids, at):
        promises.setdefault(promise.item, []).append(promise)
    supplies = supplies_of(promises)
    return [one for item in promises for one in _item_missing(item, promises[item], supplies[item.pk], at)]


def _item_missing(
    item: StockItem, promises: list[StockPromise], steps: list[Step], at: datetime
) -> Iterator[Missing]:
    pieces = [piece for promise in promises for piece in pieces_of(promise, at)]
    worst = min(levels(steps, pieces, at, None), key=lambda level: level.free)
    if worst.free >= 0:
        return
    by_id = {promise.pk: promise for promise in promises}
    whose = {piece.whose for piece in pieces}
    taking = [promise for promise in promises if promise.pk in whose]
    waiting = [p for p in taking if not p.out_quantity]
    order = [p.pk for p in sorted(waiting, key=lambda p: claim(p.booking))]
    late = [p for p in taking if p.still_out and at >= p.use.upper]
    if late:
        cause = Cause.LATE
        detail = "; ".join(f"{said(p.still_out)} still out with “{p.booking.title}”" for p in late)
    elif item.overbooking_percent and worst.demand <= limit(worst.capacity, item):
        cause, detail = Cause.OVERBOOKED, f"{said(worst.demand)} promised of {said(worst.capacity)}"
    else:
        cause, detail = Cause.CAPACITY, f"{said(worst.demand)} promised, {said(worst.capacity)} there"
    short: dict[int, Decimal] = {}
    for pk, quantity in over(steps, pieces, at, order).items():
        booking_id = by_id[pk].booking_id
        short[booking_id] = short.get(booking_id, Decimal(0)) + quantity
    for booking_id, quantity in short.items():
        if quantity:
            yield Missing(booking_id, quantity, cause, detail[:300], item_id=item.pk)


def _open(missing: Missing) -> None:
    booking = Booking.objects.select_related("asked_by").get(pk=missing.booking_id)
    try:
        with transaction.atomic():
            made = Shortage.objects.create(
                booking=booking,
                unit_id=missing.unit_id,
                item_id=missing.item_id,
                quantity=missing.quantity,
                cause=missing.cause,
                detail=missing.detail[:300],
                owner=booking.asked_by,
            )
    except IntegrityError:
        return  # somebody else opened it in this moment
    note(made, f"Opened: {made.get_cause_display().lower()}. {missing.detail}")


def _bring_in_line(shortage: Shortage, found: Missing | None, at: datetime) -> None:
    if found is None:
        shortage.how = How.MET_AGAIN if _is_promised(shortage) else How.LET_GO
        if shortage.booking.ends_at <= at:
            shortage.how = How.OVER
        shortage.closed_at = at
        shortage.save(update_fields=["how", "closed_at"])
        note(shortage, f"Closed by the facts: {shortage.get_how_display().lower()}.")
        return
    if (shortage.quantity, shortage.cause, shortage.detail) != (
        found.quantity,
        found.cause,
        found.detail[:300],
    ):
        shortage.quantity, shortage.cause = found.quantity, found.cause
        shortage.detail = found.detail[:300]
        shortage.save(update_fields=["quantity", "cause", "detail"])
        note(shortage, f"Now {shortage.thing}, {shortage.get_cause_display().lower()}: {found.detail}")


def _is_promised(shortage: Shortage) -> bool:
    booking = shortage.booking
    if booking.state not in (Booking.State.HOLD, Booking.State.CONFIRMED):
        return False
    if shortage.unit_id:
        return booking.allocations.filter(active=True, unit=shortage.unit_id).exists()
    return booking.stock_promises.filter(active=True, item=shortage.item_id).exists()
