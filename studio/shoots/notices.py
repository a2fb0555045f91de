"""What people are written when somebody else's act, or the clock, changes what their shoot has.

The mail is written down in the transaction that changes it: it leaves once, or the change was never made.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from gear.booking.models import Booking, Challenge
from gear.booking.notices import Challenged, ChallengeEnded, Exchanged, Notice, Promoted
from gear.booking.wall_time import say, say_period
from studio.outbox.mail import TOPIC as MAIL
from studio.outbox.mail import body_of
from studio.outbox.services import put
from studio.people.models import Person, Role

__all__ = ["write_mail"]


def write_mail(notice: Notice) -> None:
    """Writer of `gear.booking.notices`."""
    match notice:
        case Promoted():
            _promoted(notice)
        case Challenged():
            _challenged(notice)
        case ChallengeEnded():
            _challenge_ended(notice)
        case Exchanged():
            _exchanged(notice)


def _promoted(notice: Promoted) -> None:
    booking = _booking(notice.booking_id)
    units = _listed(notice.tags)
    until = f" The hold ends {say(booking.hold_until, booking.zone)}." if booking.hold_until else ""
    _put(
        [booking.asked_by],
        f"{units} came to {booking.title}",
        f"“{booking.title}”, {_when(booking)}, waited in line for {units}. What stood before it is gone: it has the "
        f"1st hold on {units} now.{until} Confirm it, or let go what is not needed.",
    )


def _challenged(notice: Challenged) -> None:
    first, later = _booking(notice.first_id), _booking(notice.later_id)
    units = _listed(notice.tags)
    deadline = f"{say(notice.deadline, first.zone)} ({first.zone})"
    _put(
        [first.asked_by, *_managers()],
        f"{first.title}: confirm {units} by {say(notice.deadline, first.zone)}, or let go",
        f"“{later.title}”{_whose(later)} waits for {units}, which “{first.title}”, {_when(first)}, has on hold, and "
        f"asks you to decide by {deadline}. Until then the shoot can be confirmed, and keeps everything. If nothing is "
        f"done, the hold on {units} ends by itself at that moment; whatever else the shoot holds stays held.",
    )
    _put(
        [later.asked_by],
        f"{first.title} was asked to decide about {units}",
        f"“{first.title}”{_whose(first)} has until {deadline} to confirm, or its hold on {units} ends. You will be "
        f"written when {units} comes to “{later.title}”.",
    )


def _challenge_ended(notice: ChallengeEnded) -> None:
    first, later = _booking(notice.first_id), _booking(notice.later_id)
    units = _listed(notice.tags)
    match notice.outcome:
        case Challenge.Outcome.CONFIRMED:
            _put(
                [later.asked_by],
                f"{first.title} keeps {units}",
                f"“{first.title}”{_whose(first)} was confirmed in time and keeps {units}. “{later.title}” still waits "
                f"in line; take another unit, or keep waiting until your hold ends.",
            )
        case Challenge.Outcome.LAPSED:
            _put(
                [first.asked_by],
                f"{first.title} does not hold {units} any more",
                f"“{first.title}”, {_when(first)}, did not decide in time, and the next in line has {units} now. What "
                f"else it holds stays held. Choose another unit for it.",
            )
        case Challenge.Outcome.WITHDRAWN:
            _put(
                [first.asked_by],
                f"Nobody asks {first.title} for {units} any more",
                f"“{later.title}” does not wait for an answer any more. “{first.title}” keeps its hold on {units} "
                f"until that ends by itself.",
            )


def _exchanged(notice: Exchanged) -> None:
    booking, other = _booking(notice.booking_id), _booking(notice.other_id)
    _put(
        [booking.asked_by],
        f"{notice.new_tag} goes instead of {notice.old_tag} to {booking.title}",
        f"“{booking.title}”, {_when(booking)}, has {notice.new_tag} now, which is of the same type and does the same "
        f"jobs: “{other.title}”{_whose(other)} needed {notice.old_tag} for a time in which no single one was free. Say "
        f"that it must be this very unit where that matters; then it is never exchanged.",
    )


def _put(to: Iterable[Any], subject: str, text: str) -> None:
    addresses = {p.email for p in to if p is not None and p.is_active and p.email}
    if addresses:
        put(MAIL, body_of(" ".join(subject.split())[:200], text, addresses))


def _booking(pk: int) -> Booking:
    return Booking.objects.select_related("asked_by").get(pk=pk)


def _managers() -> Iterable[Person]:
    """Only they confirm."""
    return Person.objects.filter(role=Role.MANAGER, is_active=True)


def _when(booking: Booking) -> str:
    return say_period(booking.starts_at, booking.ends_at, booking.zone)


def _whose(booking: Booking) -> str:
    return f" ({booking.asked_by})" if booking.asked_by else ""


def _listed(tags: tuple[str, ...]) -> str:
    return " and ".join(", ".join(tags).rsplit(", ", 1))
