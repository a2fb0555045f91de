"""What may follow what, and what a hold is worth."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.utils import timezone

from gear.booking.interval import Interval, blocked_interval
from gear.booking.models import Allocation, Booking
from gear.booking.wall_time import say
from gear.errors import Conflict, FieldProblem, Invalid
from gear.inventory.models import Condition, Unit

__all__ = [
    "HOLD_LASTS",
    "blocked_for",
    "has_lapsed",
    "hold_end",
    "now",
    "refuse_ended",
    "refuse_idle",
    "refuse_lapsed",
    "refuse_out",
    "refuse_to_wait",
    "refuse_unfit",
    "review_of",
    "stands",
    "use_of",
]

HOLD_LASTS = timedelta(days=7)
MOST_UNTIL_REVIEW = timedelta(days=366)

_UNFIT = {
    Condition.QUARANTINE: "is in quarantine until somebody has inspected it",
    Condition.REPAIR: "is in repair",
    Condition.LOST: "is lost",
    Condition.WRITTEN_OFF: "is written off",
}


def now() -> datetime:
    """The clock that ends holds."""
    return timezone.now()


def use_of(booking: Booking) -> Interval:
    """The asked time of a booking, with the way to where it is."""
    return Interval(booking.starts_at, booking.ends_at, timedelta(minutes=booking.travel_minutes))


def blocked_for(unit: Unit, use: Interval) -> Interval:
    """What a use blocks of this unit: its own prep and turnaround, else its type's."""
    return blocked_interval(use, timedelta(minutes=unit.prep), timedelta(minutes=unit.turnaround))


def has_lapsed(booking: Booking, at: datetime | None = None) -> bool:
    """Whether this is a hold whose end has come: it blocks nobody any more, whatever its rows say."""
    return (
        booking.state == Booking.State.HOLD
        and booking.hold_until is not None
        and booking.hold_until <= (at or now())
    )


def stands(promise: Allocation, at: datetime) -> bool:
    """Whether its row keeps others away: it is active, and no deadline of a challenge has come."""
    return promise.active and (promise.lapses_at is None or promise.lapses_at > at)


def refuse_to_wait(booking: Booking) -> None:
    """Only a hold waits in line. Raises `Conflict`."""
    if booking.state == Booking.State.CONFIRMED:
        raise Conflict(
            f"“{booking.title}” is confirmed, and only a hold waits in line behind others. Choose another unit, or "
            f"make it a hold first.",
            code="too-firm-to-wait",
        )


def hold_end(starts_at: datetime, asked: datetime | None, at: datetime) -> datetime:
    """When a hold ends: as asked, else in a week, at the latest when the booking starts. Raises `Invalid`."""
    if asked is None:
        return max(min(at + HOLD_LASTS, starts_at), at + timedelta(hours=1))
    if asked <= at:
        raise Invalid(
            "A hold must end in the future. Give a later end, or leave it empty for a week.",
            (FieldProblem("hold_until", "a time in the future"),),
        )
    return asked


def review_of(booking: Booking, use: Interval, asked: datetime | None, at: datetime) -> datetime | None:
    """When a booking without a return date is looked at again: as asked, else as it stands; None with an end. Raises
    `Invalid`."""
    if not use.open_ended:
        return None
    found = asked or booking.review_at
    if found is None or (asked is not None and not at < asked <= at + MOST_UNTIL_REVIEW):
        raise Invalid(
            "Without a return date somebody must look at it again, within a year. Give a time in the future.",
            (FieldProblem("review", "a time within a year"),),
        )
    return found


def refuse_ended(booking: Booking) -> None:
    """A cancelled or closed booking takes nothing new. Raises `Conflict`."""
    if booking.state == Booking.State.CANCELLED:
        raise Conflict(
            f"“{booking.title}” is cancelled. Take it up again first, then change it.", code="cancelled"
        )
    if booking.state == Booking.State.CLOSED:
        raise Conflict(f"“{booking.title}” is closed; its gear is back. Make a new booking.", code="closed")


def refuse_lapsed(booking: Booking) -> None:
    """A hold that has ended promises nothing more until it is renewed. Raises `Conflict`."""
    if has_lapsed(booking) and booking.hold_until:
        raise Conflict(
            f"The hold of “{booking.title}” ended {say(booking.hold_until, booking.zone)}, so its units are free "
            f"for others. Renew the hold or confirm it, then choose units.",
            ways_out=("Renew the hold", "Confirm it"),
            code="hold-lapsed",
        )


def refuse_idle(booking: Booking) -> None:
    """Only what blocks somebody can be agreed upon: neither an enquiry nor a hold that has ended. Raises `Conflict`."""
    refuse_lapsed(booking)
    if booking.state == Booking.State.ENQUIRY:
        raise Conflict(
            f"“{booking.title}” is an enquiry and blocks nobody. Put it on hold first.", code="enquiry"
        )


def refuse_out(booking: Booking, promises: Iterable[Allocation]) -> None:
    """What has left the store stays promised until it is back: whoever came next would find an empty shelf. Raises
    `Conflict` that names each."""
    out = sorted(promise.unit.tag for promise in promises if promise.pinned and promise.returned_at is None)
    if out:
        raise Conflict(
            f"{', '.join(out[:8])}{'…' if len(out) > 8 else ''} left the store already with “{booking.title}”. Take "
            f"{'it' if len(out) == 1 else 'them'} back in first.",
            code="out",
        )


def refuse_unfit(units: list[Unit]) -> None:
    """Only units that are ready are promised. Raises `Conflict` that names each."""
    unfit = [unit for unit in units if unit.condition != Condition.READY]
    if unfit:
        said = "; ".join(
            f"{unit.tag} ({unit.gear_type}) {_UNFIT[Condition(unit.condition)]}"
            + (f": {unit.condition_note}" if unit.condition_note else "")
            for unit in unfit
        )
        raise Conflict(f"{said}. Choose another unit, or bring it back into service first.", code="unfit")
