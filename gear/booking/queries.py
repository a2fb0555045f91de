"""What is free, what is in the way, and what is coming. Nothing here writes."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime, timedelta
from typing import Any

from django.contrib.postgres.fields import DateTimeRangeField
from django.db.models import DateTimeField, Exists, Func, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from gear.booking.blocking import blocked_by, blocked_from, blocked_to
from gear.booking.freedom import free_for, ids_free_for, tags_free_for
from gear.booking.interval import Interval
from gear.booking.lasting import lasting
from gear.booking.models import Allocation, Booking, UnitWindow
from gear.booking.rules import now
from gear.catalogue.models import GearType
from gear.inventory.models import Condition, Unit

__all__ = [
    "clashes",
    "clashes_of",
    "clashes_within",
    "coming_promises",
    "due",
    "free_ids",
    "free_tags",
    "free_units",
    "live",
    "not_over",
    "past_promises",
    "promised_to",
    "standing",
    "taken_units",
    "waits",
]


def standing(at: datetime | None = None) -> Q:
    """Promises of whatever kind that block: active, and not of a hold whose end has come."""
    return Q(active=True) & ~Q(booking__state=Booking.State.HOLD, booking__hold_until__lte=at or now())


def live(at: datetime | None = None) -> Q:
    """Units' promises that block: a challenged one until its deadline."""
    at = at or now()
    return standing(at) & ~Q(booking__state=Booking.State.HOLD, lapses_at__lte=at)


def waits(at: datetime | None = None) -> Q:
    """Units' promises that stand in line behind others."""
    return Q(
        waits_since__isnull=False, booking__state=Booking.State.HOLD, booking__hold_until__gt=at or now()
    )


def not_over(at: datetime | None = None, booking: str = "booking__") -> Q:
    """Bookings that have not ended; ``booking`` leads to them.

    None of them began before the first of those that run now: so the index that has them in order is read from there
    on, and of many years only what lies ahead.
    """
    at = at or now()
    running = Booking.objects.filter(lasting(at, at + timedelta(microseconds=1), "")).order_by()
    first = running.annotate(first=Func("starts_at", function="MIN")).values("first")
    begins = Coalesce(Subquery(first), Value(at), output_field=DateTimeField())
    return Q(**{f"{booking}starts_at__gte": begins, f"{booking}ends_at__gt": at})


def free_units(
    use: Interval,
    *,
    kinds: Collection[str] = (),
    type_slug: str = "",
    ignoring: Iterable[int] = (),
) -> QuerySet[Unit]:
    """Units in service that are free for the whole of ``use`` with their own prep and turnaround.

    A unit that somebody waits for whose turn has come is theirs. ``kinds`` and ``type_slug`` narrow; ``ignoring`` names
    bookings whose own promises do not count. The units that are ready again soonest come first, so that a tight
    follow-on is offered what turns around in time.
    """
    found = _in_service(kinds, type_slug).filter(free_for(use, ignoring, now()))
    return found.annotate(
        turnaround_min=Coalesce("turnaround_minutes", "gear_type__turnaround_minutes")
    ).order_by("turnaround_min", "tag")


def free_tags(use: Interval, gear_type_id: int, *, ignoring: Iterable[int] = ()) -> list[str]:
    """The tags of `free_units` of one type, in the same order, without a unit as an object: they may be thousands."""
    return tags_free_for(use, gear_type_id, ignoring, now())


def free_ids(use: Interval, unit_ids: Collection[int], *, ignoring: Iterable[int] = ()) -> frozenset[int]:
    """Which of these units are among `free_units`, by their ids."""
    return ids_free_for(use, unit_ids, ignoring, now())


def due(at: datetime | None = None) -> QuerySet[Allocation]:
    """Whose turn has come, in the order of the line: they wait, and nobody blocks any of their time."""
    at = at or now()
    before = Allocation.objects.filter(
        live(at), unit=OuterRef("unit"), blocked__overlap=OuterRef("blocked")
    ).exclude(booking=OuterRef("booking"))
    return Allocation.objects.filter(waits(at), ~Exists(before), blocked__endswith__gt=at).order_by(
        "waits_since", "id"
    )


