"""Promising units, and everything that may become of a promise.

Each verb is one transaction that is tried again as a whole when it lost a race it may win the next time.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from copy import copy
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from gear.booking.blocking import end_use
from gear.booking.challenge_ends import end_challenges
from gear.booking.claims import (
    NO_UNIT_TWICE,
    claim,
    claim_untouched,
    insert,
    quickly_first,
    retire_lapsed,
)
from gear.booking.clashes import refuse_taken
from gear.booking.companions import companions
from gear.booking.given import as_given
from gear.booking.interval import Period, refuse_beyond_horizon
from gear.booking.line import end_of_line, is_waiting
from gear.booking.locks import locked, locked_by_id, locked_units, refuse_stale, unit_ids
from gear.booking.models import Allocation, Booking, Challenge
from gear.booking.promotion import promote
from gear.booking.queries import waits
from gear.booking.releasing import let_go_units
from gear.booking.rows import Columns
from gear.booking.rules import (
    has_lapsed,
    hold_end,
    now,
    refuse_ended,
    refuse_lapsed,
    refuse_out,
    refuse_to_wait,
    refuse_unfit,
    review_of,
    stands,
    use_of,
)
from gear.booking.series import refuse_own_series
from gear.booking.staying_ends import (
    came_back_after_all,
    derive_stays,
    end_stays,
    stay_partners,
    stay_units,
)
from gear.booking.transactions import broken_constraint, in_one_transaction
from gear.booking.wall_time import wall_of
from gear.booking.windows import refuse_longer_than_lent, refuse_outside
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.models import Unit

__all__ = [
    "Move",
    "Promised",
    "cancel",
    "close_booking",
    "confirm",
    "exchange_units",
    "hold",
    "move_booking",
    "move_bookings",
    "open_booking",
    "promise_locked",
    "promise_units",
    "release_units",
    "uncancel",
]

State = Booking.State
_BLOCKING = (State.HOLD, State.CONFIRMED)


@dataclass(frozen=True)
class Move:
    """A booking and where it goes in time; ``travel_minutes`` when it is at another place then, ``review_at`` when a
    booking without a return date is looked at again."""

    booking_id: int
    period: Period
    travel_minutes: int | None = None
    review_at: datetime | None = None


@dataclass(frozen=True)
class Promised:
    """Promises of the units that were asked for, and the ids of units that the booking had, or noted, before."""

    promises: list[Allocation]
    had: frozenset[int]


@in_one_transaction
def open_booking(
    title: str,
    period: Period,
    by: Any,
    *,
    state: str = State.HOLD,
    hold_until: datetime | None = None,
    travel_minutes: int = 0,
) -> Booking:
    """A new booking: an enquiry (promises nothing), a hold (ends by itself) or confirmed. Raises `Invalid`."""
    title = title.strip()
    if not title or len(title) > 120:
        raise Invalid(
            "A booking needs a title of 1 to 120 characters.", (FieldProblem("title", "1 to 120 characters"),)
        )
    if state not in (State.ENQUIRY, *_BLOCKING):
        raise Invalid(
            f"A new booking is an enquiry, a hold or confirmed, not {state!r}.",
            (FieldProblem("state", "enquiry, hold or confirmed"),),
        )
    at = now()
    refuse_beyond_horizon(period.interval, at)
    row = {
        "title": title,
        "state": state,
        "hold_until": hold_end(period.interval.starts_at, hold_until, at) if state == State.HOLD else None,
        "starts_at": period.interval.starts_at,
        "ends_at": period.interval.ends_at,
        "zone": period.zone,
        "starts_wall": period.starts_wall,
        "ends_wall": period.ends_wall,
        "travel_minutes": travel_minutes,
        "by": by and by.pk,
        "at": timezone.now(),
    }
    with connection.cursor() as cursor:
        cursor.execute(_OPEN, row)
        opened = _BOOKING.object(cursor.fetchone())
    opened.asked_by = by
    return opened


_BOOKING = Columns(Booking, "booking_booking")
_OPEN = f"""
    INSERT INTO booking_booking (title, state, hold_until, starts_at, ends_at, zone, starts_wall, ends_wall,
                                 travel_minutes, asked_by_id, version, created_at, updated_at)
    VALUES (%(title)s, %(state)s, %(hold_until)s, %(starts_at)s, %(ends_at)s, %(zone)s, %(starts_wall)s, %(ends_wall)s,
            %(travel_minutes)s, %(by)s, 1, %(at)s, %(at)s)
    RETURNING {_BOOKING.sql}
