"""How does a promise come to block its unit?

The caller holds the locks of the units. The look beforehand only makes the sentence kind; the exclusion constraint
decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any, TypeVar

from django.db import IntegrityError, connection, transaction
from django.db.models import Q
from django.utils import timezone

from gear.booking.blocking import blocked_by, stand_again, wait_again
from gear.booking.clashes import UnitTaken, in_the_way, instead_of, refuse_taken
from gear.booking.given import as_given
from gear.booking.interval import Interval
from gear.booking.line import end_of_line
from gear.booking.models import Allocation, Booking
from gear.booking.promotion import promote
from gear.booking.rows import Columns
from gear.booking.rules import blocked_for, now, refuse_unfit, use_of
from gear.booking.staying_ends import ended, retire, stay_partners
from gear.booking.transactions import broken_constraint
from gear.booking.windows import refuse_outside
from gear.errors import Conflict
from gear.inventory.models import Condition, Unit

__all__ = [
    "NO_UNIT_TWICE",
    "claim",
    "claim_untouched",
    "insert",
    "lost_race",
    "quickly_first",
    "retire_lapsed",
    "wait",
]

NO_UNIT_TWICE = "booking_no_unit_twice"

R = TypeVar("R")


def quickly_first(act: Callable[[bool], R]) -> R:
    """``act(True)``, a transaction that promises by `claim_untouched`; where somebody was quicker in spite of the
    locks, the whole of it again as ``act(False)``, which does not."""
    try:
        return act(True)
    except IntegrityError as error:
        if broken_constraint(error) != NO_UNIT_TWICE:
            raise
    return act(False)


def claim_untouched(booking: Booking, units: list[Unit], by: Any) -> list[Allocation] | None:
    """Promises of these units, which are locked, when nothing at all is known of them around that time: nobody has one,
    nobody waits for one, none is noted here or somebody else's. Otherwise None, and nothing was done.

    That is how most units are promised, and it takes one look instead of all that `claim` asks: in the statement that
    promises, so that it sees what was committed while the locks were waited for. Raises IntegrityError, with the
    transaction broken, when somebody was quicker in spite of the locks.
    """
    if any(unit.condition != Condition.READY for unit in units):
        return None
    use = use_of(booking)
    blocked = [blocked_for(unit, use) for unit in units]
    made = _inserted(
        _INSERT_UNTOUCHED,
        booking,
        units,
        by,
        active=True,
        start=min(one.starts_at for one in blocked),
        end=max(one.ends_at for one in blocked),
    )
    return made or None


def claim(booking: Booking, units: list[Unit], by: Any, *, behind: bool = False, firm: bool = False) -> None:
    """Make active promises of these units, which are locked; those that are taken wait in line when ``behind``. What is
    to be ``firm`` is not offered to wait.

    Whoever stands in line for one of them comes first. The look beforehand only makes the sentence kind.
    """
    if not units:
        return
    use, at = use_of(booking), now()
    refuse_unfit(units)
    ours = [booking.pk, *stay_partners([booking.pk])]
    got = {promise.unit_id for promise in promote(units, at) if promise.booking_id == booking.pk}
    units = [unit for unit in units if unit.pk not in got]
    noted = set(booking.allocations.filter(unit__in=units).values_list("unit_id", flat=True))
    units = as_given(booking, units)
    retire_lapsed(units, use, at, but=[booking.pk])
    if behind:
        refuse_outside(units, use, booking.zone)
        taken = {one.unit.pk for one in in_the_way(units, use, ours)}
        wait(booking, [unit for unit in units if unit.pk in taken], at, by)
        units = [unit for unit in units if unit.pk not in taken]
    may_wait = not firm and booking.state != Booking.State.CONFIRMED
    refuse_taken(units, use, booking.zone, ignoring=ours, may_wait=may_wait)
    try:
        with transaction.atomic():
            insert(booking, [unit for unit in units if unit.pk not in noted], by, active=True)
            stand_again(booking.pk, [unit.pk for unit in units if unit.pk in noted])
    except IntegrityError as error:
        if broken_constraint(error) != NO_UNIT_TWICE:
            raise
        raise lost_race(units, booking) from None


def wait(booking: Booking, units: list[Unit], at: datetime, by: Any) -> None:
    """Put this booking at the end of the line for each of these units, which are locked."""
    noted = set(booking.allocations.filter(unit__in=units).values_list("unit_id", flat=True))
    last = end_of_line([unit.pk for unit in units], at)
    insert(booking, [unit for unit in units if unit.pk not in noted], by, active=False, waits_since=last)
    wait_again(booking.pk, sorted(noted), last)


def lost_race(units: list[Unit], booking: Booking) -> Conflict:
    """What to say where the database refused what the look beforehand did not."""
    use, ignoring = use_of(booking), [booking.pk]
    found = in_the_way(units, use, ignoring)
    if found:
        return UnitTaken(found, instead_of([one.unit for one in found], use, ignoring), use, booking.zone)
    tags = ", ".join(unit.tag for unit in units)
    return Conflict(f"Somebody else asked for {tags} in this moment. Try again.", code="unit-taken")


def insert(
    booking: Booking, units: Iterable[Unit], by: Any, *, active: bool, waits_since: datetime | None = None
) -> list[Allocation]:
    """New promises of these units; the database refuses what cannot be."""
    return _inserted(_INSERT, booking, list(units), by, active=active, waits_since=waits_since)


def _inserted(
    statement: str, booking: Booking, units: list[Unit], by: Any, **values: Any
) -> list[Allocation]:
    if not units:
        return []
    use = use_of(booking)
    asked = {
        "booking": booking.pk,
        "use": use.as_range,
        "units": [unit.pk for unit in units],
        "blocked": [blocked_for(unit, use).as_range for unit in units],
        "waits_since": None,
        "by": by and by.pk,
        "at": timezone.now(),
        **values,
    }
    with connection.cursor() as cursor:
        cursor.execute(statement, asked)
        made = [_PROMISE.object(row) for row in cursor.fetchall()]
    by_id = {unit.pk: unit for unit in units}
    for promise in made:
        promise.booking, promise.unit = booking, by_id[promise.unit_id]
    return made


_PROMISE = Columns(Allocation, "booking_allocation")
_INSERT = f"""
    INSERT INTO booking_allocation (
        booking_id, unit_id, use, blocked, active, waits_since, pinned, promised_by_id, created_at)
    SELECT %(booking)s, wanted.unit_id, %(use)s, wanted.blocked, %(active)s, %(waits_since)s::timestamptz, false,
           %(by)s::bigint, %(at)s
      FROM unnest(%(units)s::bigint[], %(blocked)s::tstzrange[]) AS wanted (unit_id, blocked)
     WHERE true
    RETURNING {_PROMISE.sql}
