"""What can no longer be met? Facts against promises: opens what is missing, closes what is met again.

Doing it twice changes nothing. It is done in the transaction of the fact, and by a sweep that finds what time alone
brought about. No booking is moved, no promise deleted here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet

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
from gear.stock.queries import demand, supply
from gear.stock.rules import limit, said
from gear.stock.steps import levels, over

__all__ = ["note", "review_all", "review_items", "review_units"]

How = Shortage.How


@dataclass(frozen=True)
class Missing:
    """What a booking is short of."""

    booking_id: int
    quantity: Decimal
    cause: str
    detail: str
    has_begun: bool = False


def review_units(unit_ids: Collection[int]) -> None:
    """Bring the shortages of these units in line with the facts."""
    at = now()
    expected = {(unit_id, m.booking_id): m for unit_id, m in _units_missing(unit_ids, at)}
    known = _open_ones().filter(unit__in=list(unit_ids)).select_related("booking", "unit")
    for shortage in known:
        found = expected.pop((shortage.unit_id or 0, shortage.booking_id), None)
        _bring_in_line(shortage, found, at)
    for (unit_id, _), missing in expected.items():
        if not missing.has_begun:  # who has begun has it, or has seen to it on set
            _open(missing, unit_id=unit_id)


def review_items(item_ids: Collection[int]) -> None:
    """The same for counted things: where more is promised than there is, the lowest claim is short of it."""
    at = now()
    for item in StockItem.objects.filter(pk__in=list(item_ids)):
        expected = {m.booking_id: m for m in _items_missing(item, at)}
        known = _open_ones().filter(item=item).select_related("booking", "item")
        for shortage in known:
            _bring_in_line(shortage, expected.pop(shortage.booking_id, None), at)
        for missing in expected.values():
            _open(missing, item_id=item.pk)


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


def _units_missing(unit_ids: Collection[int], at: datetime) -> Iterable[tuple[int, Missing]]:
    coming = (
        Allocation.objects.filter(live(at), unit__in=list(unit_ids), use__endswith__gt=at)
        .select_related("unit__gear_type", "booking")
        .order_by("blocked")
    )
    found: dict[tuple[int, int], Missing] = {}
    for promise in coming.exclude(unit__condition=Condition.READY):
        unit = promise.unit
        words = unit.get_condition_display().lower()
        detail = f"{words}: {unit.condition_note}" if unit.condition_note else words
        cause = CAUSE_OF[Condition(unit.condition)]
        found[unit.pk, promise.booking_id] = _one(promise, cause, detail, at)
    here = Q(unit__window__during__contains=F("blocked"))
    for promise in coming.filter(unit__window__isnull=False).exclude(here).select_related("unit__window"):
        window = promise.unit.window
        detail = (
            f"{window.owner} does not lend it any more"
            if window.during.isempty
            else f"{window.owner} wants it back by {say(window.goes_back_at, promise.booking.zone)}"
        )
        key = (promise.unit_id, promise.booking_id)
        found.setdefault(key, _one(promise, Cause.SUB_HIRE, detail, at))
    for late in LateReturn.objects.filter(settled_at=None, unit__in=list(unit_ids)).select_related(
        "unit__gear_type", "booking"
    ):
        ready_at = max(late.back_at, at) + timedelta(minutes=late.unit.turnaround)
        for promise in coming.filter(unit=late.unit, blocked__startswith__lt=ready_at).exclude(
            booking=late.booking
        ):
            zone = promise.booking.zone
            detail = (
                f"with “{late.booking.title}” until {say(late.back_at, zone)}, ready {say(ready_at, zone)}"
            )
            key = (promise.unit_id, promise.booking_id)
            found.setdefault(key, _one(promise, Cause.LATE, detail, at))
    return [(unit_id, missing) for (unit_id, _), missing in found.items()]


def _one(promise: Allocation, cause: str, detail: str, at: datetime) -> Missing:
    return Missing(promise.booking_id, Decimal(1), cause, detail, promise.use.lower <= at)


def _items_missing(item: StockItem, at: datetime) -> list[Missing]:
    pieces, steps = demand(item, at, None, at=at), supply(item)
    worst = min(levels(steps, pieces, at, None), key=lambda level: level.free, default=None)
    if worst is None or worst.free >= 0:
        return []
    whose = {piece.whose for piece in pieces}
    promises = {p.pk: p for p in StockPromise.objects.filter(pk__in=whose).select_related("booking")}
    waiting = [p for p in promises.values() if not p.out_quantity]
    order = [p.pk for p in sorted(waiting, key=lambda p: claim(p.booking))]
    late = [p for p in promises.values() if p.still_out and at >= p.use.upper]
    if late:
        cause = Cause.LATE
        detail = "; ".join(f"{said(p.still_out)} still out with “{p.booking.title}”" for p in late)
    elif item.overbooking_percent and worst.demand <= limit(worst.capacity, item):
        cause, detail = Cause.OVERBOOKED, f"{said(worst.demand)} promised of {said(worst.capacity)}"
    else:
        cause, detail = Cause.CAPACITY, f"{said(worst.demand)} promised, {said(worst.capacity)} there"
    short: dict[int, Decimal] = {}
    for pk, quantity in over(steps, pieces, at, order).items():
        booking = promises[pk].booking_id
        short[booking] = short.get(booking, Decimal(0)) + quantity
    return [Missing(pk, quantity, cause, detail[:300]) for pk, quantity in short.items() if quantity]


def _open(missing: Missing, *, unit_id: int | None = None, item_id: int | None = None) -> None:
    booking = Booking.objects.select_related("asked_by").get(pk=missing.booking_id)
    try:
        with transaction.atomic():
            made = Shortage.objects.create(
                booking=booking,
                unit_id=unit_id,
                item_id=item_id,
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
