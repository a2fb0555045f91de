"""What is free, what is in the way, and what is coming. Nothing here writes."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import UTC, datetime

from django.contrib.postgres.fields import DateTimeRangeField
from django.db.models import DateTimeField, Exists, F, Func, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from gear.booking.blocking import blocked_by, blocked_from, blocked_to, instant
from gear.booking.interval import Interval
from gear.booking.models import Allocation, Booking, UnitWindow
from gear.booking.rules import now
from gear.inventory.models import Condition, Unit

__all__ = [
    "clashes",
    "clashes_of",
    "coming_promises",
    "due",
    "free_units",
    "live",
    "past_promises",
    "promised_to",
    "standing",
    "units_by_freedom",
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
    units = units_by_freedom(use, kinds=kinds, type_slug=type_slug, ignoring=ignoring)
    next_in_line = due().filter(unit=OuterRef("pk"), blocked__overlap=_BLOCKED)
    return units.filter(_free, ~Exists(next_in_line.exclude(booking__in=list(ignoring)))).order_by(
        "turnaround_min", "tag"
    )


def due(at: datetime | None = None) -> QuerySet[Allocation]:
    """Whose turn has come, in the order of the line: they wait, and nobody blocks any of their time."""
    at = at or now()
    before = Allocation.objects.filter(
        live(at), unit=OuterRef("unit"), blocked__overlap=OuterRef("blocked")
    ).exclude(booking=OuterRef("booking"))
    return Allocation.objects.filter(waits(at), ~Exists(before), blocked__endswith__gt=at).order_by(
        "waits_since", "id"
    )


def units_by_freedom(
    use: Interval,
    *,
    kinds: Collection[str] = (),
    type_slug: str = "",
    ignoring: Iterable[int] = (),
) -> QuerySet[Unit]:
    """Units in service and here, with ``taken_until``: when the latest promise that starts before the asked time ends.

    A unit without one was taken until long ago. Only the latest matters: promises of one unit never overlap, so an
    earlier one ended before it began. The index on (unit, start, end) answers that with one row a unit.
    """
    units = Unit.objects.filter(condition=Condition.READY).select_related("gear_type")
    if kinds:
        units = units.filter(gear_type__kind__in=list(kinds))
    if type_slug:
        units = units.filter(gear_type__slug=type_slug)
    units = units.annotate(
        turnaround_min=Coalesce("turnaround_minutes", "gear_type__turnaround_minutes"),
        blocked_from=blocked_from(use, unit=""),
        blocked_to=blocked_to(use, unit=""),
    )
    outside = UnitWindow.objects.filter(unit=OuterRef("pk")).exclude(during__contains=_BLOCKED)
    units = units.exclude(Exists(outside))
    before = (
        Allocation.objects.filter(live(), unit=OuterRef("pk"))
        .exclude(booking__in=list(ignoring))
        .alias(starts=_lower)
        .filter(starts__lt=OuterRef("blocked_to"))
        .order_by("-starts")
        .values(until=_upper)[:1]
    )
    return units.annotate(taken_until=Coalesce(Subquery(before), instant(_LONG_AGO)))


def clashes(unit: Unit, use: Interval, *, ignoring: Iterable[int] = ()) -> list[Allocation]:
    """The promises in the way of using this unit then, in order of time."""
    return list(clashes_of([unit.pk], use, ignoring=ignoring))


def clashes_of(
    unit_ids: Collection[int], use: Interval, *, ignoring: Iterable[int] = ()
) -> QuerySet[Allocation]:
    """The same for any number of units in one query, unit by unit."""
    return (
        Allocation.objects.filter(live(), unit__in=list(unit_ids), blocked__overlap=blocked_by(use))
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


_lower = Func(F("blocked"), function="lower", output_field=DateTimeField())
_upper = Func(F("blocked"), function="upper", output_field=DateTimeField())
_BLOCKED = Func(
    OuterRef("blocked_from"),
    OuterRef("blocked_to"),
    function="tstzrange",
    output_field=DateTimeRangeField(),
)
_free = Q(taken_until__lte=F("blocked_from"))
_LONG_AGO = datetime(1900, 1, 1, tzinfo=UTC)
