"""Who stays on set for whom, and what becomes of it when the later one does not come. The units are locked."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.backends.postgresql.psycopg_any import DateTimeTZRange
from django.db.models import F, QuerySet

from gear.booking.blocking import derive_anew
from gear.booking.models import Allocation

__all__ = ["came_back_after_all", "derive_stays", "end_stays", "stay_partners"]


def stay_partners(booking_ids: Collection[int]) -> set[int]:
    """The bookings that these follow, or go on into, without handing a unit back."""
    mine = list(booking_ids)
    pairs = Allocation.objects.filter(stays_for__isnull=False, active=True)
    before = pairs.filter(stays_for__in=mine).values_list("booking_id", flat=True)
    after = pairs.filter(booking__in=mine).values_list("stays_for_id", flat=True)
    return {pk for pk in (*before, *after) if pk is not None} - set(mine)


def derive_stays(moved: Collection[int]) -> None:
    """Whoever these go on from keeps its units until they begin, wherever that is now: derive all of them in one
    statement, so that only the end counts."""
    mine = list(moved)
    pairs = Allocation.objects.filter(stays_for__in=mine, active=True).exclude(booking__in=mine)
    before = list(pairs.values_list("booking_id", "unit_id"))
    if not before:
        derive_anew(mine)
        return
    units = Allocation.objects.filter(booking__in=mine).values_list("unit_id", flat=True)
    wanted = {*units, *(unit_id for _, unit_id in before)}
    derive_anew([*mine, *{booking_id for booking_id, _ in before}], sorted(wanted))


def end_stays(later_ids: Collection[int], at: datetime, unit_ids: Collection[int] | None = None) -> None:
    """These do not go on with what stayed for them (with these units of it): who had it has a turnaround again, as far
    as nobody else comes."""
    left = Allocation.objects.filter(stays_for__in=list(later_ids))
    _end(left if unit_ids is None else left.filter(unit__in=list(unit_ids)), at)


def came_back_after_all(booking_id: int, unit_ids: Collection[int], at: datetime) -> None:
    """What was to stay on set is in the store: its turnaround runs from then, as far as nobody else comes."""
    _end(Allocation.objects.filter(booking=booking_id, unit__in=list(unit_ids), stays_for__isnull=False), at)


def _end(found: QuerySet[Allocation], at: datetime) -> None:
    for promise in found.order_by("pk"):
        Allocation.objects.filter(pk=promise.pk).update(stays_for=None)
        if not promise.active or promise.blocked.upper <= at:
            continue
        try:
            with transaction.atomic():
                derive_anew([promise.booking_id], [promise.unit_id])
        except IntegrityError:
            _until_the_next(promise)


def _until_the_next(promise: Allocation) -> None:
    after = Allocation.objects.filter(
        unit=promise.unit_id, active=True, blocked__startswith__gte=promise.use.upper
    ).order_by("blocked")
    following = after.exclude(pk=promise.pk).annotate(begins=F("blocked__startswith")).first()
    if following is not None:
        until = DateTimeTZRange(promise.blocked.lower, following.begins, "[)")
        Allocation.objects.filter(pk=promise.pk).update(blocked=until)