"""


def promise_units(
    booking: Booking, wanted: Collection[int], by: Any, *, behind: bool = False
) -> list[Allocation]:
    """Promise these units for the whole of the booking, all or none; those it has, or waits for, stay as they are.

    An enquiry only notes them. With ``behind`` a hold waits in line for those that are taken. Raises `UnitTaken`,
    `Conflict` (unfit, lapsed, cancelled, too firm to wait) or `Gone`.
    """
    return quickly_first(lambda quickly: _promise_units(booking, wanted, by, behind, quickly))


@in_one_transaction
def _promise_units(
    booking: Booking, wanted: Collection[int], by: Any, behind: bool, quickly: bool
) -> list[Allocation]:
    booking = locked(booking)
    refuse_ended(booking)
    refuse_lapsed(booking)
    units = locked_units(wanted)
    missing = sorted(set(wanted) - {unit.pk for unit in units})
    if missing:
        raise Gone(f"There is no unit with the number {missing[0]}. Choose one from the list.")
    return promise_locked(booking, units, by, behind=behind, quickly=quickly).promises


def promise_locked(
    booking: Booking, units: list[Unit], by: Any, *, behind: bool = False, quickly: bool
) -> Promised:
    """What `promise_units` does once booking and units are locked and the booking has neither ended nor lapsed.
    ``quickly`` is what `quickly_first` says."""
    if quickly and booking.state in _BLOCKING and units:
        made = claim_untouched(booking, units, by)
        if made is not None:
            return Promised(made, frozenset())
    noted = {promise.unit_id: promise for promise in booking.allocations.all()}
    if booking.state == State.ENQUIRY:
        fresh = [unit for unit in units if unit.pk not in noted]
        refuse_unfit(fresh)
        insert(booking, fresh, by, active=False)
    else:
        if behind:
            refuse_to_wait(booking)
        at = now()
        has = {pk for pk, p in noted.items() if stands(p, at) or p.waits_since is not None}
        claim(booking, [unit for unit in units if unit.pk not in has], by, behind=behind)
    promises = list(booking.allocations.filter(unit__in=units).select_related("unit__gear_type"))
    return Promised(promises, frozenset(noted))


@in_one_transaction
def release_units(booking: Booking, unwanted: Collection[int], by: Any) -> int:
    """Let these units go again; how many went. Whoever is next in line for one of them gets it."""
    booking = locked(booking)
    units, at = locked_units(unwanted), now()
    gone = let_go_units(booking, units, at)
    if gone:
        announce("unit", sorted(unwanted))
    return gone


@in_one_transaction
def exchange_units(
    booking: Booking, give: Collection[int], take: Collection[int], by: Any, *, behind: bool = False
) -> None:
    """Let some units go and promise others, or change nothing; what is in both stays. Locks both at once, by id. Raises
    as `promise_units`."""
    locked(booking)
    locked_units({*give, *take})
    promise_units(booking, take, by, behind=behind)
    release_units(booking, set(give) - set(take), by)


@in_one_transaction
def hold(
    booking: Booking,
    by: Any,
    until: datetime | None = None,
    *,
    version: int | None = None,
    behind: bool = False,
) -> Booking:
    """Make it a hold, or renew one; a promise that had lapsed is a fresh check. What waits in line keeps its place
    while the hold lasts. With ``behind`` it waits for what others have. Raises `UnitTaken`, `Conflict`."""
    booking = locked(booking, version)
    refuse_ended(booking)
    return _stand(booking, State.HOLD, hold_end(booking.starts_at, until, now()), by, behind=behind)


@in_one_transaction
def confirm(booking: Booking, by: Any, *, version: int | None = None) -> Booking:
    """Make the promise stand. A hold whose end has come is checked afresh. Raises `UnitTaken`, `Conflict`."""
    booking = locked(booking, version)
    if booking.state == State.CONFIRMED:
        return booking
    refuse_ended(booking)
    return _stand(booking, State.CONFIRMED, None, by)


@in_one_transaction
def cancel(booking: Booking, by: Any, *, version: int | None = None) -> Booking:
    """Free its units at once, prep and turnaround included. Repeating it changes nothing."""
    booking = locked(booking, None)
    if booking.state == State.CANCELLED:
        return booking
    if booking.state == State.CLOSED:
        refuse_ended(booking)
    refuse_stale(booking, version)
    _lock_companions([booking.pk])
    units, at = locked_units(unit_ids(booking)), now()
    refuse_out(booking, booking.allocations.filter(pinned=True).select_related("unit"))
    _let_go(booking, at)
    for companion in companions():
        companion.let_go(booking)
    saved = _saved(booking, state=State.CANCELLED, hold_until=None)
    promote(units, at)
    return saved


@in_one_transaction
def uncancel(booking: Booking, by: Any, until: datetime | None = None, *, behind: bool = False) -> Booking:
    """Take a cancelled booking up again, as a hold; its units are a fresh check that may fail as a whole. With
    ``behind`` it waits in line for what went to others."""
    booking = locked(booking)
    if booking.state != State.CANCELLED:
        return booking
    refuse_own_series([booking])
    return _stand(booking, State.HOLD, hold_end(booking.starts_at, until, now()), by, behind=behind)


@in_one_transaction
def close_booking(booking: Booking, by: Any) -> Booking:
    """Its gear is back: what is left of the promised time is free from now plus turnaround. Raises `Conflict` for what
    is cancelled."""
    booking = locked(booking)
    if booking.state == State.CLOSED:
        return booking
    refuse_ended(booking)
    _lock_companions([booking.pk])
    units = locked_units(unit_ids(booking))
    at = now()
    if booking.starts_at < at < booking.ends_at:
        end_use(booking.pk, [unit.pk for unit in units], at)
        came_back_after_all(booking.pk, [unit.pk for unit in units], at)
    elif at <= booking.starts_at:
        booking.allocations.update(active=False)
        end_stays([booking.pk], at)
    booking.allocations.update(waits_since=None, lapses_at=None)
    end_challenges(Challenge.Outcome.LET_GO, at, first=booking)
    end_challenges(Challenge.Outcome.WITHDRAWN, at, later=booking)
    for companion in companions():
        companion.closed(booking, at)
    ends = {"ends_at": at, "ends_wall": wall_of(at, booking.zone)} if use_of(booking).open_ended else {}
    ends = ends if at > booking.starts_at else {}
    saved = _saved(booking, state=State.CLOSED, hold_until=None, **ends)
    promote(units, at)
    return saved


def move_booking(
    booking: Booking,
    period: Period,
    by: Any,
    *,
    version: int | None = None,
    travel_minutes: int | None = None,
) -> Booking:
    """Another time, or another way to go, for the same booking, as a whole or not at all. Raises `UnitTaken`,
    `StaleEdit`, `Conflict`."""
    versions = {} if version is None else {booking.pk: version}
    (moved,) = move_bookings([Move(booking.pk, period, travel_minutes)], by, versions=versions)
    return moved


@in_one_transaction
def move_bookings(moves: Sequence[Move], by: Any, *, versions: dict[int, int] | None = None) -> list[Booking]:
    """Move several bookings in one step: a chain of back-to-back ones may shift into each other's old time.

    What each unit is blocked for is derived anew, in one statement, so that only the end counts. Bookings that are not
    moved are never touched.
    """
    at = now()
    wanted = {move.booking_id: move.period for move in moves}
    reviews = {move.booking_id: move.review_at for move in moves}
    bookings = [locked_by_id(pk, (versions or {}).get(pk)) for pk in sorted(wanted)]
    _lock_companions(wanted)
    units = {
        unit.pk: unit
        for unit in locked_units(
            Allocation.objects.filter(booking__in=wanted).values_list("unit_id", flat=True).distinct()
        )
    }
    for booking in bookings:
        refuse_ended(booking)
        refuse_beyond_horizon(wanted[booking.pk].interval, at)
        if has_lapsed(booking, at):
            booking.allocations.update(active=False)
            end_stays([booking.pk], at)
    promote(list(units.values()), at)
    waiting = list(Allocation.objects.filter(waits(at), booking__in=wanted))
    ways = {move.booking_id: move.travel_minutes for move in moves}
    partners = stay_partners(wanted)
    moved = [
        _at(booking, wanted[booking.pk], ways[booking.pk], reviews[booking.pk], at) for booking in bookings
    ]
    refuse_own_series(moved)
    for booking in moved:
        there = [units[p.unit_id] for p in booking.allocations.order_by("unit_id") if stands(p, at)]
        mine = as_given(booking, [copy(unit) for unit in there])
        retire_lapsed(mine, use_of(booking), at, but=wanted)
        # What stays on set blocks what shows only together with whoever goes on: the table decides.
        staying = stay_units(booking.pk) if partners else set()
        alone = [unit for unit in mine if unit.pk not in staying]
        refuse_outside([unit for unit in mine if unit.pk in staying], use_of(booking), booking.zone)
        refuse_taken(alone, use_of(booking), booking.zone, ignoring={*wanted, *partners})
    try:
        with transaction.atomic():
            derive_stays(wanted, at)
    except IntegrityError as error:
        refuse_longer_than_lent(error)
        if broken_constraint(error) != NO_UNIT_TWICE:
            raise
        for booking in moved:
            refuse_taken([units[pk] for pk in unit_ids(booking)], use_of(booking), booking.zone, [booking.pk])
        raise Conflict(
            "Two of these bookings would need the same unit at the same time, so none was moved. "
            "Give them times that do not overlap.",
            code="unit-taken",
        ) from None
    _stand_in_line_anew(waiting, at)
    for companion in companions():
        companion.moved(moved)
    promote(list(units.values()), at)
    return moved


def _stand(
    booking: Booking, state: str, hold_until: datetime | None, by: Any, *, behind: bool = False
) -> Booking:
    """What does not stand is claimed afresh. A hold goes on waiting where it waited by consent; one that had ended does
    so from the end of the line. What is confirmed waits for nothing."""
    _lock_companions([booking.pk])
    units, at = locked_units(unit_ids(booking)), now()
    promote(units, at)
    promises = {promise.unit_id: promise for promise in booking.allocations.select_related("booking")}
    anew = has_lapsed(booking, at)
    left = [unit for unit in units if anew or not stands(promises[unit.pk], at)]
    if state == State.HOLD:
        keep = {pk for pk, promise in promises.items() if is_waiting(promise, at)}
        again = [u for u in left if u.pk not in keep and promises[u.pk].waits_since is not None]
        claim(booking, again, by, behind=True)
        left = [u for u in left if u.pk not in keep and promises[u.pk].waits_since is None]
        if hold_until is not None:
            end_challenges(Challenge.Outcome.WITHDRAWN, at, later=booking, deadline__gte=hold_until)
    else:
        end_challenges(Challenge.Outcome.CONFIRMED, at, first=booking)
    claim(booking, left, by, behind=behind, firm=state == State.CONFIRMED)
    for companion in companions():
        companion.stand(booking, by)
    return _saved(booking, state=state, hold_until=hold_until)


def _let_go(booking: Booking, at: datetime) -> None:
    end_challenges(Challenge.Outcome.LET_GO, at, first=booking)
    end_challenges(Challenge.Outcome.WITHDRAWN, at, later=booking)
    booking.allocations.update(active=False, waits_since=None, lapses_at=None)
    end_stays([booking.pk], at)


def _stand_in_line_anew(waiting: Sequence[Allocation], at: datetime) -> None:
    """Who moves within the time they waited for keeps their place; for another time they come last."""
    for before in waiting:
        now_wanted = Allocation.objects.get(pk=before.pk).blocked
        if now_wanted.lower < before.blocked.lower or before.blocked.upper < now_wanted.upper:
            last = end_of_line([before.unit_id], at)
            Allocation.objects.filter(pk=before.pk).update(waits_since=last)


def _lock_companions(booking_ids: Collection[int]) -> None:
    for companion in companions():
        companion.lock(booking_ids)


def _at(
    booking: Booking, period: Period, travel_minutes: int | None, review_at: datetime | None, at: datetime
) -> Booking:
    return _saved(
        booking,
        starts_at=period.interval.starts_at,
        ends_at=period.interval.ends_at,
        zone=period.zone,
        starts_wall=period.starts_wall,
        ends_wall=period.ends_wall,
        review_at=review_of(booking, period.interval, review_at, at),
        travel_minutes=booking.travel_minutes if travel_minutes is None else travel_minutes,
    )


def _saved(booking: Booking, **changes: Any) -> Booking:
    for name, value in changes.items():
        setattr(booking, name, value)
    booking.version += 1
    booking.save()
    return booking