"""
# All or none, and each part of the look is answered by its own index.
_INSERT_UNTOUCHED = _INSERT.replace(
    "WHERE true",
    """WHERE NOT (SELECT
           EXISTS (SELECT FROM booking_allocation
                    WHERE unit_id = ANY(%(units)s) AND active AND blocked && tstzrange(%(start)s, %(end)s))
        OR EXISTS (SELECT FROM booking_allocation WHERE unit_id = ANY(%(units)s) AND waits_since IS NOT NULL)
        OR EXISTS (SELECT FROM booking_allocation WHERE unit_id = ANY(%(units)s) AND booking_id = %(booking)s)
        OR EXISTS (SELECT FROM booking_unitwindow WHERE unit_id = ANY(%(units)s)))""",
)


def retire_lapsed(units: Iterable[Unit], use: Interval, at: datetime, but: Iterable[int]) -> None:
    """Take what ended holds still keep out of the way; they come back only by a fresh check. A unit that wears granted
    minutes (`as_given`) is looked at with those."""
    units = list(units)
    usual = [unit.pk for unit in units if not hasattr(unit, "has_given")]
    met = Q(unit__in=usual, blocked__overlap=blocked_by(use))
    for unit in units:
        if hasattr(unit, "has_given"):
            met |= Q(unit=unit.pk, blocked__overlap=blocked_for(unit, use).as_range)
    found = Allocation.objects.filter(met, ended(at), active=True)
    retire(found.exclude(booking__in=list(but)), at)