def taken_units(
    use: Interval, *, kinds: Collection[str] = (), ignoring: Iterable[int] = ()
) -> QuerySet[Unit]:
    """Units in service and here that somebody has then, with what the use blocks of each (``blocked_from``,
    ``blocked_to``)."""
    units = _in_service(kinds, "").annotate(
        blocked_from=blocked_from(use, unit=""), blocked_to=blocked_to(use, unit="")
    )
    outside = UnitWindow.objects.filter(unit=OuterRef("pk")).exclude(during__contains=_BLOCKED)
    in_the_way = Allocation.objects.filter(live(), unit=OuterRef("pk"), blocked__overlap=_BLOCKED)
    # What is near is read by time. Active or not: else the index behind the constraint would be read from end to end.
    around = Interval(use.starts_at - use.travel - _DAY, use.ends_at + use.travel + _DAY)
    near = Q(pk__in=Allocation.objects.filter(blocked__overlap=around.as_range).values("unit"))
    needs_longer = Q(blocked_from__lt=around.starts_at) | Q(blocked_to__gt=around.ends_at)
    return units.filter(
        near | needs_longer, Exists(in_the_way.exclude(booking__in=list(ignoring))), ~Exists(outside)
    )


def _in_service(kinds: Collection[str], type_slug: str) -> QuerySet[Unit]:
    # Many units are of few types: each type is read once.
    units = Unit.objects.filter(condition=Condition.READY).prefetch_related("gear_type")
    if kinds:
        units = units.filter(gear_type__kind__in=list(kinds))
    if type_slug:
        # By its id the planner knows how many units it has.
        units = units.filter(
            gear_type__in=list(GearType.objects.filter(slug=type_slug).values_list("pk", flat=True))
        )
    return units


def clashes(unit: Unit, use: Interval, *, ignoring: Iterable[int] = ()) -> list[Allocation]:
    """The promises in the way of using this unit then, in order of time."""
    return list(clashes_of([unit.pk], use, ignoring=ignoring))


def clashes_of(
    unit_ids: Collection[int], use: Interval, *, ignoring: Iterable[int] = ()
) -> QuerySet[Allocation]:
    """The same for any number of units in one query, unit by unit."""
    return _in_the_way(unit_ids, blocked_by(use), ignoring)


def clashes_within(
    unit_ids: Collection[int], blocked: Interval, *, ignoring: Iterable[int] = ()
) -> QuerySet[Allocation]:
    """The promises of these units that block any of a time that is to be blocked, whatever prep and turnaround are."""
    return _in_the_way(unit_ids, blocked.as_range, ignoring)


def _in_the_way(unit_ids: Collection[int], blocked: Any, ignoring: Iterable[int]) -> QuerySet[Allocation]:
    return (
        Allocation.objects.filter(live(), unit__in=list(unit_ids), blocked__overlap=blocked)
        .exclude(booking__in=list(ignoring))
        .select_related("booking", "booking__asked_by")
        .order_by("unit_id", "blocked")
    )


def coming_promises(unit: Unit, at: datetime | None = None) -> QuerySet[Allocation]:
    """What this unit is promised for from now on, in order of time."""
    at = at or now()
    return (
        Allocation.objects.filter(live(at), unit=unit, blocked__endswith__gt=at)
        .select_related("booking", "booking__asked_by")
        .order_by("blocked")
    )


def past_promises(unit: Unit, at: datetime | None = None) -> QuerySet[Allocation]:
    """What this unit was promised for and is over, blocked time included, the latest first. Holds that lapsed and
    bookings that were cancelled are not among them."""
    at = at or now()
    return (
        Allocation.objects.filter(live(at), unit=unit, blocked__endswith__lte=at)
        .select_related("booking", "booking__asked_by")
        .order_by("-blocked")
    )


def promised_to(booking: Booking) -> QuerySet[Allocation]:
    """The units of a booking, with whether each promise stands (``stands``)."""
    return (
        Allocation.objects.filter(booking=booking)
        .select_related("unit__gear_type")
        .annotate(stands=Exists(Allocation.objects.filter(live(), pk=OuterRef("pk"))))
        .order_by("unit__tag")
    )


_BLOCKED = Func(
    OuterRef("blocked_from"),
    OuterRef("blocked_to"),
    function="tstzrange",
    output_field=DateTimeRangeField(),
)
_DAY = timedelta(days=1)
