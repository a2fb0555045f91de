"""Who stays on set for whom, and what becomes of it when one of the two does not come, comes at another time, or has
ended. The units are locked.

Turnaround before and way and prep after come back as far as nobody else has the unit meanwhile.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime, timedelta

from django.db.backends.postgresql.psycopg_any import DateTimeTZRange
from django.db.models import Exists, F, OuterRef, Q, QuerySet

from gear.booking.blocking import derive_anew
from gear.booking.challenge_ends import challenges_lapsed
from gear.booking.locks import locked_units
from gear.booking.models import Allocation, Booking, UnitWindow
from gear.booking.rules import now
from gear.booking.transactions import in_one_transaction
from gear.changes import announce

__all__ = [
    "came_back_after_all",
    "derive_stays",
    "end_stays",
    "end_stays_of_ended_holds",
    "ended",
    "onward",
    "prepare_again",
    "retire",
    "stay_partners",
    "stay_units",
]

Pair = tuple[int, int]
"""Ids of a booking and of a unit."""


def stay_partners(booking_ids: Collection[int]) -> set[int]:
    """The bookings that these follow, or go on into, without handing a unit back."""
    mine = list(booking_ids)
    found = _of(mine).values_list("booking_id", "stays_for_id")
    return {pk for pair in found for pk in pair if pk is not None} - set(mine)


def stay_units(booking_id: int) -> set[int]:
    """The units that stay on set for this booking, or from it."""
    return set(_of([booking_id]).values_list("unit_id", flat=True))


def onward(booking_id: int, unit_ids: Collection[int]) -> list[Pair]:
    """For whom these units of a booking stay on set."""
    found = Allocation.objects.filter(booking=booking_id, unit__in=list(unit_ids), stays_for__isnull=False)
    return [(pk, unit_id) for pk, unit_id in found.values_list("stays_for_id", "unit_id") if pk is not None]


def derive_stays(moved: Collection[int], at: datetime) -> None:
    """Give these bookings the time that they say now, and whoever goes on from them or into them what that leaves: in
    one statement, so that only the end counts. What does not follow any more does not stay."""
    mine = list(moved)
    pairs = _of(mine)
    beside: set[Pair] = set()
    for promise in pairs.select_related("booking", "stays_for"):
        later = promise.stays_for
        if later is None:
            continue
        beside |= {(promise.booking_id, promise.unit_id), (later.pk, promise.unit_id)}
        _take_ended_away(promise.unit_id, promise.booking.ends_at, later.starts_at, at)
    pairs.filter(stays_for__starts_at__lt=F("booking__ends_at")).update(stays_for=None)
    derive_anew(mine, sorted(pair for pair in beside if pair[0] not in mine))


def end_stays(booking_ids: Collection[int], at: datetime, unit_ids: Collection[int] | None = None) -> None:
    """These bookings have let go of their units (of these units): nothing stays on set for them or from them."""
    found = _of(booking_ids, active=None)
    _end(found if unit_ids is None else found.filter(unit__in=list(unit_ids)), at)


def came_back_after_all(booking_id: int, unit_ids: Collection[int], at: datetime) -> None:
    """What was to stay on set is in the store: its turnaround runs from then."""
    _end(Allocation.objects.filter(booking=booking_id, unit__in=list(unit_ids), stays_for__isnull=False), at)


@in_one_transaction
def end_stays_of_ended_holds(at: datetime | None = None) -> None:
    """What the clock alone brought about: nothing stays on set for a hold that has ended, or from one."""
    at = at or now()
    before = Allocation.objects.filter(active=True, stays_for=OuterRef("booking"), unit=OuterRef("unit"))
    found = Allocation.objects.filter(
        ended(at), Q(stays_for__isnull=False) | Exists(before), active=True
    ).order_by()
    if unit_ids := set(found.values_list("unit_id", flat=True)):
        locked_units(unit_ids)
        retire(found, at)


def ended(at: datetime) -> Q:
    """Promises of holds that have ended, or are to be given up since a challenge: they block nobody."""
    return Q(Q(booking__hold_until__lte=at) | Q(lapses_at__lte=at), booking__state=Booking.State.HOLD)


def retire(found: QuerySet[Allocation], at: datetime) -> None:
    """Take these promises, which have ended, out of the way; they come back only by a fresh check."""
    gone = list(found.values_list("pk", "unit_id", "booking_id"))
    if not gone:
        return
    Allocation.objects.filter(pk__in=[pk for pk, _, _ in gone]).update(active=False, lapses_at=None)
    challenges_lapsed({(booking_id, unit_id) for _, unit_id, booking_id in gone}, at)
    end_stays({booking_id for _, _, booking_id in gone}, at, {unit_id for _, unit_id, _ in gone})
    announce("unit", sorted({unit_id for _, unit_id, _ in gone}))


def prepare_again(pairs: Iterable[Pair], at: datetime) -> None:
    """These units do not come to these bookings straight from set any more: they have their way and prep again."""
    for booking_id, unit_id in pairs:
        found = Allocation.objects.filter(
            booking=booking_id, unit=unit_id, active=True, use__startswith__gt=at
        ).select_related("booking", "unit__gear_type")
        for promise in found:
            _prepare(promise, at)


def _of(booking_ids: Collection[int], active: bool | None = True) -> QuerySet[Allocation]:
    mine = list(booking_ids)
    found = Allocation.objects.filter(Q(stays_for__in=mine) | Q(booking__in=mine), stays_for__isnull=False)
    return found if active is None else found.filter(active=active)


def _end(found: QuerySet[Allocation], at: datetime) -> None:
    for pk in list(found.order_by("use", "pk").values_list("pk", flat=True)):
        # As the one before it left it: a promise may have followed that one, and go on into another that ends too.
        promise = Allocation.objects.select_related("booking", "unit__gear_type").get(pk=pk)
        later_id = promise.stays_for_id
        Allocation.objects.filter(pk=promise.pk).update(stays_for=None)
        if promise.active and (promise.returned_at is not None or promise.blocked.upper > at):
            _turn_around(promise, at)
        if later_id is not None:
            prepare_again([(later_id, promise.unit_id)], at)


def _turn_around(promise: Allocation, at: datetime) -> None:
    given, usual = promise.turnaround_given, promise.unit.turnaround
    after = promise.booking.travel_minutes + (usual if given is None else given)
    until = promise.use.upper + timedelta(minutes=after)
    _take_ended_away(promise.unit_id, promise.use.upper, until, at, but=promise.pk)
    following = Allocation.objects.filter(
        unit=promise.unit_id, active=True, blocked__startswith__gte=promise.use.upper
    ).exclude(pk=promise.pk)
    starts = [one.lower for one in following.order_by("blocked").values_list("blocked", flat=True)[:1]]
    _block(promise, promise.blocked.lower, min([until, *starts]))


def _prepare(promise: Allocation, at: datetime) -> None:
    given, usual = promise.prep_given, promise.unit.prep
    before = promise.booking.travel_minutes + (usual if given is None else given)
    since = promise.use.lower - timedelta(minutes=before)
    _take_ended_away(promise.unit_id, since, promise.use.lower, at, but=promise.pk)
    preceding = Allocation.objects.filter(
        unit=promise.unit_id, active=True, blocked__endswith__lte=promise.use.lower
    ).exclude(pk=promise.pk)
    ends = [one.upper for one in preceding.order_by("-blocked").values_list("blocked", flat=True)[:1]]
    _block(promise, min(promise.blocked.lower, max([since, *ends])), promise.blocked.upper)


def _take_ended_away(unit_id: int, since: datetime, until: datetime, at: datetime, but: int = 0) -> None:
    if since < until:
        within = DateTimeTZRange(since, until, "[)")
        found = Allocation.objects.filter(ended(at), unit=unit_id, active=True, blocked__overlap=within)
        retire(found.exclude(pk=but), at)


def _block(promise: Allocation, since: datetime, until: datetime) -> None:
    """A unit whose owner wants it back before that blocks what it did; its booking is short of it."""
    blocked = DateTimeTZRange(since, until, "[)")
    window = UnitWindow.objects.filter(unit=promise.unit_id).exclude(during__contains=blocked)
    if not window.exists():
        Allocation.objects.filter(pk=promise.pk).update(blocked=blocked)
