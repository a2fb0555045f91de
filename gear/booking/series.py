"""Days of a series: which there are to book, how a day is named in calendars, and who may touch a series in a moment.

Rows are locked in the order series act (an advisory lock), bookings, row of the series, stock, units. Whoever moves one
booking takes the row only; whoever acts on a whole series takes both, so that neither waits for the other in a circle.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, datetime
from itertools import takewhile
from zoneinfo import ZoneInfo

from dateutil.relativedelta import relativedelta
from django.db import connection

from gear.booking.models import Booking, Series
from gear.booking.series_rule import Rule, days
from gear.booking.series_times import Times
from gear.booking.wall_time import NoSuchTime, moment, say_period
from gear.errors import Conflict, FieldProblem, Gone, Invalid

__all__ = [
    "MADE_AHEAD",
    "days_to_make",
    "horizon",
    "locked_series",
    "name_in_calendars",
    "new_series",
    "refuse_overlapping_days",
    "refuse_own_series",
]

MADE_AHEAD = relativedelta(months=18)
"""How far ahead the days of a series are booked; a night's work adds what comes into sight."""

_LOCK = 0x5E71E5


def horizon(at: datetime, zone: str) -> date:
    """The last day that is booked now."""
    return at.astimezone(ZoneInfo(zone)).date() + MADE_AHEAD


def days_to_make(rule: Rule, first: date, after: date | None, to: date) -> list[date]:
    """Days of the rule after ``after`` (None: all) and not beyond ``to``."""
    found = takewhile(lambda day: day <= to, days(rule, first))
    return [day for day in found if after is None or day > after]


def new_series(rule: Rule, first: date, times: Times, uid: object, made_to: date, by: object) -> Series:
    """A series that is called ``uid`` in calendars, and its days by the wall time of ``times``."""
    return Series.objects.create(
        uid=uid,
        first=first,
        each=rule.each,
        interval=rule.interval,
        weekdays=",".join(rule.weekdays),
        monthly_on=rule.monthly_on,
        skip=rule.skip,
        count=rule.count,
        until=rule.until,
        zone=times.zone,
        slot_time="" if times.whole_days else times.starts_time,
        made_to=made_to,
        asked_by=by,
    )


def locked_series(pk: int) -> Series:
    """The series, for acting on it as a whole until the transaction ends. Raises `Gone`."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [_LOCK, pk % 2**31])
    found = Series.objects.filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no series {pk}.")
    return found


def name_in_calendars(zone: str, slot_time: str, day: date) -> date | datetime:
    """The RECURRENCE-ID of a day of a series (RFC 5545, 3.8.4.4): the date of whole days, else the local time given by
    the rule.

    Never changed by a move. A local time that the clocks jump over is named by the one it becomes.
    """
    if not slot_time:
        return day
    wall = f"{day.isoformat()}T{slot_time}"
    try:
        found = moment(wall, zone)
    except NoSuchTime as missing:
        found = moment(missing.offered, zone)
    return found.instant.astimezone(ZoneInfo(zone))


def refuse_overlapping_days(times: Times, found: Collection[date]) -> None:
    """Each must end before the next begins. Raises `Invalid`."""
    before = None
    for day in found:
        try:
            period = times.on(day)
        except NoSuchTime:
            continue
        if before is not None and period.interval.starts_at < before.interval.ends_at:
            raise Invalid(
                f"Each would still last when the next one begins, first on "
                f"{say_period(before.interval.starts_at, before.interval.ends_at, times.zone)}. "
                f"Repeat it less often, or make it shorter.",
                (FieldProblem("interval", "a step that is longer than one of them lasts"),),
            )
        before = period


def refuse_own_series(bookings: Iterable[Booking]) -> None:
    """Bookings of one series must not lie over each other: neither these among themselves nor over the others.

    Locks the rows of their series. Raises `Conflict`.
    """
    mine = [booking.pk for booking in bookings]
    series = Series.objects.filter(occurrences__booking__in=mine).order_by().values("pk")
    if not list(Series.objects.select_for_update(no_key=True).filter(pk__in=series).order_by("pk")):
        return
    with connection.cursor() as cursor:
        cursor.execute(_OVER_ITS_OWN, [mine])
        found = cursor.fetchone()
    if found:
        both = Booking.objects.in_bulk(found)
        raise _own_series(both[found[0]], both[found[1]])


_OVER_ITS_OWN = """
    SELECT moved.id, other.id
      FROM booking_booking moved
      JOIN booking_occurrence its ON its.booking_id = moved.id
      JOIN booking_occurrence ours ON ours.series_id = its.series_id AND ours.booking_id <> moved.id
      JOIN booking_booking other ON other.id = ours.booking_id AND other.state <> 'cancelled'
     WHERE moved.id = ANY(%s) AND other.starts_at < moved.ends_at AND other.ends_at > moved.starts_at
     ORDER BY moved.starts_at, other.starts_at
     LIMIT 1
"""


def _own_series(moved: Booking, other: Booking) -> Conflict:
    return Conflict(
        f"“{moved.title}”, {say_period(moved.starts_at, moved.ends_at, moved.zone)}, would lie over another one of its "
        f"own series, {say_period(other.starts_at, other.ends_at, moved.zone)}. "
        f"Give it a time between the others, or move or cancel that one first.",
        ways_out=("Choose a time between the others", "Cancel the other one first"),
        code="own-series",
    )
